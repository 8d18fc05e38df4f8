"""The best sheet among those that say what is due first, first; see :mod:`showcaller.timing.calls.solver`."""

from dataclasses import dataclass
from typing import NamedTuple

from showcaller.timing.calls.tasks import (
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

_MORE = 3
"""How many more tasks than the least are given up to be ready sooner; a stretch so overfull that more would
help is past saving."""


class _Block(NamedTuple):
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
            some = self._whole(kind)
            table = self._forwards(kind, some, drops=False)
            if not table[-1].ends:
                some = self._with_drops(kind, some)
                table = self._forwards(kind, some, drops=True)
            blocks.append(some)
            ready.append(table)
        # Warnings never cost a standby, so the fewest standbys lost are those of the standbys by themselves;
        # warnings may have to give way to standbys.
        limit = (ready[STANDBY][-1].lost, ready[WARNING][-1].lost)
        label = self._search(blocks, ready, limit)
        if label is None:
            blocks[WARNING] = self._with_drops(WARNING, blocks[WARNING])
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
        tasks, breath = self._problem.tasks, self._problem.breath
        earliest_end, order = self._problem.gaps.earliest_end, self._problem.order[kind]
        table = [_Ready(0, [-FOREVER])]
        for k in range(1, len(order) + 1):
            least: dict[int, int] = {}
            for left, members, gone, lo, _, takes, _ in blocks[k]:
                before = table[left]
                lost = before.lost + len(gone)
                if not members:
                    for more, end in enumerate(before.ends):
                        least[lost + more] = min(end, least.get(lost + more, FOREVER))
                    continue
                hi = tasks[members[0]].hi
                for more, ready in enumerate(before.ends):
                    from_ns = ready + breath + takes
                    end = earliest_end(takes, lo if lo > from_ns else from_ns)
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

    def _search(
        self, blocks: "list[list[list[_Block]]]", ready: "list[list[_Ready]]", limit: tuple[int, int]
    ) -> Label | None:
        """The cheapest sheet that loses at most ``limit`` standbys and warnings."""
        counts = self._counts
        levels: list[dict[tuple[int, int], list[Label]]] = [{} for _ in range(sum(counts) + 1)]
        levels[sum(counts)][counts] = [Label(0, FOREVER)]
        # The least that is left needs, whatever is lost; looked up for every block.
        soonest = tuple([one.by(limit[kind]) for one in ready[kind]] for kind in (STANDBY, WARNING))
        for level in range(sum(counts), 0, -1):
            for (k, m), labels in levels[level].items():
                if k:
                    self._extend(labels, blocks[STANDBY][k], levels, (-1, m), ready, soonest, limit)
                if m:
                    # A warning is placed once its standby, which comes after it, has been.
                    free = [b for b in blocks[WARNING][m] if all(self._placed(t, k) for t in b.members)]
                    self._extend(labels, free, levels, (k, -1), ready, soonest, limit)
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
        soonest: tuple[list[int], ...],
        limit: tuple[int, int],
    ) -> None:
        """Put each block before each partial sheet; ``rest`` has a gap, -1, for the count of its kind.

        The innermost loop of all: written out, and every call in it saved that can be.
        """
        breath, latest_end = self._problem.breath, self._problem.gaps.latest_end
        soonest_standby, soonest_warning = soonest
        (k, m), is_warning = rest, rest[1] < 0
        for j, members, lost, lo, last, takes, price in blocks:
            if is_warning:
                m = j
            else:
                k = j
            level = levels[k + m]
            if not members:
                into = level.setdefault((k, m), [])
                for label in labels:
                    cost = label.cost + price
                    if _can_follow(cost, label.start - breath, ready, k, m, limit):
                        keep(into, cost, label.start, members, 0, lost, label)
                continue
            # What is left of each kind must still fit before this block, within the losses allowed.
            least = max(lo, soonest_standby[k] + breath + takes, soonest_warning[m] + breath + takes)
            if least > last:
                continue
            into = level.setdefault((k, m), [])
            size, reached = len(members), -FOREVER
            # From cheap to dear; a dearer one is worth looking at only while it lets the block end later.
            for label in labels:
                latest = label.start - breath
                if latest >= last:
                    end = last  # the block was made with the latest end there is
                elif latest < least:
                    continue
                else:
                    found = latest_end(latest, takes, least)
                    if found is None:
                        continue
                    end = found
                if end <= reached:
                    continue
                reached = end
                start, cost = end - takes, label.cost + price - end * size
                if cost < LOST_WARNING or _can_follow(cost, start - breath, ready, k, m, limit):
                    keep(into, cost, start, members, end, lost, label)
                if end == last:
                    break

    def _whole(self, kind: int) -> "list[list[_Block]]":
        """For every ``k``: utterances whose last task in order is the ``k``-th, leaving nothing out."""
        order, tasks = self._problem.order[kind], self._problem.tasks
        latest_end, takes_for = self._problem.gaps.latest_end, self._problem.takes
        every: list[list[_Block]] = [[]]
        for k in range(1, len(order) + 1):
            blocks: list[_Block] = []
            lo, due = tasks[order[k - 1]].lo, 0
            for j in range(k - 1, max(-1, k - 1 - _SPAN), -1):
                hi = tasks[order[j]].hi
                if hi < lo:
                    break
                due += hi
                members = order[j:k]
                takes = takes_for(members)
                end = latest_end(hi, takes, lo)
                if end is not None:
                    blocks.append(_Block(j, members, (), lo, end, takes, UTTERANCE + due))
            every.append(blocks)
        return every

    def _with_drops(self, kind: int, whole: "list[list[_Block]]") -> "list[list[_Block]]":
        """The same, and leaving tasks out: the last, or of an utterance that which takes longest to say.

        A task between the first and last of an utterance that would take longest is the one to leave out if
        any, since it frees the most time.
        """
        order, tasks, takes = self._problem.order[kind], self._problem.tasks, self._problem.takes
        every: list[list[_Block]] = [[]]
        for k in range(1, len(order) + 1):
            blocks = [_Block(k - 1, (), (order[k - 1],), 0, 0, 0, LOST[kind]), *whole[k]]
            lo = tasks[order[k - 1]].lo
            for j in range(k - 3, max(-1, k - 9), -1):
                if tasks[order[j]].hi < lo:
                    break
                members = order[j:k]
                longest = max(members[1:-1], key=self._problem.alone.__getitem__)
                fewer = tuple(t for t in members if t != longest)
                if takes(fewer) < takes(members):
                    block = self._block(kind, j, fewer, (longest,))
                    if block is not None:
                        blocks.append(block)
            every.append(blocks)
        return every

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


def _can_follow(
    cost: int, by: int, ready: "list[list[_Ready]]", k: int, m: int, limit: tuple[int, int]
) -> bool:
    """Whether the first k standbys and m warnings can be done ``by`` then with the losses that are left."""
    lost, rest = divmod(cost, LOST_STANDBY)
    return (
        ready[STANDBY][k].by(limit[STANDBY] - lost) <= by
        and ready[WARNING][m].by(limit[WARNING] - rest // LOST_WARNING) <= by
    )
