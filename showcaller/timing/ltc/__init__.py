"""Linear timecode as sound (SMPTE ST 12-1): bits, encoding to samples, decoding from them."""

from showcaller.timing.ltc.bits import frame_bits, read_bits
from showcaller.timing.ltc.decode import LtcDecoder, LtcFrame
from showcaller.timing.ltc.encode import encode

__all__ = ["LtcDecoder", "LtcFrame", "encode", "frame_bits", "read_bits"]
