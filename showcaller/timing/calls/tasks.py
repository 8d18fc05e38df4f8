"""What the call solver works on: tasks, the gaps between goes, partial sheets. Whole nanoseconds."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

NS = 1_000_000_000
STANDBY, WARNING = 0, 1

UTTERANCE = 1 << 60
"""Cost of an utterance: above any total of early nanoseconds."""

LOST_WARNING = UTTERANCE << 16
LOST_STANDBY = LOST_WARNING << 16
LOST = (LOST_STANDBY, LOST_WARNING)
"""Cost of leaving a task out, by kind."""

FOREVER = 1 << 80


class Task(NamedTuple):
    """One cue's standby or warning; ``before`` is the task that must come after it, if any."""

    kind: int
    lo: int
    hi: int
    before: int | None = None


@dataclass(frozen=True, slots=True)
class Solution:
    """``said`` in time order as (tasks, start, end). ``proven``: no sheet whatever is better."""

    said: tuple[tuple[tuple[int, ...], int, int], ...]
    lost: tuple[int, ...]
    proven: bool


@dataclass(slots=True)
class Label:
    """A partial sheet: what it costs, when it starts, and how it came about."""

    cost: int
    start: int
    tasks: tuple[int, ...] = ()
    end: int = 0
    lost: tuple[int, ...] = ()
    parent: "Label | None" = None


class Gaps:
    """The stretches in which the caller is free: outside the goes, a breath away from each."""

    def __init__(self, busy: Sequence[tuple[int, int]], breath: int) -> None:
        """``busy`` are (start, end) of fixed utterances in any order; they may overlap."""
        self.starts = [-FOREVER]
        self.ends: list[int] = []
        for start, end in sorted(busy):
            if start - breath <= self.starts[-1]:
                self.starts[-1] = max(self.starts[-1], end + breath)
                continue
            self.ends.append(start - breath)
            self.starts.append(end + breath)
        self.ends.append(FOREVER)

    def latest_end(self, limit: int, takes: int, lo: int) -> int | None:
        """The latest end in [lo, limit] of an utterance of ``takes`` that lies in one gap; None if none."""
        i = bisect_right(self.starts, limit - takes) - 1
        while i >= 0 and self.ends[i] >= lo:
            end = min(limit, self.ends[i])
            if end < lo:
                return None
            if end - takes >= self.starts[i]:
                return end
            i -= 1
        return None

    def earliest_end(self, takes: int, lo: int) -> int:
        """The earliest end from ``lo`` on of an utterance of ``takes`` that lies in one gap."""
        starts, ends = self.starts, self.ends
        i = max(0, bisect_right(starts, lo) - 1)
        while True:
            end = max(lo, starts[i] + takes)
            if end <= ends[i]:
                return end
            i += 1


class Problem:
    """An item's tasks, in order of need by kind, and how long any of them take to say together."""

    def __init__(
        self,
        tasks: Sequence[Task],
        takes: Callable[[tuple[int, ...]], int],
        gaps: Gaps,
        breath: int,
    ) -> None:
        """``takes(tasks)`` is the length of one utterance for these tasks, all of one kind."""
        self.tasks = tasks
        self.gaps = gaps
        self.breath = breath
        self.order = tuple(
            tuple(sorted((i for i, t in enumerate(tasks) if t.kind == kind), key=lambda i: (tasks[i].hi, i)))
            for kind in (STANDBY, WARNING)
        )
        self._takes = takes
        self._memo: dict[tuple[int, ...], int] = {}
        self.alone = [self.takes((t,)) for t in range(len(tasks))]

    def takes(self, tasks: tuple[int, ...]) -> int:
        """How long saying these tasks in one utterance takes."""
        found = self._memo.get(tasks)
        if found is None:
            found = self._memo[tasks] = self._takes(tasks)
        return found


def keep(
    labels: list[Label],
    cost: int,
    start: int,
    tasks: tuple[int, ...],
    end: int,
    lost: tuple[int, ...],
    parent: Label,
) -> Label | None:
    """Add a label unless one is at least as good in cost and start; forget what it beats.

    Labels stay in order of cost, and so of start.
    """
    at = 0
    for old in labels:
        if old.cost > cost:
            break
        if old.start >= start:
            return None
        if old.cost == cost:
            break
        at += 1
    beaten = at
    count = len(labels)
    while beaten < count and labels[beaten].start <= start:
        beaten += 1
    made = Label(cost, start, tasks, end, lost, parent)
    labels[at:beaten] = [made]
    return made


def down_ns(seconds: Fraction) -> int:
    """Whole nanoseconds, rounded down."""
    return seconds.numerator * NS // seconds.denominator


def up_ns(seconds: Fraction) -> int:
    """Whole nanoseconds, rounded up."""
    return -(-seconds.numerator * NS // seconds.denominator)
