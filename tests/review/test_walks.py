"""A walk-on afterwards: each leg against its plan, as far as its steps were logged."""

import pytest
from played import Played
from small_shows import cue, item, show

from showcaller.review.walks import walks
from showcaller.run import commands as c

# MUTCD 2009 §4E.06: 3.5 ft/s is 1.0668 m/s, the pace a leg has unless it says otherwise.
LEGS = [{"name": "Lane", "length_m": 32.004}, {"name": "Ramp", "length_m": 10.668}]


def walked(*steps):
    routes = [{"id": "r", "name": "R", "legs": LEGS, "camera": "ahead", "preroll_s": 5}]
    walk = {**item("w", 60, [cue("a", "1", 0)]), "kind": "walk-on", "route": "r"}
    run = Played(show([walk], routes=routes))
    run.go(0)
    for at_s, step in steps:
        run.at(at_s, c.MarkWalkStep("w", step))
    return walks(run.compiled.plan, run.records)


def test_each_leg_is_timed_from_the_step_before_it():
    (walk,) = walked((5, "at the mark"), (8, "camera rolls"), (41, "Lane"), (50, "Ramp"), (51, "in place"))
    assert [(leg.name, leg.actual_s) for leg in walk.legs] == [("Lane", 33.0), ("Ramp", 9.0)]
    assert [leg.planned_s for leg in walk.legs] == pytest.approx([30.0, 10.0])


def test_a_step_that_was_not_logged_leaves_its_legs_open():
    (walk,) = walked((5, "at the mark"), (41, "Lane"))
    assert [leg.actual_s for leg in walk.legs] == [36.0, None]
    assert walked((5, "at the mark"))[0].legs == ()
    assert walked() == ()


def test_steps_logged_out_of_order_are_no_error():
    (walk,) = walked((5, "Lane"), (8, "at the mark"), (9, "Ramp"))
    assert walk.legs == ()
