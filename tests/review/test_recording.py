"""A run found in its recording: by timecode, by LTC, by a tap, by sound; and every cue on its frame."""

import random
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from burned import make_recording, read_number
from played import Played
from small_shows import cue, item, show

from showcaller.review.aligning import (
    SoundSearch,
    by_sound,
    by_tap,
    by_timecode,
    first_timecode,
)
from showcaller.review.errors import ReviewError
from showcaller.review.moments import moments
from showcaller.review.tape_clock import TapeClock
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.screen.clips import Clip, read_sound
from showcaller.timing.ltc.encode import encode
from showcaller.timing.timecode import frame_number, label

NS = 1_000_000_000
RATE = Fraction(30000, 1001)


def busy_night(cues: int = 150, seed: int = 3) -> Played:
    """A run with cues at odd instants, none of them on a frame's edge by design."""
    draw = random.Random(seed)
    marks = sorted(draw.uniform(0.5, 78) for _ in range(cues))
    played = Played(
        show([item("s", 80, [cue(f"c{n}", str(n + 1), round(s, 3)) for n, s in enumerate(marks)])])
    )
    played.at(1.234567, c.Go("s:start"))
    t_s = 1.3
    for mark in marks:
        t_s = max(t_s + 0.001, 1.234567 + mark + draw.gauss(0, 0.05))
        played.go(t_s)
    played.at(90, c.End())
    return played


@pytest.mark.parametrize("rate", [Fraction(25), RATE], ids=["25", "29.97"])
def test_a_hundred_random_cues_are_each_on_their_frame(tmp_path: Path, rate: Fraction) -> None:
    """The burned-in number against exact arithmetic: frame n is on from n/rate to (n + 1)/rate."""
    night = busy_night()
    path = make_recording(tmp_path / "night.mp4", int(86 * rate), rate, first=7)
    zero_ns = -2 * NS - 345_678  # the recorder was started before the run's clock
    fired = [m for m in moments(night.compiled.plan, night.records) if m.kind == "cue"]
    assert len(fired) == 150
    right = 0
    with Clip(path) as clip:
        for moment in random.Random(1).sample(fired, 100):
            shown = clip.frame_at(TapeClock(zero_ns).file_s(moment.t_ns))
            expected = int(Fraction(moment.t_ns - zero_ns, NS) * rate // 1)
            right += read_number(shown.pixels) - 7 == expected == shown.index
    assert right == 100


def stamped(wall: datetime, t_s: float = 5.0) -> list[Record]:
    first = int(wall.timestamp() * NS)
    return [Record(n, int((t_s + n) * NS), first + n * NS, c.Tick()) for n in range(3600)]


def test_the_time_of_day_in_a_recorders_timecode_finds_the_run() -> None:
    records = stamped(datetime(2026, 7, 4, 20, 45, 0, tzinfo=UTC))
    found = by_timecode("20:44:30:05", "25", records, UTC)
    assert found.zero_ns == 5 * NS - 30 * NS + NS // 5
    assert "the time of day" in found.words
    late = by_timecode("00:10:00:00", "25", stamped(datetime(2026, 7, 4, 23, 50, 0, tzinfo=UTC)), UTC)
    assert late.zero_ns == 5 * NS + 20 * 60 * NS  # over midnight


def test_the_shows_own_timecode_finds_the_run_where_it_was_heard() -> None:
    records = stamped(datetime(2026, 7, 4, 20, 45, 0, tzinfo=UTC))
    heard = ev.TimecodeTold(what="locked", code="01:00:10:00", shift_s=None, words="")
    records[100] = Record(100, 105 * NS, records[100].wall_ns, {}, (heard,))
    found = by_timecode("00:59:50:00", "25", records, UTC)
    assert found.zero_ns == 105 * NS - 20 * NS
    with pytest.raises(ReviewError, match="no timecode came in; align it by one tap"):
        by_timecode("05:00:00:00", "25", records[:50], UTC)
    with pytest.raises(ReviewError, match="cannot be used"):
        by_timecode("25:00:00:99", "25", records, UTC)


@pytest.mark.parametrize("rate", ["25", "29.97 drop"])
def test_linear_timecode_on_the_sound_track_gives_the_first_frames_code(tmp_path: Path, rate: str) -> None:
    start = frame_number("21:14:35:12".replace(":12", ";12") if "drop" in rate else "21:14:35:12", rate)
    samples = encode(start, 100, rate, 48_000)
    path = make_recording(tmp_path / "a.mov", 60, Fraction(25), sound=samples)
    heard = read_sound(path, 48_000, 0, 2.0)
    found = first_timecode(heard, rate, 48_000)
    assert found is not None
    assert abs(frame_number(found, rate) - start) <= 1
    assert first_timecode(np.zeros(48_000, np.float32), rate, 48_000) is None


def test_one_tap_says_where_the_run_lies() -> None:
    found = by_tap(65 * NS, Fraction(25, 2))
    assert TapeClock(found.zero_ns).file_s(65 * NS) == Fraction(25, 2)
    assert TapeClock(found.zero_ns).run_ns(Fraction(25, 2)) == 65 * NS


def music(seconds: float, rate: int, seed: int) -> np.ndarray:
    """Something with beats and changing notes."""
    draw = np.random.default_rng(seed)
    t = np.arange(int(seconds * rate)) / rate
    notes = draw.choice([220.0, 277.2, 329.6, 440.0, 554.4], int(seconds * 4) + 1)[(t * 4).astype(int)]
    return (np.sin(2 * np.pi * np.cumsum(notes) / rate) * np.exp(-((t * 2) % 1) * 3)).astype(np.float32)


def test_a_references_sound_is_found_in_the_hall() -> None:
    """Through an echo, a band of noise as loud as the music, and another level; to the millisecond."""
    rate = 8_000
    song = music(40, rate, 1)
    hall = np.zeros(rate * 120, np.float32)
    at = int(53.217 * rate)
    for delay_s, level in ((0, 0.3), (0.031, 0.15), (0.087, 0.08)):
        place = at + int(delay_s * rate)
        hall[place : place + len(song)] += level * song
    hall += np.random.default_rng(2).normal(0, 0.12, len(hall)).astype(np.float32)
    found = by_sound(hall, song[5 * rate : 25 * rate], rate, 100 * NS)
    assert (100 * NS - found.zero_ns) / NS == pytest.approx(53.217 + 5, abs=0.001)
    noise = np.random.default_rng(3).normal(0, 0.2, rate * 60).astype(np.float32)
    with pytest.raises(ReviewError, match="does not stand out"):
        by_sound(noise, song[: 10 * rate], rate, 0)
    search = SoundSearch(song[5 * rate : 25 * rate], rate)
    for first in range(0, len(hall), 30 * rate):  # in stretches, as hours are searched
        search.look(hall[first : first + 50 * rate], first)
    assert search.found(100 * NS).zero_ns == found.zero_ns
    with pytest.raises(ReviewError, match="too little sound"):
        by_sound(hall, song[: rate // 2], rate, 0)


def test_labels_are_those_of_the_show() -> None:
    assert label(frame_number("00:59:59:24", "25") + 1, "25") == "01:00:00:00"
