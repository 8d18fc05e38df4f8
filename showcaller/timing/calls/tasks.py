"""What the call solver works on: tasks, the gaps between goes, partial sheets. Whole nanoseconds."""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from showcaller.values import Struct

NS = 1_000_000_000
STANDBY, WARNING = 0, 1

UTTERANCE = 1 << 60
"""Cost of an utterance: above any total of early nanoseconds."""

LOST_WARNING_BITS, LOST_STANDBY_BITS = 76, 92
LOST_WARNING, LOST_STANDBY = 1 << LOST_WARNING_BITS, 1 << LOST_STANDBY_BITS
LOST = (LOST_STANDBY, LOST_WARNING)
"""Cost of leaving a task out, by kind."""

SPAN = 32
"""Cues in one utterance at most: more than anyone can say, or heed, in one breath."""

FOREVER = 1 << 80
NEVER = 2 * FOREVER
"""After anything that is counted from forever."""


class Task(NamedTuple):
    """One cue's standby or warning; ``before`` is the task that must come after it, if any."""

    kind: int
    lo: int
    hi: int
    before: int | None = None


class Solution(Struct, frozen=True):
    """``said`` in time order as (tasks, start, end). ``proven``: no sheet whatever is better."""

    said: tuple[tuple[tuple[int, ...], int, int], ...]
    lost: tuple[int, ...]
    proven: bool


Label = tuple[int, int, tuple[int, ...], int, tuple[int, ...], "Label | None"]
"""A partial sheet: what it costs and when it starts; the tasks of its first utterance and when that ends;
what is left out there; and the sheet that this was put before. A bare tuple: tens of thousands are made."""

NOTHING_SAID: Label = (0, FOREVER, (), 0, (), None)
"""What every sheet begins with, from its end."""


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
        starts, ends = self.starts, self.ends
        i = bisect_right(starts, limit - takes) - 1
        end = ends[i]
        if end >= limit:
            return limit if limit >= lo else None
        while end >= lo:
            if end - takes >= starts[i]:  # at the latest in the first gap, which has no beginning
                return end
            i -= 1
            end = ends[i]
        return None

    def earliest_end(self, takes: int, lo: int) -> int:
        """The earliest end from ``lo`` on of an utterance of ``takes`` that lies in one gap."""
        starts, ends = self.starts, self.ends
        i = bisect_right(starts, lo) - 1
        end = starts[i] + takes
        end = max(end, lo)
        while end > ends[i]:
            i += 1
            end = starts[i] + takes
        return end


class Problem:
    """An item's tasks, in order of need by kind, and how long any of them take to say together."""

    def __init__(
        self,
        tasks: Sequence[Task],
        takes: Callable[[tuple[int, ...]], int],
        gaps: Gaps,
        breath: int,
        growing: Callable[[tuple[int, ...]], list[int]] | None = None,
        between: Callable[[], object] = lambda: None,
    ) -> None:
        """``takes(tasks)`` is the length of one utterance for these tasks, all of one kind.

        ``growing(tasks)`` are the lengths for the first of them, the first two and so on, where that is
        sooner than one by one. ``between`` is called again and again while the problem is solved, so that who
        does it on a thread can let others go first.
        """
        self.tasks = tasks
        self.gaps = gaps
        self.breath = breath
        self.between = between
        self.order = tuple(
            tuple(sorted((i for i, t in enumerate(tasks) if t.kind == kind), key=lambda i: (tasks[i].hi, i)))
            for kind in (STANDBY, WARNING)
        )
        self.measure = takes
        """How long saying some tasks in one utterance takes, worked out anew; :meth:`takes` remembers."""
        self._growing = growing or (lambda some: [takes(some[:n]) for n in range(1, len(some) + 1)])
        self._memo: dict[tuple[int, ...], int] = {}
        self.lengths = tuple(self._lengths(some) for some in self.order)
        """By kind: how long the j-th task in order takes to say alone, with the next, and so on, as far as
        any can be said by the time it is due."""
        self.alone = [0] * len(tasks)
        """How long each task takes to say alone."""
        for some, lengths in zip(self.order, self.lengths, strict=True):
            for task, growing_lengths in zip(some, lengths, strict=True):
                self.alone[task] = growing_lengths[0]

    def _lengths(self, order: tuple[int, ...]) -> list[list[int]]:
        # Nothing from here on can be said as soon as this, so that an utterance need not grow any further.
        soonest = list(accumulate((self.tasks[t].lo for t in reversed(order)), min))[::-1]
        count = len(order)
        found: list[list[int]] = []
        for j, task in enumerate(order):
            self.between()
            end_of = bisect_right(soonest, self.tasks[task].hi, j + 1, min(count, j + SPAN))
            found.append(self._growing(order[j:end_of]))
        return found

    def takes(self, tasks: tuple[int, ...]) -> int:
        """How long saying these tasks in one utterance takes."""
        found = self._memo.get(tasks)
        if found is None:
            found = self._memo[tasks] = self.measure(tasks)
        return found


def keep(labels: list[Label], made: Label) -> bool:
    """Add a label unless one is at least as good in cost and start, and forget what it beats; whether it was
    added.

    Labels stay in order of cost, and so of start.
    """
    cost, start = made[0], made[1]
    if not labels or (labels[-1][0] < cost and labels[-1][1] < start):
        labels.append(made)
        return True
    at = 0
    for old in labels:
        old_cost, old_start = old[0], old[1]
        if old_cost > cost:
            break
        if old_start >= start:
            return False
        if old_cost == cost:
            break
        at += 1
    beaten = at
    count = len(labels)
    while beaten < count and labels[beaten][1] <= start:
        beaten += 1
    labels[at:beaten] = [made]
    return True


def down_ns(seconds: Fraction) -> int:
    """Whole nanoseconds, rounded down."""
    return seconds.numerator * NS // seconds.denominator


def up_ns(seconds: Fraction) -> int:
    """Whole nanoseconds, rounded up."""
    return -(-seconds.numerator * NS // seconds.denominator)
