"""When to say what: the fewest utterances that give every cue its standby, found exactly.

Whole nanoseconds throughout. A *task* is one cue's standby or warning; it must be said so that it ends
within [lo, hi]. Tasks of a kind may share an utterance whose end lies in all their windows; it then takes
longer to say. Utterances lie in the *gaps* between the goes, a breath apart, and a warning comes before its
standby. Wanted, one after the other: the fewest tasks left out, the fewest utterances, the least total time
before ``hi``.

**In order of need.** First, only sheets are considered in which tasks of a kind are said in order of ``hi``
(what is due first is said first). Going backwards in time, a partial sheet is described by how many tasks of
each kind are still to place, its cost, and the start of what was placed last. Placing as late as possible
leaves most room, so of two partial sheets with the same tasks left, one that costs no more and starts no
earlier is never worse; the others are forgotten. The search over the rest is complete.

**Out of order.** Saying a short standby before a long one that is due first can, rarely, save an utterance.
A lower bound on the utterances of any sheet is the number of moments needed to pierce all windows. When the
first search meets it, its sheet is the best of all. Otherwise a second search goes over sets of tasks still
to place, with the same dominance, cut by the bound; it is complete too unless its budget runs out.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

STANDBY, WARNING = 0, 1

_UTTERANCE = 1 << 60
"""Cost of an utterance: above any total of early nanoseconds."""
_LOST_WARNING = _UTTERANCE << 16
_LOST_STANDBY = _LOST_WARNING << 16
_LOST = (_LOST_STANDBY, _LOST_WARNING)
_FOREVER = 1 << 80


@dataclass(frozen=True, slots=True)
class Task:
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
class _Label:
    """A partial sheet: what it costs, when it starts, and how it came about."""

    cost: int
    start: int
    tasks: tuple[int, ...] = ()
    end: int = 0
    lost: tuple[int, ...] = ()
    parent: "_Label | None" = None


@dataclass(frozen=True, slots=True)
class _Block:
    """An utterance as far as it does not depend on what is placed after it.

    ``left`` tasks of its kind come before it in order; it ends from ``lo`` to ``end``; ``cost`` still lacks
    its end, to be taken off once for each member.
    """

    left: int
    members: tuple[int, ...]
    lost: tuple[int, ...]
    lo: int
    end: int
    takes: int
    cost: int


class Gaps:
    """The stretches in which the caller is free: outside the goes, a breath away from each."""

    def __init__(self, busy: Sequence[tuple[int, int]], breath: int) -> None:
        """``busy`` are (start, end) of fixed utterances in any order; they may overlap."""
        self.starts = [-_FOREVER]
        self.ends: list[int] = []
        for start, end in sorted(busy):
            if start - breath <= self.starts[-1]:
                self.starts[-1] = max(self.starts[-1], end + breath)
                continue
            self.ends.append(start - breath)
            self.starts.append(end + breath)
        self.ends.append(_FOREVER)

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


class Solver:
    """One item's tasks and gaps.

    ``takes(tasks)`` is how long saying these tasks together takes. ``budget`` bounds the second search,
    counted in tasks looked at (about a microsecond each); without it small items are searched to the end,
    while in crowded ones the proof would cost more time than redrawing a screen allows.
    """

    def __init__(
        self,
        tasks: Sequence[Task],
        takes: Callable[[tuple[int, ...]], int],
        gaps: Gaps,
        breath: int,
        budget: int | None = None,
    ) -> None:
        self._tasks = tasks
        self._takes = takes
        self._gaps = gaps
        self._breath = breath
        self._budget = budget if budget is not None else 20_000 if len(tasks) <= 16 else 1_000
        self._order = tuple(
            sorted((i for i, t in enumerate(tasks) if t.kind == kind), key=lambda i: (tasks[i].hi, i))
            for kind in (STANDBY, WARNING)
        )
        self._memo: dict[tuple[int, ...], int] = {}

    def solve(self) -> Solution:
        """The best sheet; tasks that fit nowhere are left out."""
        bound = self._bound(range(len(self._tasks)), _FOREVER)
        best = self._in_order(drops=False)
        if best is not None and best.cost // _UTTERANCE <= bound // _UTTERANCE:
            return self._solution(best, proven=True)
        if best is None:
            best = self._in_order(drops=True)
            assert best is not None
            if best.cost // _UTTERANCE <= bound // _UTTERANCE:
                return self._solution(best, proven=True)
        better, complete = self._out_of_order(best.cost // _UTTERANCE)
        return self._solution(better or best, proven=complete)

    def _length(self, tasks: tuple[int, ...]) -> int:
        found = self._memo.get(tasks)
        if found is None:
            found = self._memo[tasks] = self._takes(tasks)
        return found

    # --- in order of need ---

    def _in_order(self, drops: bool) -> _Label | None:
        counts = (len(self._order[0]), len(self._order[1]))
        blocks = tuple(
            [[], *(list(self._blocks(kind, k, drops)) for k in range(1, counts[kind] + 1))] for kind in (0, 1)
        )
        levels: list[dict[tuple[int, int], list[_Label]]] = [{} for _ in range(sum(counts) + 1)]
        levels[sum(counts)][counts] = [_Label(0, _FOREVER)]
        due = {task: k for k, task in enumerate(self._order[STANDBY])}
        for level in range(sum(counts), 0, -1):
            for (k, m), labels in levels[level].items():
                if k:
                    self._extend(labels, blocks[0][k], levels, (0, m), drops)
                if m:
                    # A warning is placed once its standby, which comes after it, has been.
                    free = [b for b in blocks[1][m] if all(self._placed(t, due, k) for t in b.members)]
                    self._extend(labels, free, levels, (k, -1), drops)
        finished = levels[0].get((0, 0))
        return min(finished, key=lambda label: label.cost) if finished else None

    def _placed(self, warning: int, due: dict[int, int], k: int) -> bool:
        standby = self._tasks[warning].before
        return standby is None or due[standby] >= k

    def _extend(
        self,
        labels: list[_Label],
        blocks: "list[_Block]",
        levels: list[dict[tuple[int, int], list[_Label]]],
        rest: tuple[int, int],
        drops: bool,
    ) -> None:
        """Put each block before each partial sheet; ``rest`` has a gap for the count of the block's kind."""
        tasks, breath, latest_end = self._tasks, self._breath, self._gaps.latest_end
        kind = WARNING if rest[1] < 0 else STANDBY
        order = self._order[kind]
        for block in blocks:
            j, members, takes, lo = block.left, block.members, block.takes, block.lo
            state = (rest[0], j) if kind == WARNING else (j, rest[1])
            level = levels[state[0] + state[1]]
            into = level.get(state)
            if into is None:
                into = level[state] = []
            if not members:
                for label in labels:
                    _keep(into, _Label(label.cost + block.cost, label.start, (), 0, block.lost, label))
                continue
            # What is left of this kind must still be able to end before this block starts.
            least_end = max(lo, tasks[order[j - 1]].lo + takes + breath) if j and not drops else lo
            reached = -_FOREVER
            # From cheap to dear; a dearer one is worth looking at only while it lets the block end later.
            for label in labels:
                end = latest_end(min(block.end, label.start - breath), takes, lo)
                if end is None or end <= reached or end < least_end:
                    continue
                reached = end
                cost = label.cost + block.cost - end * len(members)
                _keep(into, _Label(cost, end - takes, members, end, block.lost, label))
                if end == block.end:
                    break

    def _blocks(self, kind: int, k: int, drops: bool) -> "Iterator[_Block]":
        """Utterances whose last task in order is the ``k``-th, and leaving that one out."""
        order, tasks = self._order[kind], self._tasks
        last = order[k - 1]
        if drops:
            yield _Block(k - 1, (), (last,), 0, 0, 0, _LOST[kind])
        for j in range(k - 1, -1, -1):
            if tasks[order[j]].hi < tasks[last].lo:
                return
            whole = tuple(order[j:k])
            block = self._block(kind, j, whole, ())
            if block is not None:
                yield block
            if not drops or len(whole) < 3:
                continue
            # With something to leave out, also utterances that skip tasks between their first and last: of
            # those that skip as many the shortest, if skipping more makes it shorter at all.
            inner = whole[1:-1]
            shortest = self._length(whole)
            for size in range(1, len(inner) + 1) if len(inner) <= 5 else (1,):
                some = [
                    (tuple(t for t in whole if t not in lost), lost) for lost in combinations(inner, size)
                ]
                members, lost = min(some, key=lambda one: self._length(one[0]))
                if self._length(members) < shortest:
                    shortest = self._length(members)
                    block = self._block(kind, j, members, lost)
                    if block is not None:
                        yield block

    def _block(
        self, kind: int, left: int, members: tuple[int, ...], lost: tuple[int, ...]
    ) -> "_Block | None":
        tasks = self._tasks
        takes = self._length(members)
        lo, hi = tasks[members[-1]].lo, tasks[members[0]].hi
        end = self._gaps.latest_end(hi, takes, lo)
        if end is None:
            return None
        cost = _UTTERANCE + sum(tasks[t].hi for t in members) + _LOST[kind] * len(lost)
        return _Block(left, members, lost, lo, end, takes, cost)

    # --- out of order ---

    def _out_of_order(self, worse: int) -> tuple[_Label | None, bool]:
        """A sheet whose cost in utterances is below ``worse``, the cheapest; and whether the search ended."""
        everything = frozenset(range(len(self._tasks)))
        seen: dict[frozenset[int], list[_Label]] = {everything: [_Label(0, _FOREVER)]}
        stack = [(everything, seen[everything][0])]
        best: _Label | None = None
        while stack:
            left, label = stack.pop()
            if label not in seen[left]:
                continue
            for members, lost, takes in self._choices(left, label):
                made = self._place(label, members, lost, takes)
                rest = left.difference(members, lost)
                self._budget -= 1 + (len(rest) if made else 0)
                if self._budget < 0:
                    return best, False
                if made is None:
                    continue
                if (made.cost + self._bound(rest, made.start - self._breath)) // _UTTERANCE >= worse:
                    continue
                if not rest:
                    best, worse = made, made.cost // _UTTERANCE
                    continue
                if _keep(seen.setdefault(rest, []), made):
                    stack.append((rest, made))
        return best, True

    def _place(
        self, label: _Label, members: tuple[int, ...], lost: tuple[int, ...], takes: int
    ) -> _Label | None:
        tasks = self._tasks
        if not members:
            return _Label(label.cost + _LOST[tasks[lost[0]].kind], label.start, (), 0, lost, label)
        lo, hi = max(tasks[t].lo for t in members), min(tasks[t].hi for t in members)
        end = self._gaps.latest_end(min(hi, label.start - self._breath), takes, lo)
        if end is None:
            return None
        early = sum(tasks[t].hi for t in members) - end * len(members)
        return _Label(label.cost + _UTTERANCE + early, end - takes, members, end, (), label)

    def _choices(
        self, left: frozenset[int], label: _Label
    ) -> Iterator[tuple[tuple[int, ...], tuple[int, ...], int]]:
        """Everything that may be said just before what is placed; or one task given up."""
        tasks = self._tasks
        limit = label.start - self._breath
        # Giving up can wait until nothing else must be said later, so one candidate is enough; unless a
        # warning is due after its own standby, which may have to go first.
        last = max(left, key=lambda t: (tasks[t].lo, t))
        yield (), (last,), 0
        blocked = tasks[last].before
        if blocked is not None and blocked in left:
            yield (), (blocked,), 0
        for kind in (STANDBY, WARNING):
            able = sorted(
                (t for t in self._order[kind] if t in left and tasks[t].before not in left),
                key=lambda t: (tasks[t].lo, t),
            )
            for n, latest in enumerate(able):
                lo = tasks[latest].lo
                if lo > limit:
                    break
                # All windows of these reach to the start of the latest, so any of them go together with it.
                others = [t for t in able[:n] if tasks[t].hi >= lo]
                for size in range(len(others), -1, -1):
                    for chosen in combinations(others, size):
                        members = tuple(sorted((*chosen, latest)))
                        yield members, (), self._length(members)

    # --- bound and outcome ---

    def _bound(self, left: "range | frozenset[int]", limit: int) -> int:
        """Least cost of saying these by ``limit``: tasks that fit nowhere, and moments to pierce the rest.

        Windows are pierced from the last to the first, each time as early as the window with the latest
        ``lo`` and the gaps allow; that an utterance takes longer than its shortest task is ignored.
        """
        total = 0
        tasks, gaps = self._tasks, self._gaps
        for kind in (STANDBY, WARNING):
            members = sorted((t for t in self._order[kind] if t in left), key=lambda t: -tasks[t].lo)
            if not members:
                continue
            alone = {t: self._length((t,)) for t in members}
            shortest = min(alone.values())
            pierced = _FOREVER
            for t in members:
                task = tasks[t]
                if gaps.latest_end(min(task.hi, limit), alone[t], task.lo) is None:
                    total += _LOST[kind]
                    continue
                if pierced <= task.hi:
                    continue
                pierced = self._earliest_end(shortest, task.lo)
                total += _UTTERANCE
        return total

    def _earliest_end(self, takes: int, lo: int) -> int:
        """The earliest end from ``lo`` on of an utterance of ``takes`` that lies in one gap."""
        starts, ends = self._gaps.starts, self._gaps.ends
        i = max(0, bisect_right(starts, lo) - 1)
        while True:
            end = max(lo, starts[i] + takes)
            if end <= ends[i]:
                return end
            i += 1

    def _solution(self, label: _Label, proven: bool) -> Solution:
        said: list[tuple[tuple[int, ...], int, int]] = []
        lost: list[int] = []
        at: _Label | None = label
        while at is not None:
            if at.tasks:
                said.append((at.tasks, at.start, at.end))
            lost += at.lost
            at = at.parent
        return Solution(tuple(said), tuple(sorted(lost)), proven)


def _keep(labels: list[_Label], new: _Label) -> bool:
    """Add ``new`` unless one is at least as good in cost and start; forget what it beats.

    Labels stay in order of cost, and so of start.
    """
    cost, start = new.cost, new.start
    at = 0
    for old in labels:
        if old.start >= start and old.cost <= cost:
            return False
        if old.cost >= cost:
            break
        at += 1
    beaten = at
    while beaten < len(labels) and labels[beaten].start <= start:
        beaten += 1
    labels[at:beaten] = [new]
    return True
