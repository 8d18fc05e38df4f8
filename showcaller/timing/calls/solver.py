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
earlier is never worse; the others are forgotten. The search over the rest is complete: it tries every number
of tasks in an utterance, with all of them or without the one that takes longest, and leaving out any task.

**Out of order.** Saying a short standby before a long one that is due first can, rarely, save an utterance.
A lower bound on the utterances of any sheet is the number of moments needed to pierce all windows. When the
first search meets it, its sheet is the best of all. Otherwise a second search goes over sets of tasks still
to place, with the same dominance, cut by the bound; it is complete too unless its budget runs out.
"""

from collections.abc import Iterator
from itertools import combinations

from showcaller.timing.calls.ordered import InOrder
from showcaller.timing.calls.tasks import (
    FOREVER,
    LOST,
    NOTHING_SAID,
    STANDBY,
    UTTERANCE,
    WARNING,
    Label,
    Problem,
    Solution,
    keep,
)


class Solver:
    """Finds the best sheet of one item.

    ``budget`` bounds the second search, counted in tasks looked at (about a microsecond each). Without it,
    items of up to 16 tasks are searched to the end; in larger ones the search would cost more time than
    redrawing a screen allows, and rarely finds anything: among 2,000 crowded random items of up to 7 tasks,
    saying something out of order saved an utterance or a standby in 13.
    """

    def __init__(self, problem: Problem, budget: int | None = None) -> None:
        self._problem = problem
        tasks = problem.tasks
        self._latest_first = tuple(
            sorted(problem.order[kind], key=lambda t: -tasks[t].lo) for kind in (STANDBY, WARNING)
        )
        self._shortest = [
            min((self._problem.alone[t] for t in some), default=0) for some in self._latest_first
        ]
        self._budget = budget if budget is not None else 20_000 if len(problem.tasks) <= 16 else 0

    def solve(self) -> Solution:
        """The best sheet; tasks that fit nowhere are left out."""
        bound = self._bound(range(len(self._problem.tasks)), FOREVER)
        best = InOrder(self._problem).best()
        if best[0] // UTTERANCE <= bound // UTTERANCE:
            return self._solution(best, proven=True)
        if self._budget <= 0:
            return self._solution(best, proven=False)
        better, complete = self._out_of_order(best[0] // UTTERANCE)
        return self._solution(better or best, proven=complete)

    def _out_of_order(self, worse: int) -> tuple[Label | None, bool]:
        """A sheet whose cost in utterances is below ``worse``, the cheapest; and whether the search ended."""
        everything = frozenset(range(len(self._problem.tasks)))
        seen: dict[frozenset[int], list[Label]] = {everything: [NOTHING_SAID]}
        stack = [(everything, seen[everything][0])]
        best: Label | None = None
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
                cost, start = made[0], made[1]
                if (cost + self._bound(rest, start - self._problem.breath)) // UTTERANCE >= worse:
                    continue
                if not rest:
                    best, worse = made, cost // UTTERANCE
                    continue
                if keep(seen.setdefault(rest, []), made):
                    stack.append((rest, made))
        return best, True

    def _place(
        self, label: Label, members: tuple[int, ...], lost: tuple[int, ...], takes: int
    ) -> Label | None:
        tasks = self._problem.tasks
        cost, start = label[0], label[1]
        if not members:
            return cost + LOST[tasks[lost[0]].kind], start, (), 0, lost, label
        lo, hi = max(tasks[t].lo for t in members), min(tasks[t].hi for t in members)
        end = self._problem.gaps.latest_end(min(hi, start - self._problem.breath), takes, lo)
        if end is None:
            return None
        early = sum(tasks[t].hi for t in members) - end * len(members)
        return cost + UTTERANCE + early, end - takes, members, end, (), label

    def _choices(
        self, left: frozenset[int], label: Label
    ) -> Iterator[tuple[tuple[int, ...], tuple[int, ...], int]]:
        """Everything that may be said just before what is placed; or one task given up."""
        tasks = self._problem.tasks
        limit = label[1] - self._problem.breath
        # Giving up can wait until nothing else must be said later, so one candidate is enough; unless a
        # warning is due after its own standby, which may have to go first.
        last = max(left, key=lambda t: (tasks[t].lo, t))
        yield (), (last,), 0
        blocked = tasks[last].before
        if blocked is not None and blocked in left:
            yield (), (blocked,), 0
        for kind in (STANDBY, WARNING):
            able = sorted(
                (t for t in self._problem.order[kind] if t in left and tasks[t].before not in left),
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
                        yield members, (), self._problem.takes(members)

    def _bound(self, left: "range | frozenset[int]", limit: int) -> int:
        """Least cost of saying these by ``limit``: tasks that fit nowhere, and moments to pierce the rest.

        Windows are pierced from the last to the first, each time as early as the window with the latest
        ``lo`` and the gaps allow; that an utterance takes longer than its shortest task is ignored.
        """
        total = 0
        tasks, gaps = self._problem.tasks, self._problem.gaps
        for kind in (STANDBY, WARNING):
            pierced = FOREVER
            for t in self._latest_first[kind]:
                if t not in left:
                    continue
                task = tasks[t]
                if gaps.latest_end(min(task.hi, limit), self._problem.alone[t], task.lo) is None:
                    total += LOST[kind]
                    continue
                if pierced <= task.hi:
                    continue
                pierced = gaps.earliest_end(self._shortest[kind], task.lo)
                total += UTTERANCE
        return total

    def _solution(self, label: Label, proven: bool) -> Solution:
        said: list[tuple[tuple[int, ...], int, int]] = []
        lost: list[int] = []
        at: Label | None = label
        while at is not None:
            _, start, tasks, end, left_out, at = at
            if tasks:
                said.append((tasks, start, end))
            lost += left_out
        return Solution(tuple(said), tuple(sorted(lost)), proven)
