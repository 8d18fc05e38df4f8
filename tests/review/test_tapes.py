"""Recordings of one night whose recorders' clocks differ: found by each other's sound, and by timecode."""

import wave
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from showcaller.review.errors import ReviewError
from showcaller.review.tape_clock import TapeClock
from showcaller.review.tapes import by_another, by_its_code
from showcaller.run import commands as c
from showcaller.run.runlog import Record
from showcaller.timing.ltc.encode import encode
from showcaller.timing.timecode import frame_number

NS = 1_000_000_000
HZ = 8_000
NIGHT_S = 900


@pytest.fixture(scope="module")
def night() -> np.ndarray:
    """A hall's sound over a quarter of an hour: noise in bands that swell, a song that repeats itself."""
    draw = np.random.default_rng(11)
    at_s = np.arange(NIGHT_S * HZ) / HZ
    swell = 0.4 + 0.3 * np.sin(2 * np.pi * at_s / 17) + 0.2 * np.sin(2 * np.pi * at_s / 3.1)
    beat = np.sin(2 * np.pi * 110 * at_s) * (at_s * 2 % 1 < 0.2)
    return (0.2 * swell * draw.standard_normal(len(at_s)) + 0.1 * beat).astype(np.float32)


def recorded(path: Path, night: np.ndarray, zero_s: float, ppm: float, length_s: float, seed: int) -> Path:
    """What a recorder keeps that begins at ``zero_s`` and runs ``ppm`` fast: with a hall's echo and its own
    noise."""
    real_s = zero_s + np.arange(int(length_s * HZ)) / HZ / (1 + ppm * 1e-6)
    there = np.arange(len(night)) / HZ
    heard = np.interp(real_s, there, night, left=0, right=0)
    heard += 0.4 * np.interp(real_s - 0.08, there, night, left=0, right=0)
    heard += 0.05 * np.random.default_rng(seed).standard_normal(len(heard))
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(HZ)
        file.writeframes((np.clip(heard, -1, 1) * 32767).astype("<i2").tobytes())
    return path


@pytest.mark.parametrize(("ppm", "zero_s"), [(80.0, 41.5), (-80.0, -12.25), (0.0, 3.0)])
def test_every_moment_is_found_in_another_recorders_file(tmp_path, night, ppm, zero_s) -> None:
    first = recorded(tmp_path / "programme.wav", night, 20.0, 35.0, 840, 1)
    other = recorded(tmp_path / "camera.wav", night, zero_s, ppm, 800, 2)
    found = by_another(other, first, TapeClock(20 * NS, 35.0))
    assert found.drift_ppm == pytest.approx(ppm, abs=1.0)
    assert found.drift_error_ppm is not None
    clock = TapeClock(found.zero_ns, found.drift_ppm)
    for moment_s in np.linspace(60, 780, 25):
        right_s = (moment_s - zero_s) * (1 + ppm * 1e-6)
        assert abs(float(clock.file_s(round(moment_s * NS))) - right_s) < 0.002
    assert "programme.wav" in found.words
    assert found.words.endswith("put right")


def test_one_that_has_nothing_of_it_is_a_sentence_and_can_be_stopped(tmp_path, night) -> None:
    first = recorded(tmp_path / "programme.wav", night, 20.0, 0.0, 300, 1)
    foreign = np.random.default_rng(5).standard_normal(len(night)).astype(np.float32) * 0.2
    other = recorded(tmp_path / "other.wav", foreign, 0.0, 0.0, 300, 2)
    with pytest.raises(ReviewError, match="does not stand out"):
        by_another(other, first, TapeClock(20 * NS))
    with pytest.raises(ReviewError, match="stopped"):
        by_another(other, first, TapeClock(20 * NS), lambda _done, _of: False)


def test_timecode_on_the_sound_says_how_fast_the_recorder_runs(tmp_path) -> None:
    """LTC of the time of day from 21:00:00, on a recorder that runs 60 ppm slow."""
    wall = datetime(2026, 8, 1, 20, 59, tzinfo=UTC)
    begun = Record(1, 5 * NS, round(wall.timestamp()) * NS, c.Start("Ada"), ())
    end = Record(2, 5 * NS + 1200 * NS, round(wall.timestamp()) * NS + 1200 * NS, c.End("e"), ())
    length_s, ppm, rate = 130, -60.0, 48_000
    code = encode(frame_number("21:00:00:00", "25"), length_s * 25, "25", rate)
    there = np.arange(len(code))
    real = np.arange(int(len(code) * (1 + ppm * 1e-6))) / (1 + ppm * 1e-6)
    heard = np.interp(real, there, code)
    path = tmp_path / "ltc.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes((np.clip(heard, -1, 1) * 32767).astype("<i2").tobytes())
    found = by_its_code(path, None, True, "25", [begun, end], UTC)
    assert found.drift_ppm == pytest.approx(ppm, abs=2)
    assert found.zero_ns == pytest.approx(5 * NS + 60 * NS, abs=NS // 100)
