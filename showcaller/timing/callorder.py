"""The best sheet among those that say what is due first, first; see :mod:`showcaller.timing.callsolver`."""

from collections.abc import Iterator
from dataclasses import dataclass

from showcaller.timing.calltasks import (
    FOREVER,
    LOST,
    LOST_STANDBY,
    LOST_WARNING,
    STANDBY,
    UTTERANCE,
    WARNING,
    Label,
    Problem,
    keep,
)

_SPAN = 32
"""Cues in one utterance at most: more than anyone can say, or heed, in one breath."""

_MORE = 4
"""How many more tasks than the least are given up to be ready sooner; a stretch so overfull that more would
help is past saving."""


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


@dataclass(frozen=True, slots=True)
class _Ready:
    """When the first k tasks of a kind can be done: ``ends[i]`` with ``lost + i`` of them left out."""

    lost: int
    ends: list[int]

    def by(self, lost: int) -> int:
        """The earliest end when up to ``lost`` tasks are left out; never, when more must be."""
        more = lost - self.lost
        if more < 0:
            return FOREVER
        return self.ends[more] if more < len(self.ends) else self.ends[-1]


class InOrder:
    """Searches backwards in time over (standbys left, warnings left)."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem
        self._due = {task: k for k, task in enumerate(problem.order[STANDBY])}
        self._counts = (len(problem.order[STANDBY]), len(problem.order[WARNING]))

    def best(self) -> Label:
        """The cheapest sheet; leaves out as few standbys as it can, then as few warnings."""
        blocks, ready = [], []
        for kind in (STANDBY, WARNING):
            some = self._all_blocks(kind, drops=False)
            table = self._forwards(kind, some, drops=False)
            if not table[-1].ends:
                some = self._all_blocks(kind, drops=True)
                table = self._forwards(kind, some, drops=True)
            blocks.append(some)
            ready.append(table)
        # Warnings never cost a standby, so the fewest standbys lost are those of the standbys by themselves;
        # warnings may have to give way to standbys.
        limit = (ready[STANDBY][-1].lost, ready[WARNING][-1].lost)
        label = self._search(blocks, ready, limit)
        if label is None:
            blocks[WARNING] = self._all_blocks(WARNING, drops=True)
            ready[WARNING] = self._forwards(WARNING, blocks[WARNING], drops=True)
            label = self._search(blocks, ready, (limit[STANDBY], self._counts[WARNING]))
        if label is None:
            raise AssertionError("leaving every warning out is a sheet too")
        return label

    def _forwards(self, kind: int, blocks: "list[list[_Block]]", drops: bool) -> "list[_Ready]":
        """How soon the first k tasks of a kind can be done, heedless of the other kind, for every k.

        Forwards in time, as early as possible: what the backward search can still hope for. With ``drops``,
        also for each number lost, up to ``_MORE`` above the least.
        """
        tasks, gaps, breath = self._problem.tasks, self._problem.gaps, self._problem.breath
        order = self._problem.order[kind]
        table = [_Ready(0, [-FOREVER])]
        for k in range(1, len(order) + 1):
            least: dict[int, int] = {}
            for block in blocks[k]:
                before = table[block.left]
                lost = before.lost + len(block.lost)
                if not block.members:
                    for more, end in enumerate(before.ends):
                        least[lost + more] = min(end, least.get(lost + more, FOREVER))
                    continue
                hi = tasks[block.members[0]].hi
                for more, ready in enumerate(before.ends):
                    end = gaps.earliest_end(block.takes, max(block.lo, ready + breath + block.takes))
                    if end <= hi and end < least.get(lost + more, FOREVER):
                        least[lost + more] = end
            if not least:
                return [*table, _Ready(0, [])]
            first = min(least)
            ends: list[int] = []
            for lost in range(first, first + (_MORE + 1 if drops else 1)):
                ends.append(min(least.get(lost, FOREVER), ends[-1] if ends else FOREVER))
            table.append(_Ready(first, ends))
        return table

    def _all_blocks(self, kind: int, drops: bool) -> "list[list[_Block]]":
        return [[], *(list(self._blocks(kind, k, drops)) for k in range(1, self._counts[kind] + 1))]

    def _search(
        self, blocks: "list[list[list[_Block]]]", ready: "list[list[_Ready]]", limit: tuple[int, int]
    ) -> Label | None:
        """The cheapest sheet that loses at most ``limit`` standbys and warnings."""
        counts = self._counts
        levels: list[dict[tuple[int, int], list[Label]]] = [{} for _ in range(sum(counts) + 1)]
        levels[sum(counts)][counts] = [Label(0, FOREVER)]
        for level in range(sum(counts), 0, -1):
            for (k, m), labels in levels[level].items():
                if k:
                    self._extend(labels, blocks[STANDBY][k], levels, (0, m), ready, limit)
                if m:
                    # A warning is placed once its standby, which comes after it, has been.
                    free = [b for b in blocks[WARNING][m] if all(self._placed(t, k) for t in b.members)]
                    self._extend(labels, free, levels, (k, -1), ready, limit)
            levels[level].clear()
        finished = levels[0].get((0, 0))
        return min(finished, key=lambda label: label.cost) if finished else None

    def _placed(self, warning: int, k: int) -> bool:
        standby = self._problem.tasks[warning].before
        return standby is None or self._due[standby] >= k

    def _extend(
        self,
        labels: list[Label],
        blocks: "list[_Block]",
        levels: list[dict[tuple[int, int], list[Label]]],
        rest: tuple[int, int],
        ready: "list[list[_Ready]]",
        limit: tuple[int, int],
    ) -> None:
        """Put each block before each partial sheet; ``rest`` has a gap for the count of the block's kind."""
        breath, latest_end = self._problem.breath, self._problem.gaps.latest_end
        kind = WARNING if rest[1] < 0 else STANDBY
        for block in blocks:
            j, members, takes, lo = block.left, block.members, block.takes, block.lo
            state = (rest[0], j) if kind == WARNING else (j, rest[1])
            standbys, warnings = ready[STANDBY][state[0]], ready[WARNING][state[1]]
            # What is left of each kind must still fit before this block, within the losses allowed.
            least = max(lo, max(standbys.by(limit[0]), warnings.by(limit[1])) + breath + takes)
            if members and least > block.end:
                continue
            level = levels[state[0] + state[1]]
            into = level.get(state)
            if into is None:
                into = level[state] = []
            reached = -FOREVER
            # From cheap to dear; a dearer one is worth looking at only while it lets the block end later.
            for label in labels:
                if members:
                    latest = label.start - breath
                    if latest < least:
                        continue
                    found = latest_end(min(block.end, latest), takes, least)
                    if found is None or found <= reached:
                        continue
                    end = reached = found
                    start, cost = end - takes, label.cost + block.cost - end * len(members)
                else:
                    end, start, cost = 0, label.start, label.cost + block.cost
                if cost < LOST_WARNING or (
                    standbys.by(limit[0] - cost // LOST_STANDBY) <= start - breath
                    and warnings.by(limit[1] - cost % LOST_STANDBY // LOST_WARNING) <= start - breath
                ):
                    keep(into, Label(cost, start, members, end, block.lost, label))
                if members and end == block.end:
                    break

    def _blocks(self, kind: int, k: int, drops: bool) -> "Iterator[_Block]":
        """Utterances whose last task in order is the ``k``-th, and leaving that one out."""
        order, tasks, takes = self._problem.order[kind], self._problem.tasks, self._problem.takes
        last = order[k - 1]
        if drops:
            yield _Block(k - 1, (), (last,), 0, 0, 0, LOST[kind])
        for j in range(k - 1, max(-1, k - 1 - _SPAN), -1):
            if tasks[order[j]].hi < tasks[last].lo:
                return
            whole = tuple(order[j:k])
            block = self._block(kind, j, whole, ())
            if block is not None:
                yield block
            if not drops or not 3 <= len(whole) <= 8:
                continue
            # With something to leave out, also utterances that skip one or two tasks between their first and
            # last: those that take longest to say, if skipping them makes the utterance shorter at all.
            shortest = takes(whole)
            longest = sorted(whole[1:-1], key=lambda t: takes((t,)), reverse=True)
            for size in range(1, min(len(longest), 2) + 1):
                lost = tuple(longest[:size])
                members = tuple(t for t in whole if t not in lost)
                if takes(members) < shortest:
                    shortest = takes(members)
                    block = self._block(kind, j, members, lost)
                    if block is not None:
                        yield block

    def _block(
        self, kind: int, left: int, members: tuple[int, ...], lost: tuple[int, ...]
    ) -> "_Block | None":
        tasks = self._problem.tasks
        takes = self._problem.takes(members)
        lo, hi = tasks[members[-1]].lo, tasks[members[0]].hi
        end = self._problem.gaps.latest_end(hi, takes, lo)
        if end is None:
            return None
        cost = UTTERANCE + sum(tasks[t].hi for t in members) + LOST[kind] * len(lost)
        return _Block(left, members, lost, lo, end, takes, cost)
