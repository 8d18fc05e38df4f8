"""The search against a plain one that leaves tasks out at every moment and forgets nothing."""

from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st

from showcaller.timing.calls.ordered import InOrder
from showcaller.timing.calls.solver import Solver
from showcaller.timing.calls.tasks import (
    FOREVER,
    LOST,
    STANDBY,
    UTTERANCE,
    WARNING,
    Gaps,
    Problem,
    Task,
)

WIDTH = 30


@st.composite
def crowded(draw):
    """A few cues in a short stretch, most of them warned, with goes in between."""
    tasks = []
    for hi in draw(st.lists(st.integers(0, 60), min_size=1, max_size=4)):
        standby = len(tasks)
        tasks.append(Task(STANDBY, hi - WIDTH, hi))
        if draw(st.integers(0, 3)):
            # Now and then due after its own standby.
            last = hi - draw(st.integers(-6, 20))
            tasks.append(Task(WARNING, last - WIDTH, last, standby))
    busy = [
        (a, a + n) for a, n in draw(st.lists(st.tuples(st.integers(-25, 60), st.integers(1, 15)), max_size=5))
    ]
    words = draw(st.lists(st.integers(1, 16), min_size=len(tasks), max_size=len(tasks)))
    at_all, saving = draw(st.integers(0, 8)), draw(st.integers(0, 1))
    breath = draw(st.integers(0, 3))

    def takes(members):
        return at_all + sum(words[t] for t in members) - saving * (len(members) - 1)

    return Problem(tasks, takes, Gaps(busy, breath), breath)


def plain_search(problem):
    """The least cost of any sheet that says what is due first, first."""
    tasks, order = problem.tasks, problem.order
    due = {t: k for k, t in enumerate(order[STANDBY])}

    def utterances(kind, count):
        """(what is left, members, lost) of the utterances that end with the last of so many."""
        for left in range(count):
            members = order[kind][left:count]
            yield left, members, ()
            if len(members) > 2:
                longest = max(members[1:-1], key=problem.alone.__getitem__)
                yield left, tuple(t for t in members if t != longest), (longest,)

    @cache
    def best(k, m, start):
        found = [0] if k == m == 0 else []
        if k:
            found.append(LOST[STANDBY] + best(k - 1, m, start))
        if m:
            found.append(LOST[WARNING] + best(k, m - 1, start))
        for kind, count in ((STANDBY, k), (WARNING, m)):
            for left, members, lost in utterances(kind, count):
                if kind == WARNING and any(due[tasks[t].before] < k for t in members):
                    continue  # a warning is said before its standby, which is still to place
                lo, hi = tasks[members[-1]].lo, tasks[members[0]].hi
                takes = problem.takes(members)
                end = problem.gaps.latest_end(min(hi, start - problem.breath), takes, lo)
                if end is None:
                    continue
                cost = UTTERANCE + sum(tasks[t].hi - end for t in members) + len(lost) * LOST[kind]
                rest = (left, m) if kind == STANDBY else (k, left)
                found.append(cost + best(*rest, end - takes))
        return min(found)

    return best(len(order[STANDBY]), len(order[WARNING]), FOREVER)


@settings(max_examples=400, deadline=None)
@given(crowded())
def test_nothing_better_is_found_by_leaving_out_at_every_moment(problem):
    assert InOrder(problem).best()[0] == plain_search(problem)


def test_a_warning_gives_way_just_before_the_next_one_too():
    # Two warnings whose windows are one; only the one that is due first is short enough.
    tasks = [
        Task(STANDBY, 60, 90), Task(WARNING, 0, 30, 0),
        Task(STANDBY, 61, 91), Task(WARNING, 1, 31, 2),
    ]  # fmt: skip
    words = [5, 5, 5, 50]
    problem = Problem(tasks, lambda some: sum(words[t] for t in some), Gaps([(0, 10), (32, 50)], 1), 1)
    solution = Solver(problem, budget=0).solve()
    assert solution.lost == (3,)
    assert [members for members, _, _ in solution.said] == [(1,), (0, 2)]


def test_with_no_breath_a_warning_that_fits_nowhere_is_left_out_at_the_very_end():
    tasks = [Task(STANDBY, 60, 90), Task(WARNING, 0, 30, 0)]
    problem = Problem(tasks, lambda some: 5 * len(some), Gaps([(-20, 40)], 0), 0)
    assert Solver(problem, budget=0).solve().lost == (1,)


def test_far_too_many_warnings_are_given_up_where_only_some_can_be_said():
    # Twelve windows that are one, with room for two in one utterance.
    tasks = [Task(STANDBY, 100, 130 + n) for n in range(12)]
    tasks += [Task(WARNING, 0, 10 + n, n) for n in range(12)]
    gaps = Gaps([(-50, 1), (23, 60)], 1)

    def takes(some):
        return (2 if tasks[some[0]].kind == STANDBY else 8) * len(some)

    solution = Solver(Problem(tasks, takes, gaps, 1), budget=0).solve()
    assert len(solution.lost) == 10
    assert {tasks[t].kind for t in solution.lost} == {WARNING}
