"""The call solver against brute force and against a constraint solver (OR-tools CP-SAT)."""

import random
from itertools import combinations, pairwise

import pytest
from ortools.sat.python import cp_model

from showcaller.timing.calls.solver import Solver
from showcaller.timing.calls.tasks import STANDBY, WARNING, Gaps, Problem, Solution, Task

BREATH = 3
PLENTY = 10**7


def _random_case(seed, most):
    """Tasks in a crowded stretch, the goes in it, and how long any set takes to say."""
    pick = random.Random(seed)
    busy, at = [], 0
    for _ in range(pick.randint(1, 6)):
        at += pick.randint(4, 45)
        end = at + pick.randint(8, 20)
        busy.append((at, end))
        at = end
    width = pick.choice((15, 30, 60, 60))
    tasks = []
    for _ in range(pick.randint(2, most)):
        hi = pick.randint(0, at)
        standby = len(tasks)
        tasks.append(Task(STANDBY, hi - width, hi))
        if pick.random() < 0.25 and len(tasks) < most:
            hi -= pick.randint(-5, 30)
            tasks.append(Task(WARNING, hi - width, hi, standby))
    words = [pick.randint(2, 16) for _ in tasks]
    saving = pick.randint(0, 2)

    def takes(members):
        return 4 + sum(words[t] for t in members) - saving * (len(members) - 1)

    return tasks, busy, takes


def _score(tasks, solution: Solution):
    lost = [tasks[t].kind for t in solution.lost]
    return lost.count(STANDBY), lost.count(WARNING), len(solution.said)


def _check_holds(tasks, busy, takes, solution):
    """Everything a sheet promises, checked from the outside."""
    said = [t for members, _, _ in solution.said for t in members]
    assert sorted([*said, *solution.lost]) == list(range(len(tasks)))
    when = {}
    for members, start, end in solution.said:
        assert end - start == takes(members)
        assert len({tasks[t].kind for t in members}) == 1
        for t in members:
            assert tasks[t].lo <= end <= tasks[t].hi
            when[t] = (start, end)
    fixed = sorted([*busy, *((start, end) for _, start, end in solution.said)])
    movable = {(start, end) for _, start, end in solution.said}
    for one, two in pairwise(fixed):
        if one in movable or two in movable:
            assert two[0] - one[1] >= BREATH
    for t, task in enumerate(tasks):
        if task.before in when and t in when:
            assert when[t][1] + BREATH <= when[task.before][0]


def _gap_end(busy, limit, takes):
    """The latest end up to ``limit`` outside every go, by trying each unit of time."""
    end = limit
    while any(end + BREATH > a and end - takes - BREATH < b for a, b in busy):
        end -= 1
    return end


def _brute_force(tasks, busy, takes, in_order):
    """The best (lost standbys, lost warnings, utterances, early) of every sequence of every set of tasks."""
    best = (len(tasks) + 1, 0, 0, 0)

    def later_ones(left):
        for size in range(1, len(left) + 1):
            for members in combinations(left, size):
                if len({tasks[t].kind for t in members}) == 1:
                    yield members

    def search(left, start, count, early, given_up):
        nonlocal best
        kinds = [tasks[t].kind for t in (*left, *given_up)]
        best = min(best, (kinds.count(STANDBY), kinds.count(WARNING), count, early))
        for members in later_ones(left):
            if any(tasks[t].before in left and tasks[t].before not in given_up for t in members):
                continue
            after = {(tasks[t].hi, t) for t in left if tasks[t].kind == tasks[members[0]].kind} - {
                (tasks[t].hi, t) for t in members
            }
            if in_order and after and max(after) > min((tasks[t].hi, t) for t in members):
                continue
            took = takes(members)
            end = _gap_end(busy, min(start - BREATH, *(tasks[t].hi for t in members), 10**6), took)
            if end < max(tasks[t].lo for t in members):
                continue
            rest = tuple(t for t in left if t not in members)
            search(rest, end - took, count + 1, early + sum(tasks[t].hi - end for t in members), given_up)

    everything = tuple(range(len(tasks)))
    for size in range(len(tasks) + 1):
        if size > best[0] + best[1]:
            break
        for given_up in combinations(everything, size):
            search(tuple(t for t in everything if t not in given_up), 10**6, 0, 0, given_up)
    return best


@pytest.mark.parametrize("seed", range(120))
def test_as_few_utterances_as_brute_force_finds(seed):
    tasks, busy, takes = _random_case(seed, most=4)
    solution = Solver(Problem(tasks, takes, Gaps(busy, BREATH), BREATH), PLENTY).solve()
    _check_holds(tasks, busy, takes, solution)
    assert solution.proven
    assert _score(tasks, solution) == _brute_force(tasks, busy, takes, in_order=False)[:3]


@pytest.mark.parametrize("seed", range(120, 200))
def test_standbys_are_as_late_as_brute_force_finds_when_said_in_order(seed):
    tasks, busy, takes = _random_case(seed, most=4)
    solution = Solver(Problem(tasks, takes, Gaps(busy, BREATH), BREATH), budget=0).solve()
    if solution.lost:
        return  # what is left out is chosen for the fewest, not for the latest
    early = sum(tasks[t].hi - end for members, _, end in solution.said for t in members)
    assert (*_score(tasks, solution), early) == _brute_force(tasks, busy, takes, in_order=True)


def _cp_sat(tasks, busy, takes):
    """The same problem as optional intervals, one for every set that could share an utterance."""
    model = cp_model.CpModel()
    horizon = 2000
    intervals = [model.new_interval_var(a, b - a + BREATH, b + BREATH, "go") for a, b in _merged(busy)]
    chosen = []
    for size in range(1, len(tasks) + 1):
        for members in combinations(range(len(tasks)), size):
            lo, hi = max(tasks[t].lo for t in members), min(tasks[t].hi for t in members)
            if lo > hi or len({tasks[t].kind for t in members}) > 1:
                continue
            said, end = model.new_bool_var(""), model.new_int_var(-horizon, horizon, "")
            start, took = model.new_int_var(-horizon, horizon, ""), takes(members)
            padded = model.new_int_var(-horizon, horizon, "")
            model.add(padded == end + BREATH)
            model.add(start == end - took)
            model.add(end >= lo).only_enforce_if(said)
            model.add(end <= hi).only_enforce_if(said)
            intervals.append(model.new_optional_interval_var(start, took + BREATH, padded, said, ""))
            chosen.append((members, said, start, end))
    model.add_no_overlap(intervals)
    lost = []
    for t in range(len(tasks)):
        lost.append(model.new_bool_var(""))
        model.add(sum(said for members, said, _, _ in chosen if t in members) + lost[t] == 1)
    for t, task in enumerate(tasks):
        for ones, first, _, end in chosen if task.before is not None else ():
            for others, second, start, _ in chosen:
                if t in ones and task.before in others:
                    model.add(end + BREATH <= start).only_enforce_if(first, second)
    weight = {STANDBY: 10_000, WARNING: 100}
    cost = sum(said for _, said, _, _ in chosen)
    model.minimize(cost + sum(weight[task.kind] * gone for task, gone in zip(tasks, lost, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    value = round(solver.objective_value)
    return value // 10_000, value % 10_000 // 100, value % 100


def _merged(busy):
    """Goes closer together than a breath as one, since the constraint solver keeps all intervals apart."""
    merged = []
    for start, end in sorted(busy):
        if merged and start < merged[-1][1] + BREATH:
            merged[-1] = (merged[-1][0], end)
        else:
            merged.append((start, end))
    return merged


@pytest.mark.parametrize("seed", range(1000, 1080))
def test_as_few_utterances_as_a_constraint_solver_finds(seed):
    tasks, busy, takes = _random_case(seed, most=7)
    solution = Solver(Problem(tasks, takes, Gaps(busy, BREATH), BREATH), PLENTY).solve()
    _check_holds(tasks, busy, takes, solution)
    assert solution.proven
    assert _score(tasks, solution) == _cp_sat(tasks, busy, takes)


@pytest.mark.parametrize("seed", range(2000, 2060))
def test_a_crowded_item_cut_short_still_keeps_every_promise(seed):
    tasks, busy, takes = _random_case(seed, most=14)
    _check_holds(
        tasks, busy, takes, Solver(Problem(tasks, takes, Gaps(busy, BREATH), BREATH), budget=30).solve()
    )
