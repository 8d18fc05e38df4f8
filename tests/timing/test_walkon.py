"""Walk-ons worked back from the downbeat."""

import json

import numpy as np
import pytest
from small_shows import document

from showcaller.model import Leg, Route, parse_show
from showcaller.timing.durations import Duration
from showcaller.timing.walkon import (
    STAIR_S,
    WAIT,
    WALK_SPREAD,
    chance_in_time,
    plan_walk,
    review_walk,
    too_short,
)

ROUTE = Route(
    id="b-stage",
    name="To the B-stage",
    legs=(
        Leg(name="Corridor", length_m=42.672),
        Leg(name="Stairs", length_m=10, stairs=20, pace_m_s=1.0, clearances=("lift", "door")),
        Leg(name="Thrust", length_m=16, pace_m_s=1.6),
    ),
    preroll_s=15,
)


def test_a_leg_at_the_handbooks_pace():
    # MUTCD 2009 §4E.06: 3.5 ft/s is 1.0668 m/s, so 140 ft (42.672 m) take 40 s.
    plan = plan_walk(ROUTE, 300)
    assert plan.legs[0].takes.mean_s == pytest.approx(40)
    assert plan.legs[1].takes.mean_s == pytest.approx(10 + 20 * STAIR_S + 2 * WAIT.mean_s)
    assert plan.takes.mean_s == pytest.approx(sum(leg.takes.mean_s for leg in plan.legs))


def test_half_of_those_who_leave_at_even_odds_are_late():
    plan = plan_walk(ROUTE, 300, certainty=0.5)
    assert plan.leave_by_s == pytest.approx(300 - plan.takes.mean_s)
    assert plan.legs[-1].arrives_s == pytest.approx(300)
    assert plan.camera_by_s == pytest.approx(plan.leave_by_s - 15)
    assert chance_in_time(plan, 0, plan.leave_by_s, 300) == pytest.approx(0.5)


@pytest.mark.parametrize("certainty", [0.8, 0.95, 0.99])
def test_the_wanted_share_of_simulated_walks_is_in_time(certainty):
    plan = plan_walk(ROUTE, 300, certainty)
    generator = np.random.default_rng(1)
    runs = 100_000
    # One walker, slow or fast on every leg alike, and two waits.
    walking = 40 + 10 + 20 * STAIR_S + 10
    arrivals = plan.leave_by_s + walking * generator.normal(1, WALK_SPREAD, runs)
    arrivals += WAIT.sample(generator, runs) + WAIT.sample(generator, runs)
    assert np.mean(arrivals <= 300) == pytest.approx(certainty, abs=0.006)


def test_every_legs_latest_start_has_the_same_odds():
    plan = plan_walk(ROUTE, 300, 0.9)
    for n, leg in enumerate(plan.legs):
        assert chance_in_time(plan, n, leg.latest_s, 300) == pytest.approx(0.9)
        assert leg.latest_s >= leg.starts_s - 1e-9
    assert chance_in_time(plan, 2, plan.legs[2].latest_s + 5, 300) < 0.5


def test_a_slow_gate_makes_them_leave_earlier():
    slow = plan_walk(ROUTE, 300, waits={"lift": Duration(60, 20)})
    assert slow.leave_by_s < plan_walk(ROUTE, 300).leave_by_s - 50


def test_planned_against_actual():
    plan = plan_walk(ROUTE, 300)
    done, stairs, thrust = review_walk(plan, 100, [150, 170])
    assert (done.planned_s, done.actual_s, done.over_s) == (pytest.approx(40), 50, pytest.approx(10))
    assert stairs.actual_s == 20
    assert (thrust.actual_s, thrust.over_s) == (None, None)


def test_refusals():
    plan = plan_walk(ROUTE, 300)
    with pytest.raises(ValueError, match=r"certainty 1.5 is not a probability; give one between 0 and 1"):
        plan_walk(ROUTE, 300, 1.5)
    with pytest.raises(ValueError, match="4 arrivals for 3 legs; give one for each leg walked"):
        review_walk(plan, 0, [1, 2, 3, 4])
    with pytest.raises(ValueError, match="the arrival after 'Stairs' is before its start"):
        review_walk(plan, 0, [50, 40])
    with pytest.raises(ValueError, match="leg 3 is not on this route; give 0 to 2"):
        chance_in_time(plan, 3, 0, 300)


def test_a_walk_on_shorter_than_its_legs_is_a_fault():
    legs = [{"name": "Lane", "length_m": 120}, {"name": "Ramp", "length_m": 30, "stairs": 10}]
    routes = [{"id": "way", "name": "Way", "legs": legs}]

    def walk(length_s, **more):
        item = {
            "kind": "walk-on",
            "id": "w",
            "name": "To the buoy",
            "length_s": length_s,
            "route": "way",
            **more,
        }
        return parse_show(json.dumps(document([item], routes=routes)))

    # 150 m at 1.0668 m/s are 140.6 s, ten steps at 0.6 s are 6.
    assert too_short(walk(147)) == []
    assert too_short(walk(146)) == [
        "'To the buoy' is 2:26 long, and its legs take about 2:27; plan it longer, or choose a shorter way"
    ]
