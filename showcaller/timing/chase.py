"""Following timecode: lock, freewheel, hold, ask; and firing cues, each at most once.

A pure step: what comes in (code, the passing of time, an answer) and when, gives the next state and what
came of it. Positions and instants are whole nanoseconds; positions on the code's own time, instants on the
monotonic clock.

Two things are kept apart. The *reference* says where the code is: the last code believed, carried on by the
clock between its frames. The *mark* is the furthest position reached; it never goes back, and a cue fires
only when the mark passes it. So no cue fires twice, whatever the code does, and a cue that the mark was
moved over without firing (because the caller chose to follow a far jump) never fires at all.
"""

from collections.abc import Sequence
from typing import Literal

from showcaller.values import Struct, replace

Mode = Literal["waiting", "locked", "freewheeling", "holding", "reversing", "asking"]
"""waiting: no code yet. locked: following it. freewheeling: no code to believe just now, carried on by the
clock. holding: stopped, firing nothing. reversing: the code runs backwards, firing nothing. asking: it has
jumped far, firing nothing until answered."""


class ChaseSettings(Struct, frozen=True):
    """How the chase behaves; all in nanoseconds but ``lock_frames``.

    ``lock_frames`` frames must agree with each other and the clock to within ``tolerance_ns`` before a new
    place is believed. Without code it freewheels for ``freewheel_ns``. A jump of up to ``near_ns`` is
    followed at once; a farther one is asked about. ``dropout_ns`` without code is a drop-out.
    """

    lock_frames: int = 4
    tolerance_ns: int = 80_000_000
    dropout_ns: int = 150_000_000
    freewheel_ns: int = 2_000_000_000
    near_ns: int = 1_000_000_000


class TimecodeCue(Struct, frozen=True):
    """A cue that timecode fires, and the position where it does."""

    id: str
    at_ns: int


class TimecodeAt(Struct, frozen=True):
    """A frame of timecode has come in: its position now."""

    position_ns: int


class Tick(Struct, frozen=True):
    """Time has passed."""


class Answer(Struct, frozen=True):
    """To a far jump: follow it, or stay."""

    follow: bool


class Fire(Struct, frozen=True):
    """Fire this cue now; ``late_ns`` is how far past its position the code already is."""

    cue: str
    late_ns: int


class Skip(Struct, frozen=True):
    """This cue was passed over and will not fire."""

    cue: str


class Changed(Struct, frozen=True):
    """The chase behaves differently from now on, and why, in one sentence."""

    mode: Mode
    sentence: str


class Ask(Struct, frozen=True):
    """The code has jumped far: follow it? Answer with :class:`Answer`."""

    from_ns: int
    to_ns: int
    sentence: str


Input = TimecodeAt | Tick | Answer
Output = Fire | Skip | Changed | Ask


class _Run(Struct, frozen=True):
    """Frames that agree with each other: the last one's position and instant, how many, and which way."""

    position_ns: int
    at_ns: int
    count: int = 1
    way: int = 0


class ChaseState(Struct, frozen=True):
    """What the chase remembers.

    ``mark_ns`` is the furthest position reached, None before the first lock; ``done`` the cues fired or
    skipped. ``reference`` is the code last believed, ``run`` what is coming in, ``declined`` whether the
    caller has chosen not to follow it.
    """

    mode: Mode = "waiting"
    mark_ns: int | None = None
    done: frozenset[str] = frozenset()
    reference: tuple[int, int] | None = None
    run: _Run | None = None
    declined: bool = False

    def position_ns(self, now_ns: int) -> int | None:
        """Where the code is taken to be now; None before the first lock."""
        if self.reference is None or self.mode not in ("locked", "freewheeling"):
            return self.mark_ns
        return self.reference[0] + now_ns - self.reference[1]


def step(
    state: ChaseState, given: Input, now_ns: int, cues: Sequence[TimecodeCue], settings: ChaseSettings
) -> tuple[ChaseState, tuple[Output, ...]]:
    """What ``given`` at ``now_ns`` leads to. ``cues`` in any order; they may change from step to step."""
    out: list[Output] = []
    state = _let_time_pass(state, now_ns, cues, settings, out)
    if isinstance(given, TimecodeAt):
        state = _take_timecode(state, given.position_ns, now_ns, cues, settings, out)
    elif isinstance(given, Answer) and state.mode == "asking":
        state = _answer(state, given.follow, now_ns, cues, settings, out)
    return state, tuple(out)


def next_due_ns(state: ChaseState, now_ns: int, cues: Sequence[TimecodeCue]) -> int | None:
    """The instant at which the next cue is due if the code runs on, for arming a timer; None when none is."""
    position, mark = state.position_ns(now_ns), state.mark_ns
    if state.mode not in ("locked", "freewheeling") or position is None or mark is None:
        return None
    ahead = [cue.at_ns for cue in cues if cue.id not in state.done and cue.at_ns > mark]
    return now_ns + max(0, min(ahead) - position) if ahead else None


def _let_time_pass(
    state: ChaseState, now_ns: int, cues: Sequence[TimecodeCue], settings: ChaseSettings, out: list[Output]
) -> ChaseState:
    """Carry the reference on to ``now_ns``, through a drop-out and to its end."""
    if state.reference is None or state.mode not in ("locked", "freewheeling"):
        return state
    silent = now_ns - state.reference[1]
    reached = state.reference[0] + max(0, min(silent, settings.freewheel_ns))
    state = _advance(state, reached, cues, out)
    if silent > settings.freewheel_ns:
        sentence = f"no timecode for {_s(settings.freewheel_ns)} s: holding"
        return _change(replace(state, reference=None), "holding", sentence, out)
    if silent > settings.dropout_ns:
        return _change(state, "freewheeling", "timecode has dropped out: running on by the clock", out)
    return state


def _take_timecode(
    state: ChaseState,
    position_ns: int,
    now_ns: int,
    cues: Sequence[TimecodeCue],
    settings: ChaseSettings,
    out: list[Output],
) -> ChaseState:
    run = _continued(state.run, position_ns, now_ns, settings)
    if run.count == 1:
        state = replace(state, declined=False)
    state = replace(state, run=run)
    if state.mode == "locked" and run.way >= 0:
        expected = state.position_ns(now_ns)
        if expected is not None and abs(position_ns - expected) <= settings.tolerance_ns:
            state = replace(state, reference=(position_ns, now_ns))
            return _advance(state, position_ns, cues, out)
    if run.count < settings.lock_frames:
        if state.mode == "locked":
            return _change(state, "freewheeling", "timecode is broken: running on by the clock", out)
        return state
    if run.way < 0:
        return _change(
            replace(state, reference=None), "reversing", "timecode runs backwards: nothing fires", out
        )
    return _resolve(state, position_ns, now_ns, cues, settings, out)


def _continued(run: _Run | None, position_ns: int, now_ns: int, settings: ChaseSettings) -> _Run:
    """The run with one more frame, or a new one where this frame does not agree with it."""
    if run is not None and now_ns >= run.at_ns:
        moved, passed = position_ns - run.position_ns, now_ns - run.at_ns
        way = 1 if moved > 0 else -1 if moved < 0 else 0
        agrees = abs(abs(moved) - passed) <= settings.tolerance_ns and passed <= settings.freewheel_ns
        if agrees and way and way == (run.way or way):
            return _Run(position_ns, now_ns, run.count + 1, way)
    return _Run(position_ns, now_ns)


def _resolve(
    state: ChaseState,
    position_ns: int,
    now_ns: int,
    cues: Sequence[TimecodeCue],
    settings: ChaseSettings,
    out: list[Output],
) -> ChaseState:
    """Enough frames agree on a place: go there if it is near, else ask."""
    believed = replace(state, reference=(position_ns, now_ns), declined=False)
    if state.mark_ns is None:
        believed = _pass_over(believed, position_ns, cues, out)
        return _change(believed, "locked", "following timecode", out)
    expected = state.position_ns(now_ns)
    assert expected is not None
    # Behind the mark by more than a little is far too, however the code came there: nothing would fire.
    if abs(position_ns - expected) <= settings.near_ns and state.mark_ns - position_ns <= settings.near_ns:
        return _advance(_change(believed, "locked", "following timecode", out), position_ns, cues, out)
    if state.mode == "asking" or state.declined:
        return state
    sentence = (
        f"timecode has jumped {_s(abs(position_ns - expected))} s "
        f"{'ahead' if position_ns > expected else 'back'}: follow it?"
    )
    state = _change(replace(state, reference=None), "asking", "timecode has jumped far: nothing fires", out)
    out.append(Ask(expected, position_ns, sentence))
    return state


def _answer(
    state: ChaseState,
    follow: bool,
    now_ns: int,
    cues: Sequence[TimecodeCue],
    settings: ChaseSettings,
    out: list[Output],
) -> ChaseState:
    if not follow or state.run is None:
        return _change(replace(state, declined=True), "holding", "not following the jump: holding", out)
    position_ns = state.run.position_ns + min(now_ns - state.run.at_ns, settings.freewheel_ns)
    state = replace(state, reference=(state.run.position_ns, state.run.at_ns), declined=False)
    state = _pass_over(state, position_ns, cues, out)
    return _change(state, "locked", "following timecode", out)


def _advance(state: ChaseState, to_ns: int, cues: Sequence[TimecodeCue], out: list[Output]) -> ChaseState:
    """Move the mark on to ``to_ns``, firing what it passes."""
    mark = state.mark_ns
    if mark is None or to_ns <= mark:
        return state
    due = sorted(
        (c for c in cues if mark < c.at_ns <= to_ns and c.id not in state.done), key=lambda c: c.at_ns
    )
    out += [Fire(cue.id, to_ns - cue.at_ns) for cue in due]
    return replace(state, mark_ns=to_ns, done=state.done.union(cue.id for cue in due))


def _pass_over(state: ChaseState, to_ns: int, cues: Sequence[TimecodeCue], out: list[Output]) -> ChaseState:
    """Move the mark on to ``to_ns`` without firing; what lies before it will not fire any more."""
    if state.mark_ns is not None and to_ns <= state.mark_ns:
        return state
    # A cue exactly where the code is now is not passed over yet.
    passed = sorted((c for c in cues if c.at_ns < to_ns and c.id not in state.done), key=lambda c: c.at_ns)
    out += [Skip(cue.id) for cue in passed]
    return replace(state, mark_ns=to_ns - 1, done=state.done.union(cue.id for cue in passed))


def _change(state: ChaseState, mode: Mode, sentence: str, out: list[Output]) -> ChaseState:
    if state.mode == mode:
        return state
    out.append(Changed(mode, sentence))
    return replace(state, mode=mode)


def _s(ns: int) -> str:
    return f"{ns / 1e9:.1f}".removesuffix(".0")
