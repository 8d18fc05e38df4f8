"""The best sheet among those that say what is due first, first; see :mod:`showcaller.timing.calls.solver`."""

from bisect import bisect_right

from showcaller.timing.calls.backwards import Block, Ready, Ways, search
from showcaller.timing.calls.tasks import FOREVER, LOST, STANDBY, UTTERANCE, WARNING, Label, Problem

_MORE = 3
"""For so many more tasks left out than the least it is worked out how much sooner the rest is ready; with any
more it may be ready as soon as one likes."""


class InOrder:
    """Searches backwards in time over (standbys left, warnings left)."""

    def __init__(self, problem: Problem) -> None:
        self._problem = problem

    def best(self) -> Label:
        """The cheapest sheet; leaves out as few standbys as it can, then as few warnings."""
        standbys, warnings = self._ways(STANDBY), self._ways(WARNING)
        # Warnings never cost a standby, so the fewest standbys lost are those of the standbys by themselves;
        # warnings may have to give way to standbys.
        lost, few = standbys.ready[-1].lost, warnings.ready[-1].lost
        label = search(self._problem, standbys, warnings, (lost, few))
        if label is None:
            if not few:
                warnings = self._losing(WARNING, warnings.blocks)
            label = search(self._problem, standbys, warnings, (lost, len(self._problem.order[WARNING])))
        if label is None:
            raise AssertionError("leaving every warning out is a sheet too")
        return label

    def _ways(self, kind: int) -> Ways:
        """The utterances of a kind; some of them leave tasks out only if some have to be."""
        whole = self._whole(kind)
        ready = self._soonest(kind, whole)
        return self._losing(kind, whole) if ready is None else Ways(whole, ready)

    def _losing(self, kind: int, whole: list[list[Block]]) -> Ways:
        blocks = self._with_drops(kind, whole)
        return Ways(blocks, self._with_losses(kind, blocks))

    def _soonest(self, kind: int, blocks: list[list[Block]]) -> list[Ready] | None:
        """How soon the first k tasks of a kind can be done, heedless of the other kind, for every k; None if
        some would have to be left out.

        Forwards in time, as early as possible: what the backward search can still hope for.
        """
        breath, earliest_end = self._problem.breath, self._problem.gaps.earliest_end
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
                end = earliest_end(takes, end)
                if end > his[left] or end >= best:
                    continue
                best = end
                if end == lo:
                    break  # as soon as the last of them may be said
            if best == FOREVER:
                return None
            done.append(best)
        return [Ready(0, [end], 0) for end in done]

    def _with_losses(self, kind: int, blocks: list[list[Block]]) -> list[Ready]:
        """The same for each number of tasks left out, up to ``_MORE`` above the least, and for any more."""
        breath, earliest_end = self._problem.breath, self._problem.gaps.earliest_end
        his = [self._problem.tasks[t].hi for t in self._problem.order[kind]]
        table = [Ready(0, [-FOREVER], 0)]
        steps = [[(0, -FOREVER)]]
        """For every k, with how many lost it is ready when; only what is sooner than with fewer lost."""
        for k in range(1, len(his) + 1):
            self._problem.between()
            least = {lost + 1: end for lost, end in steps[k - 1]}
            for left, _, gone, lo, _, takes, _ in blocks[k]:
                hi, room, dropped = his[left], breath + takes, len(gone)
                for lost, ready in steps[left]:
                    more, soon = lost + dropped, ready + room
                    end = soon if soon > lo else lo
                    # It will not be sooner: no need to ask where that cannot matter.
                    if end <= hi and end < least.get(more, FOREVER):
                        end = earliest_end(takes, end)
                        if end <= hi and end < least.get(more, FOREVER):
                            least[more] = end
                    if soon <= lo:
                        break  # nor with more of them left out before
            if not least:
                raise AssertionError("leaving all of them out is always possible")
            first, ends, sooner = min(least), list[int](), list[tuple[int, int]]()
            for lost in range(first, first + _MORE + 1):
                end = least.get(lost, FOREVER)
                if not ends or end < ends[-1]:
                    sooner.append((lost, end))
                ends.append(end if not ends or end < ends[-1] else ends[-1])
            table.append(Ready(first, [*ends, -FOREVER], len(ends)))
            steps.append(sooner)
        return table

    def _whole(self, kind: int) -> list[list[Block]]:
        """For every ``k``: utterances whose last task in order is the ``k``-th, leaving nothing out; those of
        few tasks first."""
        order, tasks = self._problem.order[kind], self._problem.tasks
        gaps, lengths = self._problem.gaps, self._problem.lengths[kind]
        latest_end, starts, ends = gaps.latest_end, gaps.starts, gaps.ends
        count = len(order)
        los, his = [tasks[t].lo for t in order], [tasks[t].hi for t in order]
        every: list[list[Block]] = [[] for _ in range(count + 1)]
        for j in range(count - 1, -1, -1):
            self._problem.between()
            hi, due = his[j], 0
            gap = bisect_right(starts, hi) - 1
            room = hi - starts[gap] if ends[gap] >= hi else 0  # the latest moment is free for so long before
            too_long, too_late = FOREVER, -FOREVER  # one that does not fit, nor does what is longer and later
            for k, takes in enumerate(lengths[j], j + 1):
                due += his[k - 1]
                lo = los[k - 1]
                if lo > hi or (takes >= too_long and lo >= too_late):
                    continue
                end = hi if takes <= room else latest_end(hi, takes, lo)
                if end is None:
                    too_long, too_late = takes, lo
                else:
                    every[k].append((j, order[j:k], (), lo, end, takes, UTTERANCE + due))
        return every

    def _with_drops(self, kind: int, whole: list[list[Block]]) -> list[list[Block]]:
        """The same, and leaving a task out: of an utterance that which takes longest to say.

        A task between the first and last of an utterance that would take longest is the one to leave out if
        any, since it frees the most time.
        """
        order, tasks, alone = self._problem.order[kind], self._problem.tasks, self._problem.alone
        latest_end, measure = self._problem.gaps.latest_end, self._problem.measure
        los, his = [tasks[t].lo for t in order], [tasks[t].hi for t in order]
        lengths = self._problem.lengths[kind]
        every: list[list[Block]] = [[]]
        for k in range(1, len(order) + 1):
            self._problem.between()
            blocks = whole[k].copy()
            lo, due = los[k - 1], sum(his[max(0, k - 2) : k])
            at = k - 2  # the place of the one that takes longest
            for j in range(k - 3, max(-1, k - 9), -1):
                hi = his[j]
                if hi < lo:
                    break
                due += hi
                if alone[order[j + 1]] >= alone[order[at]]:
                    at = j + 1
                fewer = order[j:at] + order[at + 1 : k]
                takes = measure(fewer)
                if takes >= lengths[j][k - j - 1]:
                    continue
                end = latest_end(hi, takes, lo)
                if end is not None:
                    cost = UTTERANCE + due - his[at] + LOST[kind]
                    blocks.append((j, fewer, (order[at],), lo, end, takes, cost))
            every.append(blocks)
        return every
