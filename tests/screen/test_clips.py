"""The frame that was asked for is the frame that comes, read from a number burned into each of them."""

import random
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from burned import make_recording, read_number

from showcaller.screen.clips import Clip, read_sound
from showcaller.screen.errors import ClipError

RATES = {"25": Fraction(25), "29.97": Fraction(30000, 1001), "50": Fraction(50)}


@pytest.mark.parametrize(
    ("name", "rate", "codec"),
    [
        ("a.mp4", "29.97", "libx264"),
        ("b.mov", "25", "libx264"),
        ("c.mkv", "50", "mpeg4"),
        ("d.ts", "25", "libx264"),
    ],
)
def test_every_frame_asked_for_is_the_one_that_comes(
    tmp_path: Path, name: str, rate: str, codec: str
) -> None:
    path = make_recording(tmp_path / name, 400, RATES[rate], codec=codec)
    with Clip(path) as clip:
        assert (clip.facts.width, clip.facts.height, clip.facts.rate) == (320, 180, RATES[rate])
        wanted = [*random.Random(4).sample(range(400), 25), 0, 1, 399, 398, 0]
        for number in wanted:
            shown = clip.frame(number)
            assert (read_number(shown.pixels), shown.index) == (number, number)
        # In order, as when it plays, and an instant just before a frame is still the frame before.
        assert [read_number(clip.frame(n).pixels) for n in range(120, 140)] == list(range(120, 140))
        begins = clip.frame(200).at_s
        assert read_number(clip.frame_at(begins).pixels) == 200
        assert read_number(clip.frame_at(begins - Fraction(1, 90_000)).pixels) == 199
        assert read_number(clip.frame_at(-5).pixels) == 0
        assert read_number(clip.frame_at(9999).pixels) == 399


def test_a_files_own_timecode_is_read(tmp_path: Path) -> None:
    with Clip(make_recording(tmp_path / "a.mov", 10, RATES["25"], timecode="21:14:35:12")) as clip:
        assert clip.facts.timecode == "21:14:35:12"
        assert (clip.facts.frames, clip.facts.has_sound) == (10, False)


def test_sound_comes_at_the_place_asked_for(tmp_path: Path) -> None:
    samples = np.zeros(48_000 * 4, np.float32)
    samples[48_000 * 2 :] = np.sin(np.arange(48_000 * 2) * 2 * np.pi * 440 / 48_000) * 0.8
    path = make_recording(tmp_path / "a.mov", 100, RATES["25"], sound=samples)
    heard = read_sound(path, 16_000)
    assert len(heard) == pytest.approx(64_000, abs=200)
    assert np.flatnonzero(np.abs(heard) > 0.1)[0] == pytest.approx(32_000, abs=10)
    part = read_sound(path, 16_000, start_s=1.5, length_s=1.0)
    assert len(part) == 16_000
    assert np.flatnonzero(np.abs(part) > 0.1)[0] == pytest.approx(8_000, abs=10)


def test_what_cannot_be_used_is_said(tmp_path: Path) -> None:
    with pytest.raises(ClipError, match="there is no"):
        Clip(tmp_path / "none.mov")
    (tmp_path / "x.mov").write_bytes(b"hello")
    with pytest.raises(ClipError, match="cannot be read as a video"):
        Clip(tmp_path / "x.mov")
    silent = make_recording(tmp_path / "a.mov", 3, RATES["25"])
    with pytest.raises(ClipError, match="has no sound"):
        read_sound(silent)
    whole = make_recording(tmp_path / "w.mkv", 300, RATES["25"], codec="mpeg4").read_bytes()
    (tmp_path / "cut.mkv").write_bytes(whole[: len(whole) // 2])
    with Clip(tmp_path / "cut.mkv") as clip:  # a recorder that lost power: what is there is shown
        assert read_number(clip.frame(20).pixels) == 20
        assert read_number(clip.frame(299).pixels) < 299
