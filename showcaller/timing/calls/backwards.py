"""Backwards in time over (standbys left, warnings left); see :mod:`showcaller.timing.calls.solver`.

**When to leave a task out.** That takes no time, so it could be done at any moment; but then sheets with and
without each warning would go side by side to the very beginning. It makes no other sheet to leave a warning
out later, as long as that is before the next utterance for warnings. So it is done at two moments only: as
soon as the warning can no longer be said, which brings sheets together where the better forget the worse; or
else just before the next utterance for warnings (or at the end of the search, when no standby is left).

A standby is left out at any moment: as few are as can be, which leaves hardly a choice.
"""

from bisect import bisect_right
from collections import defaultdict
from operator import itemgetter
from typing import NamedTuple

from showcaller.timing.calls.tasks import (
    FOREVER,
    LOST,
    LOST_STANDBY,
    LOST_STANDBY_BITS,
    LOST_WARNING,
    LOST_WARNING_BITS,
    NEVER,
    NOTHING_SAID,
    STANDBY,
    WARNING,
    Label,
    Problem,
    keep,
)

Block = tuple[int, tuple[int, ...], tuple[int, ...], int, int, int, int]
"""An utterance as far as it does not depend on what is placed after it: (left, members, lost, lo, end,
takes, cost). ``left`` tasks of its kind come before it in order; it ends from ``lo`` to ``end``; ``cost``
still lacks its end, to be taken off once for each member. A bare tuple, as there are so many."""


class Ready(NamedTuple):
    """When the first k tasks of a kind can be done: ``ends[i]`` with ``lost + i`` of them left out;
    ``ends[last]`` with any more."""

    lost: int
    ends: list[int]
    last: int

    def by(self, lost: int) -> int:
        """The earliest end when up to ``lost`` tasks are left out; never, when more must be."""
        more = lost - self.lost
        return FOREVER if more < 0 else self.ends[more if more < self.last else self.last]


class Ways(NamedTuple):
    """For every k: the utterances of a kind whose last task in order is the k-th, and when the first k tasks
    can be done."""

    blocks: list[list[Block]]
    ready: list[Ready]


def search(problem: Problem, standbys: Ways, warnings: Ways, limit: tuple[int, int]) -> Label | None:
    """The cheapest sheet that loses at most ``limit`` standbys and warnings; None if there is none.

    The innermost loop of all: written out, and every call in it saved that can be.
    """
    count, count_warnings = len(problem.order[STANDBY]), len(problem.order[WARNING])
    most, most_warnings = limit
    breath, gaps = problem.breath, problem.gaps
    latest_end, starts, ends = gaps.latest_end, gaps.starts, gaps.ends
    ready, ready_warnings = standbys.ready, warnings.ready
    soonest = [one.by(most) for one in ready]
    soonest_warnings = [one.by(most_warnings) for one in ready_warnings]
    left_at = _standbys_left(problem)
    free_warnings = [
        [(block, min([left_at[t] for t in block[1]])) for block in some] for some in warnings.blocks
    ]
    # The m-th warning cannot be said any more when what is before must be done sooner than this.
    needed = [-FOREVER] * (count_warnings + 1)
    if most_warnings:
        for m in range(1, count_warnings + 1):
            windows = [
                (max(lo, soonest_warnings[left] + breath + takes), last)
                for left, _, _, lo, last, takes, _ in warnings.blocks[m]
            ]
            needed[m] = min([least for least, last in windows if least <= last], default=NEVER)
    # Partial sheets by what is left, at k * row + m; and those before which only warnings may be put.
    row = count_warnings + 1
    sheets: list[list[Label]] = [[] for _ in range((count + 1) * row)]
    waiting: defaultdict[int, list[Label]] = defaultdict(list)

    def in_time(cost: int, by: int, k: int, m: int) -> bool:
        """What is left of both kinds can be done by then with the losses that are left."""
        fewest, soon, last = ready[k]
        more = most - fewest - (cost >> LOST_STANDBY_BITS)
        if more < 0 or soon[more if more < last else last] > by:
            return False
        fewest, soon, last = ready_warnings[m]
        more = most_warnings - fewest - (cost % LOST_STANDBY >> LOST_WARNING_BITS)
        return more >= 0 and soon[more if more < last else last] <= by

    def extend(labels: list[Label], some: list[Block], k: int, m: int, is_warning: bool) -> None:
        """Put each block before each partial sheet that has k standbys and m warnings left."""
        latest_of_all = labels[-1][1] - breath
        # What is left of either kind must still fit before.
        own, other = (soonest_warnings, soonest[k]) if is_warning else (soonest, soonest_warnings[m])
        for left, members, lost, lo, last, takes, price in some:
            done = own[left]
            least = (done if done > other else other) + breath + takes
            least = least if least > lo else lo
            if least > last or least > latest_of_all:
                continue
            if is_warning:
                m = left
            else:
                k = left
            size, reached = len(members), -FOREVER
            # From cheap to dear; a dearer one is worth a look only while it lets the block end later.
            for label in labels:
                latest = label[1] - breath
                if latest >= last:
                    end = last  # the block was made with the latest end there is
                elif latest < least:
                    continue
                else:
                    # As ``latest_end`` does, asked only where the first gap it looks at is too short.
                    gap = bisect_right(starts, latest - takes) - 1
                    end = ends[gap]
                    if end >= latest:
                        end = latest
                    elif end < least:
                        continue
                    elif end - takes < starts[gap]:
                        found = latest_end(latest, takes, least)
                        if found is None:
                            continue
                        end = found
                if end <= reached:
                    continue
                reached, start = end, end - takes
                cost, by = label[0] + price - end * size, start - breath
                if by < needed[m]:
                    still = m - 1
                    while by < needed[still]:
                        still -= 1
                    cost += LOST_WARNING * (m - still)
                    if in_time(cost, by, k, still):
                        gone = (*lost, *problem.order[WARNING][still:m])
                        keep(sheets[k * row + still], (cost, start, members, end, gone, label))
                elif cost < LOST_WARNING or in_time(cost, by, k, m):
                    keep(sheets[k * row + m], (cost, start, members, end, lost, label))
                if reached == last:
                    break

    def lose(labels: list[Label], kind: int, into: list[Label], k: int, m: int) -> None:
        """Leave the last task out, so that k standbys and m warnings are left."""
        lost = (problem.order[kind][m if kind == WARNING else k],)
        for label in labels:
            cost, start = label[0] + LOST[kind], label[1]
            if in_time(cost, start - breath, k, m):
                keep(into, (cost, start, (), 0, lost, label))

    sheets[-1].append(NOTHING_SAID)
    for n in range(count + count_warnings, 0, -1):
        for k in range(max(0, n - count_warnings), min(n, count) + 1):
            m = n - k
            at = k * row + m
            labels = sheets[at]
            if labels:
                problem.between()
            if k and labels:
                if most:
                    lose(labels, STANDBY, sheets[at - row], k - 1, m)
                extend(labels, standbys.blocks[k], k, m, is_warning=False)
            for label in waiting.pop(at, ()):
                keep(labels, label)  # no standby is put before these any more
            if m and labels:
                if most_warnings:
                    lose(labels, WARNING, waiting[at - 1] if k else sheets[at - 1], k, m - 1)
                some = [block for block, most_left in free_warnings[m] if k <= most_left]
                extend(labels, some, k, m, is_warning=True)
            labels.clear()  # so that they are not all forgotten in one long moment
    return min(sheets[0], key=itemgetter(0), default=None)


def _standbys_left(problem: Problem) -> dict[int, int]:
    """How many standbys may be left when a warning is placed: its own, which comes after it, has been."""
    due = {task: k for k, task in enumerate(problem.order[STANDBY])}
    everything = len(due)
    found: dict[int, int] = {}
    for task in problem.order[WARNING]:
        standby = problem.tasks[task].before
        found[task] = everything if standby is None else due[standby]
    return found
