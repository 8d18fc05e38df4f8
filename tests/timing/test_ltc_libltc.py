"""Linear timecode against libltc, an independent implementation (Debian: libltc11)."""

import ctypes
import ctypes.util
import os

import numpy as np
import pytest

from showcaller.timing.ltc import LtcDecoder, encode, frame_bits
from showcaller.timing.timecode import frame_number, label

pytestmark = pytest.mark.system


class Time(ctypes.Structure):
    _fields_ = (
        ("zone", ctypes.c_char * 6),
        *[(name, ctypes.c_ubyte) for name in ("years", "months", "days", "hours", "mins", "secs", "frame")],
    )


class Frame(ctypes.Structure):
    # 80 bits in unsigned ints: ten bytes, padded to twelve.
    _fields_ = (("bits", ctypes.c_ubyte * 12),)


class FrameExt(ctypes.Structure):
    _fields_ = (
        ("ltc", Frame),
        ("off_start", ctypes.c_longlong),
        ("off_end", ctypes.c_longlong),
        ("reverse", ctypes.c_int),
        ("tics", ctypes.c_float * 80),
        ("low", ctypes.c_ubyte),
        ("high", ctypes.c_ubyte),
        ("volume", ctypes.c_double),
    )


@pytest.fixture(scope="module")
def lib():
    return loaded()


def loaded():
    """The library, with the types of what is called."""
    try:
        library = ctypes.CDLL("libltc.so.11")
    except OSError:
        if os.environ.get("CI"):
            pytest.fail("libltc.so.11 is missing on CI; install Debian's libltc11")
        pytest.skip("libltc.so.11 is not installed; Debian's libltc11 has it")
    pointer = ctypes.c_void_p
    library.ltc_encoder_create.restype = pointer
    library.ltc_encoder_create.argtypes = (ctypes.c_double, ctypes.c_double, ctypes.c_int, ctypes.c_int)
    library.ltc_encoder_set_timecode.argtypes = (pointer, ctypes.POINTER(Time))
    library.ltc_encoder_encode_frame.argtypes = (pointer,)
    library.ltc_encoder_inc_timecode.argtypes = (pointer,)
    library.ltc_encoder_get_frame.argtypes = (pointer, ctypes.POINTER(Frame))
    library.ltc_encoder_copy_buffer.argtypes = (pointer, ctypes.c_void_p)
    library.ltc_encoder_free.argtypes = (pointer,)
    library.ltc_decoder_create.restype = pointer
    library.ltc_decoder_create.argtypes = (ctypes.c_int, ctypes.c_int)
    library.ltc_decoder_write_float.argtypes = (pointer, ctypes.c_void_p, ctypes.c_size_t, ctypes.c_longlong)
    library.ltc_decoder_read.argtypes = (pointer, ctypes.POINTER(FrameExt))
    library.ltc_decoder_free.argtypes = (pointer,)
    library.ltc_frame_to_time.argtypes = (ctypes.POINTER(Time), ctypes.POINTER(Frame), ctypes.c_int)
    return library


# Rate: frames a second and libltc's television standard (0: 525/60, 1: 625/50, 3: film).
STANDARDS = {"24": (24.0, 3), "25": (25.0, 1), "29.97 drop": (30000 / 1001, 0), "30": (30.0, 0)}


def theirs(lib, rate, first, count):
    """Frames and samples as libltc encodes them."""
    fps, standard = STANDARDS[rate]
    encoder = lib.ltc_encoder_create(48_000.0, fps, standard, 0)
    hours, minutes, seconds, frames = (int(part) for part in label(first, rate).replace(";", ":").split(":"))
    time = Time(b"+0000", 0, 0, 0, hours, minutes, seconds, frames)
    lib.ltc_encoder_set_timecode(encoder, ctypes.byref(time))
    words, sound = [], []
    buffer = (ctypes.c_ubyte * 8192)()
    for _ in range(count):
        frame = Frame()
        lib.ltc_encoder_get_frame(encoder, ctypes.byref(frame))
        words.append(int.from_bytes(bytes(frame.bits)[:10], "little"))
        lib.ltc_encoder_encode_frame(encoder)
        length = lib.ltc_encoder_copy_buffer(encoder, buffer)
        sound.append(np.frombuffer(bytes(buffer[:length]), dtype=np.uint8).astype(np.float32) / 128 - 1)
        lib.ltc_encoder_inc_timecode(encoder)
    lib.ltc_encoder_free(encoder)
    return words, np.concatenate(sound)


@pytest.mark.parametrize("rate", STANDARDS)
def test_the_bits_are_libltcs(lib, rate):
    first = frame_number("10:08:59:20", rate)
    words, _ = theirs(lib, rate, first, 400)
    assert words == [frame_bits(first + n, rate) for n in range(400)]


@pytest.mark.parametrize("rate", STANDARDS)
def test_we_read_what_libltc_encodes(lib, rate):
    first = frame_number("09:59:58:00", rate)
    _, samples = theirs(lib, rate, first, 120)
    found = [frame.frame for frame in LtcDecoder(rate).feed(samples)]
    assert set(found) <= set(range(first, first + 120))
    assert len(found) >= 118


def read_by_libltc(lib, rate, samples):
    """The frame numbers libltc reads."""
    samples = np.ascontiguousarray(samples, dtype=np.float32)
    decoder = lib.ltc_decoder_create(int(48_000 / STANDARDS[rate][0]), 256)
    found, frame, time = [], FrameExt(), Time()
    for at in range(0, len(samples), 4096):
        part = np.ascontiguousarray(samples[at : at + 4096])
        lib.ltc_decoder_write_float(decoder, part.ctypes.data, len(part), at)
        while lib.ltc_decoder_read(decoder, ctypes.byref(frame)):
            lib.ltc_frame_to_time(ctypes.byref(time), ctypes.byref(frame.ltc), 0)
            label_read = f"{time.hours:02}:{time.mins:02}:{time.secs:02}:{time.frame:02}"
            found.append(frame_number(label_read, rate))
    lib.ltc_decoder_free(decoder)
    return found


@pytest.mark.parametrize("seconds", [60, pytest.param(300, marks=pytest.mark.long)])
@pytest.mark.parametrize("hum_hz", [50, 60])
@pytest.mark.parametrize("rate", STANDARDS)
def test_hum_and_an_offset_cost_no_frame(lib, rate, hum_hz, seconds):
    """Minutes with hum at half the code's amplitude and an offset of 0.1; libltc reads them too."""
    first, count = frame_number("01:00:00:00", rate), seconds * 25 + 2
    _, clean = theirs(lib, rate, first, count)
    amplitude = (clean.max() - clean.min()) / 2
    n = np.arange(len(clean))
    samples = (clean + 0.5 * amplitude * np.sin(2 * np.pi * hum_hz * n / 48_000 + 1) + 0.1) / 2
    decoder, found = LtcDecoder(rate), []
    for at in range(0, len(samples), 480):
        found += decoder.feed(samples[at : at + 480])
    assert [f.frame for f in found[: count - 2]] == list(range(found[0].frame, found[0].frame + count - 2))
    assert found[0].frame - first in (0, 1)
    assert len(set(read_by_libltc(lib, rate, samples)) & {f.frame for f in found}) > count - 102


@pytest.mark.parametrize("hum", [0.25, 0.5, 0.7])
@pytest.mark.parametrize("offset", [-0.5, 0.1, 1.0])
@pytest.mark.parametrize("speed", [0.5, 1.0, 1.9])
def test_hum_offset_and_another_speed(hum, offset, speed):
    clean = encode(1000, 120, "25", speed=speed).astype(float)
    n = np.arange(len(clean))
    samples = clean + 0.5 * hum * np.sin(2 * np.pi * 50 * n / 48_000) + offset
    found = [f.frame for f in LtcDecoder("25").feed(samples)]
    assert set(found) <= set(range(1000, 1120))
    assert len(found) >= 117


@pytest.mark.parametrize("rate", STANDARDS)
@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize("speed", [0.7, 1.0, 1.6])
def test_libltc_reads_what_we_encode(lib, rate, reverse, speed):
    first = frame_number("10:00:30:00", rate)
    samples = np.ascontiguousarray(encode(first, 120, rate, speed=speed, reverse=reverse))
    decoder = lib.ltc_decoder_create(int(48_000 / STANDARDS[rate][0] / speed), 256)
    lib.ltc_decoder_write_float(decoder, samples.ctypes.data, len(samples), 0)
    found, frame, time = [], FrameExt(), Time()
    while lib.ltc_decoder_read(decoder, ctypes.byref(frame)):
        lib.ltc_frame_to_time(ctypes.byref(time), ctypes.byref(frame.ltc), 0)
        found.append(frame_number(f"{time.hours:02}:{time.mins:02}:{time.secs:02}:{time.frame:02}", rate))
        assert bool(frame.reverse) == reverse
    lib.ltc_decoder_free(decoder)
    wanted = {first - n if reverse else first + n for n in range(120)}
    assert set(found) <= wanted
    assert len(set(found)) >= 115
