"""A recording made here: every frame carries its own number in black and white squares, and a sound."""

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

BITS = 20
SQUARE = 8
WIDTH, HEIGHT = 320, 180


def burned(number: int) -> npt.NDArray[np.uint8]:
    """A frame with its number burned in: 20 squares, the first the highest bit, under a moving picture."""
    frame = np.full((HEIGHT, WIDTH, 3), 40 + number % 60, np.uint8)
    frame[60 + number % 40 : 80 + number % 40, 100:200] = (200, 60, 30)
    for bit in range(BITS):
        on = number >> (BITS - 1 - bit) & 1
        x = 8 + bit * (SQUARE + 6)
        frame[8 : 8 + SQUARE * 2, x : x + SQUARE + 6] = 255 if on else 0
    return frame


def read_number(pixels: npt.NDArray[np.uint8]) -> int:
    """The number burned into a frame, read from the middles of its squares."""
    number = 0
    for bit in range(BITS):
        x = 8 + bit * (SQUARE + 6)
        number = number << 1 | int(pixels[12:20, x + 3 : x + SQUARE + 3].mean() > 128)
    return number


def make_recording(
    path: Path,
    frames: int,
    rate: Fraction,
    *,
    first: int = 0,
    timecode: str | None = None,
    sound: npt.NDArray[np.float32] | None = None,
    sound_rate: int = 48_000,
    codec: str = "libx264",
) -> Path:
    """Write a video of ``frames`` numbered frames, in long groups with B-frames as recorders make."""
    with av.open(str(path), "w") as container:
        options = {"preset": "ultrafast", "crf": "20", "bf": "2", "g": "250"} if codec == "libx264" else {}
        stream = container.add_stream(codec, rate=rate, options=options)
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        if codec == "mpeg4":
            stream.bit_rate = 4_000_000
            stream.gop_size = 48
        if timecode is not None:
            stream.metadata["timecode"] = timecode
            container.metadata["timecode"] = timecode
        track = None
        if sound is not None:
            track = container.add_stream(
                "pcm_s16le" if path.suffix in (".mov", ".mkv") else "aac", rate=sound_rate
            )
            track.layout = "mono"
        for n in range(frames):
            frame = av.VideoFrame.from_ndarray(burned(first + n), format="rgb24")
            frame.pts, frame.time_base = n, 1 / rate
            container.mux(stream.encode(frame))
        container.mux(stream.encode())
        if track is not None and sound is not None:
            whole = (np.clip(sound, -1, 1) * 32767).astype(np.int16)[None, :]
            for at in range(0, whole.shape[1], 4800):
                part = av.AudioFrame.from_ndarray(whole[:, at : at + 4800], format="s16", layout="mono")
                part.sample_rate, part.pts, part.time_base = sound_rate, at, Fraction(1, sound_rate)
                container.mux(track.encode(part))
            container.mux(track.encode())
    return path
