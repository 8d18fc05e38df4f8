"""What the machine is told of timecode: little, and in time."""

import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, item, show

from showcaller.engine.timecode_in.follower import TimecodeFollower
from showcaller.model import Chasing
from showcaller.run import commands as c
from showcaller.run.compiled import NS, compile_show
from showcaller.run.machine import first_state, step
from showcaller.timing.plan import compile_plan
from showcaller.values import replace

FRAME = NS // 25
HOUR = 3600 * NS


class Bench:
    """A follower and the machine that it tells."""

    def __init__(self, **chase):
        cues = [cue("a", "1", 0), cue("t", "2", 2, fires="by itself")]
        source = {"kind": "mtc", "port": "x"}
        made = show([item("s", 600, cues, timecode_start="01:00:00:00")], timecode_in=source)
        self.compiled = compile_show(compile_plan(made))
        self.follower = TimecodeFollower(self.compiled, Chasing(**chase))
        self.state, self.now, self.words = first_state(self.compiled), 0, []
        self.do(c.Start("Ada"))

    def do(self, given):
        self.state, out = step(self.compiled, self.state, given, self.now)
        assert out.refused is None
        return out

    def tell(self, word):
        if word is not None:
            self.words.append(word)
            assert self.do(word).events, "a word that says nothing new"

    def hear(self, position, late=0, whole=True):
        self.tell(
            self.follower.hear(self.compiled, self.state, position, self.now + late, self.now + late, whole)
        )

    def play(self, position, frames, jitter=lambda: 0, way=1):
        for n in range(frames):
            self.hear(position + way * n * FRAME, jitter())
            self.now += FRAME
        return position + way * frames * FRAME

    def wait(self, ns):
        self.now += ns
        self.tell(self.follower.pass_time(self.compiled, self.state, self.now))

    def modes(self):
        return [word.mode for word in self.words]


def test_four_frames_that_agree_are_believed_and_after_that_nothing_is_said_for_an_hour():
    bench = Bench()
    at = bench.play(HOUR, 3)
    assert bench.words == []
    bench.play(at, 25 * 3600)
    assert bench.words == [c.Timecode("locked", 3 * FRAME - 3 * FRAME - HOUR, "following timecode")]


@given(st.integers(0, 2**32))
@settings(max_examples=25, deadline=None)
def test_frames_that_come_up_to_a_third_late_move_nothing_and_the_clock_is_right_to_half_a_frame(seed):
    r = random.Random(seed)
    bench = Bench()
    bench.play(HOUR, 200, lambda: r.randrange(FRAME // 3))
    assert bench.modes()[0] == "locked"
    assert len(bench.words) <= 2
    # The code showed midnight an hour before the start: 0 − HOUR.
    assert abs(bench.state.timecode.zero_ns + HOUR) < FRAME // 2


def test_code_that_runs_a_little_fast_is_kept_up_with_by_half_frames():
    bench = Bench()
    position = HOUR
    for n in range(2000):
        bench.hear(position + round(n * FRAME * Fraction(1001, 1000)))
        bench.now += FRAME
        true_zero = bench.now - FRAME - (position + round(n * FRAME * Fraction(1001, 1000)))
        if n > 10:
            assert abs(bench.state.timecode.zero_ns - true_zero) <= FRAME // 2 + FRAME // 50
    assert set(bench.modes()) == {"locked"}
    # Two frames in 2,000 are four halves.
    assert len(bench.words) == 1 + 3


def test_silence_is_a_drop_out_then_a_loss_at_the_instants_promised():
    bench = Bench(freewheel_s=1)
    bench.play(HOUR, 10)
    last = bench.now - FRAME
    assert bench.follower.deadline_ns == last + 150_000_001
    bench.now = last
    bench.wait(150_000_000)
    assert bench.modes() == ["locked"]
    bench.wait(1)
    assert bench.modes() == ["locked", "freewheeling"]
    assert bench.follower.deadline_ns == last + NS + 1
    bench.now = last
    bench.wait(NS + 1)
    assert bench.modes() == ["locked", "freewheeling", "holding"]
    assert (bench.words[-1].zero_ns, bench.follower.deadline_ns) == (None, None)
    bench.play(HOUR + 5 * NS, 4)
    assert bench.modes()[-1] == "locked"


def test_no_freewheel_at_all_is_still_no_drop_out_between_two_frames():
    bench = Bench(freewheel_s=0)
    for n in range(20):
        bench.hear(HOUR + n * FRAME)
        bench.wait(FRAME)
    assert bench.modes() == ["locked"]
    bench.wait(3 * FRAME)
    assert bench.modes() == ["locked", "holding"]


def test_a_far_jump_is_asked_about_by_the_machine_and_one_between_songs_by_nobody():
    bench = Bench()
    bench.play(5 * HOUR, 10)
    bench.play(9 * HOUR, 10)
    assert (bench.modes(), bench.state.lead) == (["locked", "freewheeling", "locked"], "hand")
    bench.do(c.Go("s:start"))
    at = bench.play(HOUR, 25)
    assert bench.state.lead == "timecode"
    bench.play(at + 100 * NS, 10)
    assert bench.state.lead == "asks"


def test_code_that_comes_into_the_song_by_running_on_is_noticed():
    bench = Bench()
    at = bench.play(HOUR - 12 * NS, 25)
    bench.do(c.Go("s:start"))
    assert bench.state.lead == "hand", "eleven seconds before its start is not this song's"
    bench.play(at, 50)
    assert bench.state.lead == "asks"
    assert bench.words[-1].words == "the code has come to this song"


def test_backwards_is_said_and_leads_nothing():
    bench = Bench()
    at = bench.play(HOUR, 25)
    bench.do(c.Go("s:start"))
    bench.play(at, 10, way=-1)
    assert bench.modes()[-1] == "reversing"
    assert bench.state.lead == "stands"


def test_quarters_between_frames_count_for_the_place_and_not_for_the_lock():
    bench = Bench()
    for n in range(40):
        bench.hear(HOUR + n * FRAME // 4, whole=n % 4 == 0)
        bench.now += FRAME // 4
    assert bench.modes() == ["locked"]
    other = Bench()
    for n in range(40):
        other.hear(HOUR + n * FRAME // 4, whole=False)
    assert other.words == []


def test_midnight_is_crossed_without_a_word():
    bench = Bench()
    day = bench.compiled.timecode.day_ns
    for n in range(50):
        bench.hear((day - 20 * FRAME + n * FRAME) % day)
        bench.now += FRAME
    assert bench.modes() == ["locked"]


@pytest.mark.parametrize("frames", [2, 7])
def test_as_many_frames_are_waited_for_as_the_show_says(frames):
    bench = Bench(lock_frames=frames)
    bench.play(HOUR, frames - 1)
    assert bench.words == []
    bench.play(HOUR + (frames - 1) * FRAME, 1)
    assert bench.modes() == ["locked"]


def test_what_the_machine_was_told_is_all_that_it_needs():
    bench = Bench()
    bench.play(HOUR, 20)
    bench.do(c.Go("s:start"))
    told = replace(bench.state)
    bench.play(HOUR + 20 * FRAME, 25)
    assert bench.state == told
