"""The best sheet among those that say what is due first, first; see :mod:`showcaller.timing.calls.solver`."""

from bisect import bisect_right
from itertools import accumulate
from operator import itemgetter

from showcaller.timing.calls.tasks import (
    FOREVER,
    LOST,
    LOST_STANDBY,
    LOST_STANDBY_BITS,
    LOST_WARNING,
    LOST_WARNING_BITS,
    NOTHING_SAID,
    STANDBY,
    UTTERANCE,
    WARNING,
    Label,
    Problem,
    keep,
)
from showcaller.values import Struct

_SPAN = 32
"""Cues in one utterance at most: more than anyone can say, or heed, in one breath."""

_MORE = 3
"""How many more tasks than the least are given up to be ready sooner; a stretch so overfull that more would
help is past saving."""


_Block = tuple[int, tuple[int, ...], tuple[int, ...], int, int, int, int]
"""An utterance as far as it does not depend on what is placed after it: (left, members, lost, lo, end,
takes, cost). ``left`` tasks of its kind come before it in order; it ends from ``lo`` to ``end``; ``cost``
still lacks its end, to be taken off once for each member. A bare tuple, as there are so many."""


class _Ready(Struct, frozen=True):
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
        self._lengths: tuple[list[list[int]], list[list[int]]] = ([], [])
        """By kind: how long the j-th task in order takes to say alone, with the next, and so on."""

    def best(self) -> Label:
        """The cheapest sheet; leaves out as few standbys as it can, then as few warnings."""
        blocks, ready = [], []
        for kind in (STANDBY, WARNING):
            some = self._whole(kind)
            table = self._soonest(kind, some)
            if table is None:
                some = self._with_drops(kind, some)
                table = self._with_losses(kind, some)
            blocks.append(some)
            ready.append(table)
        # Warnings never cost a standby, so the fewest standbys lost are those of the standbys by themselves;
        # warnings may have to give way to standbys.
        limit = (ready[STANDBY][-1].lost, ready[WARNING][-1].lost)
        label = self._search(blocks, ready, limit)
        if label is None:
            blocks[WARNING] = self._with_drops(WARNING, blocks[WARNING])
            ready[WARNING] = self._with_losses(WARNING, blocks[WARNING])
            label = self._search(blocks, ready, (limit[STANDBY], self._counts[WARNING]))
        if label is None:
            raise AssertionError("leaving every warning out is a sheet too")
        return label

    def _soonest(self, kind: int, blocks: list[list[_Block]]) -> "list[_Ready] | None":
        """How soon the first k tasks of a kind can be done, heedless of the other kind, for every k; None if
        some would have to be left out.

        Forwards in time, as early as possible: what the backward search can still hope for.
        """
        breath, gaps = self._problem.breath, self._problem.gaps
        earliest_end, starts, ends = gaps.earliest_end, gaps.starts, gaps.ends
        his = [self._problem.tasks[t].hi for t in self._problem.order[kind]]
        done = [-FOREVER]
        for k in range(1, len(his) + 1):
            best = FOREVER
            for left, _, _, lo, _, takes, _ in blocks[k]:
                end = done[left] + breath + takes
                end = end if end > lo else lo  # the call of max would be a tenth of all
                # It will not be sooner: no need to ask where that cannot matter.
                if end > his[left] or end >= best:
                    continue
                gap = bisect_right(starts, end) - 1
                if end - takes < starts[gap] or end > ends[gap]:
                    end = earliest_end(takes, end)
                    if end > his[left] or end >= best:
                        continue
                best = end
                if end == lo:
                    break  # as soon as the last of them may be said
            if best == FOREVER:
                return None
            done.append(best)
        return [_Ready(0, [end]) for end in done]

    def _with_losses(self, kind: int, blocks: list[list[_Block]]) -> "list[_Ready]":
        """The same for each number of tasks left out, up to ``_MORE`` above the least."""
        breath, gaps = self._problem.breath, self._problem.gaps
        earliest_end, starts, ends_of = gaps.earliest_end, gaps.starts, gaps.ends
        his = [self._problem.tasks[t].hi for t in self._problem.order[kind]]
        table = [_Ready(0, [-FOREVER])]
        steps = [[(0, -FOREVER)]]
        """For every k, with how many lost it is ready when; only what is sooner than with fewer lost."""
        for k in range(1, len(his) + 1):
            self._problem.between()
            least: dict[int, int] = {}
            for left, members, gone, lo, _, takes, _ in blocks[k]:
                if not members:
                    for lost, end in steps[left]:
                        if end < least.get(lost + 1, FOREVER):
                            least[lost + 1] = end
                    continue
                hi, room, dropped = his[left], breath + takes, len(gone)
                for lost, ready in steps[left]:
                    more = lost + dropped
                    end = ready + room if ready + room > lo else lo
                    # It will not be sooner: no need to ask where that cannot matter.
                    if end > hi or end >= least.get(more, FOREVER):
                        continue
                    gap = bisect_right(starts, end) - 1
                    if end - takes < starts[gap] or end > ends_of[gap]:
                        end = earliest_end(takes, end)
                        if end > hi or end >= least.get(more, FOREVER):
                            continue
                    least[more] = end
            if not least:
                raise AssertionError("leaving all of them out is always possible")
            first, ends, sooner = min(least), list[int](), list[tuple[int, int]]()
            for lost in range(first, first + _MORE + 1):
                end = least.get(lost, FOREVER)
                if not ends or end < ends[-1]:
                    sooner.append((lost, end))
                ends.append(end if not ends or end < ends[-1] else ends[-1])
            table.append(_Ready(first, ends))
            steps.append(sooner)
        return table

    def _search(
        self, blocks: list[list[list[_Block]]], ready: "list[list[_Ready]]", limit: tuple[int, int]
    ) -> Label | None:
        """The cheapest sheet that loses at most ``limit`` standbys and warnings.

        The innermost loop of all: written out, and every call in it saved that can be.
        """
        count, count_warnings = self._counts
        most, most_warnings = limit
        breath, gaps = self._problem.breath, self._problem.gaps
        latest_end, starts, ends = gaps.latest_end, gaps.starts, gaps.ends
        # When the first k standbys (m warnings) can be done with the fewest of them lost, how many that is,
        # and with each more.
        standbys = [(one.lost, one.ends, len(one.ends) - 1) for one in ready[STANDBY]]
        warnings = [(one.lost, one.ends, len(one.ends) - 1) for one in ready[WARNING]]
        soonest = [one.by(most) for one in ready[STANDBY]]
        soonest_warnings = [one.by(most_warnings) for one in ready[WARNING]]
        open_standbys = [self._open(some, soonest) for some in blocks[STANDBY]]
        open_warnings = [
            [(block, self._standbys_left(block)) for block in self._open(some, soonest_warnings)]
            for some in blocks[WARNING]
        ]
        # Partial sheets by what is left, [k][m]; and what is left by how much, in the order in which it was
        # first come to.
        sheets: list[list[list[Label] | None]] = [[None] * (count_warnings + 1) for _ in range(count + 1)]
        coming: list[list[tuple[int, int, list[Label]]]] = [[] for _ in range(count + count_warnings + 1)]
        coming[-1].append((count, count_warnings, [NOTHING_SAID]))

        def extend(labels: list[Label], some: list[_Block], k: int, m: int, is_warning: bool) -> None:
            """Put each block before each partial sheet that has k standbys and m warnings left."""
            latest_of_all = labels[-1][1] - breath if labels else -FOREVER
            # What is left of the other kind must still fit before, too.
            room = breath + (soonest[k] if is_warning else soonest_warnings[m])
            for j, members, lost, lo, last, takes, price in some:
                least = room + takes if room + takes > lo else lo
                if least > last and members:
                    continue
                if is_warning:
                    m = j
                else:
                    k = j
                into = sheets[k][m]
                if into is None:
                    into = sheets[k][m] = []
                    coming[k + m].append((k, m, into))
                if least > latest_of_all and members:
                    continue
                size, reached = len(members), -FOREVER
                fewest, ends_k, last_k = standbys[k]
                fewest_m, ends_m, last_m = warnings[m]
                # From cheap to dear; a dearer one is worth a look only while it lets the block end later.
                for label in labels:
                    start, end = label[1], 0
                    if members:
                        latest = start - breath
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
                    cost = label[0] + price - end * size
                    if cost >= LOST_WARNING:
                        # What is left of both kinds must be done by then with the losses that are left.
                        more = most - fewest - (cost >> LOST_STANDBY_BITS)
                        more_m = most_warnings - fewest_m - (cost % LOST_STANDBY >> LOST_WARNING_BITS)
                        if more < 0 or more_m < 0:
                            continue
                        by = start - breath
                        if ends_k[more if more < last_k else last_k] > by:
                            continue
                        if ends_m[more_m if more_m < last_m else last_m] > by:
                            continue
                    keep(into, cost, start, members, end, lost, label)
                    if reached == last:
                        break

        for n, level in reversed([*enumerate(coming)][1:]):
            self._problem.between()
            if not any(labels for *_, labels in level) and not any(
                labels for later in coming[max(0, n - _SPAN) : n] for *_, labels in later
            ):
                return None  # no sheet has come this far, and no utterance is longer
            for k, m, labels in level:
                if k:
                    extend(labels, open_standbys[k], k, m, is_warning=False)
                if m:
                    free = [block for block, left in open_warnings[m] if k <= left]
                    extend(labels, free, k, m, is_warning=True)
        finished = sheets[0][0] if sum(self._counts) else coming[0][0][2]
        return min(finished, key=itemgetter(0)) if finished else None

    def _open(self, blocks: list[_Block], soonest: list[int]) -> list[_Block]:
        """The blocks that leave time for what is left of their own kind, ready at the ``soonest`` whatever is
        lost of it; ``lo`` is then as early as that lets them end."""
        breath = self._problem.breath
        found: list[_Block] = []
        for block in blocks:
            left, members, lost, lo, end, takes, cost = block
            least = soonest[left] + breath + takes
            if not members or least <= lo:
                found.append(block)
            elif least <= end:
                found.append((left, members, lost, least, end, takes, cost))
        return found

    def _standbys_left(self, block: _Block) -> int:
        """How many standbys may be left when a block of warnings is placed: a warning is placed once its
        standby, which comes after it, has been."""
        found = self._counts[STANDBY]
        for task in block[1]:
            standby = self._problem.tasks[task].before
            if standby is not None:
                found = min(found, self._due[standby])
        return found

    def _whole(self, kind: int) -> list[list[_Block]]:
        """For every ``k``: utterances whose last task in order is the ``k``-th, leaving nothing out; those of
        few tasks first."""
        order, tasks = self._problem.order[kind], self._problem.tasks
        gaps, growing = self._problem.gaps, self._problem.growing
        latest_end, starts, ends = gaps.latest_end, gaps.starts, gaps.ends
        count = len(order)
        los, his = [tasks[t].lo for t in order], [tasks[t].hi for t in order]
        # Nothing from here on can be said as soon as this, so that an utterance need not grow any further.
        soonest = list(accumulate(reversed(los), min))[::-1]
        lengths: list[list[int]] = [[] for _ in order]
        every: list[list[_Block]] = [[] for _ in range(count + 1)]
        for j in range(count - 1, -1, -1):
            self._problem.between()
            hi, due, end_of = his[j], 0, min(count, j + _SPAN)
            while end_of > j + 1 and soonest[end_of - 1] > hi:
                end_of -= 1
            gap = bisect_right(starts, hi) - 1
            room = hi - starts[gap] if ends[gap] >= hi else 0  # the latest moment is free for so long before
            lengths[j] = growing(order[j:end_of])
            for k, takes in enumerate(lengths[j], j + 1):
                due += his[k - 1]
                lo = los[k - 1]
                if lo > hi:
                    continue
                end = hi if takes <= room else latest_end(hi, takes, lo)
                if end is not None:
                    every[k].append((j, order[j:k], (), lo, end, takes, UTTERANCE + due))
        self._lengths[kind][:] = lengths
        return every

    def _with_drops(self, kind: int, whole: list[list[_Block]]) -> list[list[_Block]]:
        """The same, and leaving tasks out: the last, or of an utterance that which takes longest to say.

        A task between the first and last of an utterance that would take longest is the one to leave out if
        any, since it frees the most time.
        """
        order, tasks, alone = self._problem.order[kind], self._problem.tasks, self._problem.alone
        latest_end, measure = self._problem.gaps.latest_end, self._problem.measure
        los, his = [tasks[t].lo for t in order], [tasks[t].hi for t in order]
        lengths = self._lengths[kind]
        every: list[list[_Block]] = [[]]
        for k in range(1, len(order) + 1):
            self._problem.between()
            blocks = [(k - 1, (), (order[k - 1],), 0, 0, 0, LOST[kind]), *whole[k]]
            lo, due = los[k - 1], sum(his[max(0, k - 2) : k])
            for j in range(k - 3, max(-1, k - 9), -1):
                hi = his[j]
                if hi < lo:
                    break
                due += hi
                members = order[j:k]
                longest = max(members[1:-1], key=alone.__getitem__)
                fewer = tuple([t for t in members if t != longest])
                takes = measure(fewer)
                end = latest_end(hi, takes, lo)
                if end is not None and takes < lengths[j][k - j - 1]:
                    cost = UTTERANCE + due - tasks[longest].hi + LOST[kind]
                    blocks.append((j, fewer, (longest,), lo, end, takes, cost))
            every.append(blocks)
        return every
