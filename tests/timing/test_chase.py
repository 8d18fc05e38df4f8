"""The timecode chase: lock, freewheel, hold, ask; and no cue fired twice, whatever the code does."""

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from showcaller.timing.chase import (
    Answer,
    Ask,
    Changed,
    ChaseSettings,
    ChaseState,
    Fire,
    Skip,
    Tick,
    TimecodeAt,
    TimecodeCue,
    next_due_ns,
    step,
)

S = 10**9
FRAME = S // 25
SETTINGS = ChaseSettings()
CUES = tuple(TimecodeCue(f"c{n}", n * S) for n in range(1, 60))


class Bench:
    """Feeds a chase and keeps what came out."""

    def __init__(self, cues=CUES, chase=SETTINGS):
        self.state, self.now, self.cues, self.chase = ChaseState(), 0, cues, chase
        self.out = []

    def give(self, given):
        self.state, out = step(self.state, given, self.now, self.cues, self.chase)
        self.out += out
        return out

    def play(self, start, seconds, speed=1.0, way=1):
        """Code from ``start`` seconds on, for so many seconds of its own time."""
        for n in range(round(seconds * 25)):
            self.now += round(FRAME / speed)
            self.give(TimecodeAt(round(start * S) + way * n * FRAME))

    def wait(self, seconds):
        for _ in range(round(seconds * 50)):
            self.now += S // 50
            self.give(Tick())

    @property
    def fired(self):
        return [one.cue for one in self.out if isinstance(one, Fire)]

    @property
    def skipped(self):
        return [one.cue for one in self.out if isinstance(one, Skip)]

    @property
    def modes(self):
        return [one.mode for one in self.out if isinstance(one, Changed)]


def names(first, last):
    return [f"c{n}" for n in range(first, last + 1)]


def test_it_locks_after_frames_that_agree_and_fires_in_order():
    bench = Bench()
    bench.play(0, 3 / 25)
    assert bench.modes == []
    bench.play(3 / 25, 10)
    assert bench.modes == ["locked"]
    assert bench.fired == names(1, 10)
    assert max(one.late_ns for one in bench.out if isinstance(one, Fire)) < FRAME


def test_starting_midway_skips_what_came_before():
    bench = Bench()
    bench.play(5.5, 3)
    assert bench.skipped == names(1, 5)
    assert bench.fired == names(6, 8)


def test_a_cue_between_frames_fires_on_the_clock():
    bench = Bench(cues=(TimecodeCue("between", S + FRAME // 2),))
    bench.play(0, 1 + 1 / 25)
    due = next_due_ns(bench.state, bench.now, bench.cues)
    assert due == bench.now + FRAME // 2
    bench.now = due
    assert bench.give(Tick()) == (Fire("between", 0),)
    assert next_due_ns(bench.state, bench.now, bench.cues) is None


def test_a_drop_out_is_run_through_and_then_held():
    bench = Bench()
    bench.play(0, 4.5)
    bench.wait(1)
    assert bench.modes == ["locked", "freewheeling"]
    assert bench.fired == names(1, 5)
    bench.play(5.5, 1)
    assert bench.modes == ["locked", "freewheeling", "locked"]
    bench.wait(10)
    assert bench.modes[-1] == "holding"
    assert bench.out[-1] == Changed("holding", "no timecode for 2 s: holding")
    assert bench.fired == names(1, 8)
    assert bench.state.position_ns(bench.now) == pytest.approx(6.46 * S + SETTINGS.freewheel_ns, abs=FRAME)


def test_one_bad_frame_does_not_move_it():
    bench = Bench()
    bench.play(0, 4.5)
    bench.play(40, 1 / 25)
    bench.play(4.54, 3)
    assert bench.fired == names(1, 7)
    assert not [one for one in bench.out if isinstance(one, Ask)]


def test_a_small_jump_back_is_followed_and_fires_nothing_twice():
    bench = Bench()
    bench.play(0, 5.2)
    bench.play(4.6, 3)
    assert bench.fired == names(1, 7)
    assert bench.skipped == []


def test_a_small_jump_ahead_fires_what_it_passed():
    bench = Bench()
    bench.play(0, 5.5)
    bench.play(6.2, 2)
    assert bench.fired == names(1, 8)


def test_a_far_jump_ahead_is_asked_about_and_what_it_passes_never_fires():
    bench = Bench()
    bench.play(0, 5.5)
    bench.play(30.5, 1)
    assert bench.state.mode == "asking"
    (ask,) = [one for one in bench.out if isinstance(one, Ask)]
    assert ask.sentence == "timecode has jumped 25 s ahead: follow it?"
    assert bench.fired == names(1, 5)
    bench.give(Answer(follow=True))
    bench.play(31.5, 2)
    assert bench.fired == [*names(1, 5), "c32", "c33"]
    assert bench.skipped == names(6, 31)


def test_a_far_jump_back_is_asked_about_once_and_fires_nothing_again():
    bench = Bench()
    bench.play(0, 20.5)
    bench.play(3, 5)
    assert len([one for one in bench.out if isinstance(one, Ask)]) == 1
    bench.give(Answer(follow=True))
    bench.play(8, 15)
    assert bench.fired == names(1, 22)


def test_a_jump_declined_is_left_until_the_code_comes_back():
    bench = Bench()
    bench.play(0, 5.5)
    bench.play(30, 1)
    bench.give(Answer(follow=False))
    bench.play(31, 4)
    assert bench.modes == ["locked", "freewheeling", "asking", "holding"]
    assert len([one for one in bench.out if isinstance(one, Ask)]) == 1
    bench.play(5.6, 2)
    assert bench.state.mode == "locked"
    assert bench.fired == names(1, 7)


def test_backwards_fires_nothing_and_forwards_again_goes_on():
    bench = Bench()
    bench.play(0, 5.5)
    bench.play(5.4, 0.8, way=-1)
    assert bench.state.mode == "reversing"
    bench.play(4.7, 3)
    assert bench.state.mode == "locked"
    assert bench.fired == names(1, 7)


def test_a_long_way_back_asks_before_going_on():
    bench = Bench()
    bench.play(0, 20.5)
    bench.play(20.4, 10, way=-1)
    bench.play(10.5, 1)
    assert bench.state.mode == "asking"


@pytest.mark.parametrize("speed", [0.8, 1.25])
def test_a_tape_that_runs_fast_or_slow_is_followed(speed):
    bench = Bench()
    bench.play(0, 20.5, speed=speed)
    assert bench.modes == ["locked"]
    assert bench.fired == names(1, 20)


def test_a_cue_moved_after_it_fired_does_not_fire_again():
    bench = Bench(cues=(TimecodeCue("a", 2 * S),))
    bench.play(0, 3)
    bench.cues = (TimecodeCue("a", 5 * S), TimecodeCue("late", S))
    bench.play(3, 4)
    assert bench.fired == ["a"]


# --- never twice ----------------------------------------------------------------------------------------


def wander(pick, bench, legs):
    """Random code: runs, jumps near and far, drop-outs, reverses, bad frames, answers, pauses."""
    at = pick.uniform(0, 20)
    for _ in range(legs):
        what = pick.random()
        if what < 0.35:
            seconds = pick.uniform(0, 3)
            bench.play(at, seconds, speed=pick.choice((0.9, 1, 1, 1.1)))
            at += seconds
        elif what < 0.5:
            at = max(0, at + pick.choice((pick.uniform(-0.9, 0.9), pick.uniform(-30, 30))))
        elif what < 0.65:
            seconds = pick.uniform(0, 3)
            bench.wait(seconds)
            at += pick.choice((0, seconds))
        elif what < 0.8:
            seconds = min(at, pick.uniform(0, 2))
            bench.play(at, seconds, way=-1)
            at -= seconds
        elif what < 0.9:
            bench.now += pick.randrange(FRAME)
            bench.give(TimecodeAt(pick.randrange(60 * S)))
        else:
            bench.give(Answer(pick.random() < 0.6))


def check_never_twice(bench):
    settled = bench.fired + bench.skipped
    assert len(settled) == len(set(settled))
    marks = bench.state.mark_ns
    if marks is not None:
        assert {cue.id for cue in bench.cues if cue.at_ns <= marks} <= {*settled}


@pytest.mark.parametrize("seed", range(20))
def test_ten_thousand_wanderings_never_fire_a_cue_twice_or_one_that_was_skipped(seed):
    # 20 × 500 sequences of jumps, drop-outs and reverses.
    pick = random.Random(seed)
    fired = skipped = 0
    for _ in range(500):
        bench = Bench(cues=CUES[:20])
        wander(pick, bench, 4)
        check_never_twice(bench)
        fired += len(bench.fired)
        skipped += len(bench.skipped)
    assert min(fired, skipped) > 200  # the wanderings do reach cues


inputs = st.one_of(
    st.integers(-3 * S, 30 * S).map(TimecodeAt),
    st.just(Tick()),
    st.booleans().map(Answer),
    st.integers(1, 40),  # so many good frames
)


@settings(max_examples=150)
@given(st.lists(st.tuples(inputs, st.integers(0, 3 * S)), max_size=30))
def test_any_inputs_never_fire_a_cue_twice(steps):
    bench = Bench()
    for given_input, wait in steps:
        bench.now += wait
        if isinstance(given_input, int):
            last = bench.state.run
            bench.play((last.position_ns if last else 0) / S + 1 / 25, given_input / 25)
        else:
            bench.give(given_input)
    check_never_twice(bench)


@given(st.lists(st.tuples(st.integers(0, 30 * S), st.integers(0, 10**8)), max_size=40))
def test_every_change_of_mode_is_told(steps):
    bench = Bench()
    for position, wait in steps:
        bench.now += wait
        before = bench.state.mode
        out = bench.give(TimecodeAt(position))
        told = [one.mode for one in out if isinstance(one, Changed)]
        assert (bench.state.mode != before) == bool(told) or told[-1:] == [before]
        assert not told or told[-1] == bench.state.mode
