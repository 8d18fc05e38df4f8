"""Linear timecode from sound files as they are found: every width, missing, broken, without the channel."""

import sys
import threading
import time
import wave

import numpy as np
import pytest
from devices import wait_until

from showcaller.engine.timecode_in.ltc import SOUND_MISSING, Decoding, LtcPort, SoundFile
from showcaller.model import LtcIn
from showcaller.run.events import TimecodePortState
from showcaller.timing.ltc import encode
from showcaller.timing.timecode import frame_number

S = 1_000_000_000


def wav(path, samples, width, rate=48_000, channels=1):
    """PCM of 8 (without sign), 16, 24 or 32 bits, as RIFF WAVE has them; all channels the same."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate)
        if width == 1:
            raw = np.round(samples * 127 + 128).astype(np.uint8)[:, None]
        else:
            whole = np.round(samples.astype(np.float64) * (2.0 ** (8 * width - 1) - 1)).astype("<i4")
            raw = whole.view(np.uint8).reshape(-1, 4)[:, :width]
        file.writeframes(np.tile(raw, (1, channels)).tobytes())


def heard_in(path, rate, channel=1):
    """All frames in a file, fed at once: (position, instant)."""
    heard = []
    sound = SoundFile(str(path), channel)
    decoding = Decoding(rate, sound.sample_rate, heard.append)
    sound.start(decoding)
    sound._start_ns -= 60 * S  # as if it had sounded for a minute
    base = sound._start_ns
    assert not sound.play()
    assert sound.ended
    sound.close()
    return [(one.position_ns, one.at_ns - base) for one in heard]


@pytest.mark.parametrize("width", [1, 2, 3, 4])
@pytest.mark.parametrize("sample_rate", [44_100, 48_000])
def test_each_frame_is_posted_when_it_ended_in_every_width(tmp_path, width, sample_rate):
    first = frame_number("01:00:00:00", "25")
    wav(tmp_path / "x.wav", encode(first, 20, "25", sample_rate), width, sample_rate, channels=2)
    heard = heard_in(tmp_path / "x.wav", "25", channel=2)
    assert len(heard) >= 18
    for position_ns, at_ns in heard:
        # The file begins with the frame of 01:00:00:00, so at its n-th second the code is an hour and n.
        assert abs(position_ns - 3600 * S - at_ns) < 200_000


def test_played_backwards_positions_fall(tmp_path):
    first = frame_number("01:00:10:00", "30")
    wav(tmp_path / "x.wav", encode(first, 20, "30", reverse=True), 2)
    heard = heard_in(tmp_path / "x.wav", "30")
    assert len(heard) >= 18
    for position_ns, at_ns in heard:
        # It begins at the end of that frame, 01:00:10:01, and runs back.
        assert abs(position_ns - (3610 * S + S // 30 - at_ns)) < 300_000


@pytest.fixture
def port():
    """Open a port: ``port(device, channel) -> (heard, reports)``; closed with the test."""
    opened = []

    def start(device, channel=1):
        heard, reports = [], []
        source = LtcIn(kind="ltc", device=device, channel=channel)
        opened.append(LtcPort(source, "25", heard.append, reports.append))
        return heard, reports

    yield start
    for one in opened:
        one.close()
    assert not [t for t in threading.enumerate() if t.name == "timecode in"]


def test_a_file_sounds_in_real_time_and_its_end_is_said_once(port, tmp_path):
    wav(tmp_path / "x.wav", encode(90_000, 12, "25"), 2)
    began_ns = time.monotonic_ns()
    heard, reports = port(f"wav:{tmp_path / 'x.wav'}")
    assert wait_until(lambda: len(reports) == 2)
    took_ns = time.monotonic_ns() - began_ns
    assert [r.state for r in reports] == ["open", "closed"]
    assert reports[1].why == "the sound file has been played to its end"
    assert took_ns > 0.45 * S, "12 frames at 25 last 0.48 s"
    assert all(one.at_ns <= began_ns + took_ns for one in heard)


@pytest.mark.parametrize(
    ("make", "channel", "sentence"),
    [
        (lambda p: None, 1, "cannot read {}: no such file or directory"),
        (lambda p: p.write_bytes(b""), 1, "{} cannot be played (it is empty); give a PCM WAV file"),
        (lambda p: p.write_bytes(b"ID3" * 99), 1, "{} cannot be played (file does not start with RIFF id)"),
        (lambda p: wav(p, np.zeros(10), 2), 2, "{} has 1 channels, so no channel 2"),
    ],
)
def test_a_file_that_cannot_be_played_is_one_sentence(port, tmp_path, make, channel, sentence):
    path = tmp_path / "x.wav"
    make(path)
    heard, reports = port(f"wav:{path}", channel)
    assert wait_until(lambda: bool(reports))
    assert reports[0].state == "closed"
    assert reports[0].why.startswith(sentence.format(path))
    assert heard == []


def test_without_the_package_for_sound_inputs_it_says_what_to_type(port, monkeypatch):
    monkeypatch.setitem(sys.modules, "sounddevice", None)  # as Python has it where an import must fail
    _, reports = port("Line in")
    assert wait_until(lambda: bool(reports))
    assert reports == [TimecodePortState(state="closed", why=SOUND_MISSING)]


def test_a_rate_that_linear_timecode_does_not_carry_is_refused():
    with pytest.raises(ValueError, match="linear timecode carries at most 30 frames a second"):
        LtcPort(LtcIn(kind="ltc", device="x"), "50", lambda _: None, lambda _: None)
