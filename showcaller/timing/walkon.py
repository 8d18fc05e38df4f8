"""When a walk-on must leave, worked back from the downbeat; and how the walk went, leg by leg.

A leg takes its length at its pace plus its stairs, plus the wait for each clearance on the way. One person
walks every leg, so whoever is slow is slow throughout: the spreads of walking add up, they do not average
out; waits are independent. These are statistics, so seconds here are floats.
"""

from collections.abc import Mapping, Sequence
from math import hypot, sqrt
from statistics import NormalDist

from showcaller.model import Route, Show, WalkOn
from showcaller.model.clockwords import m_ss
from showcaller.timing.durations import Duration, from_three_points
from showcaller.values import Struct

STAIR_S = 0.6
"""Seconds a step, up or down. Common practice, no source; studies of long stairs agree on nothing finer than
that one's speed there varies more than on the flat."""

WALK_SPREAD = 0.15
"""Standard deviation of walking time over its mean. Common practice, no source; the default pace, MUTCD 2009
§4E.06's 3.5 ft/s, is already one that most people better."""

WAIT = from_three_points(0, 2, 12)
"""The wait for a clearance of which nothing else is known. Common practice, no source."""


class LegPlan(Struct, frozen=True):
    """One leg: how long it takes, when it should start and end, and by when it must start at the latest.

    ``left`` is the rest of the walk from this leg on. ``starts_s`` and ``arrives_s`` are expected for a walk
    that leaves at the leave-by time.
    """

    name: str
    takes: Duration
    left: Duration
    starts_s: float
    arrives_s: float
    latest_s: float


class WalkPlan(Struct, frozen=True):
    """A walk-on worked back from its downbeat; all instants on the clock the downbeat is given on.

    ``leave_by_s`` is the latest departure that arrives in time with the wanted certainty; the camera rolls
    from ``camera_by_s``.
    """

    leave_by_s: float
    camera_by_s: float
    takes: Duration
    legs: tuple[LegPlan, ...]


class LegReview(Struct, frozen=True):
    """One leg as planned and as walked; ``actual_s`` and ``over_s`` are None where it was not finished."""

    name: str
    planned_s: float
    actual_s: float | None
    over_s: float | None


def leg_lengths(show: Show) -> dict[str, float]:
    """Walk-ons by their ids → how long their legs take, s, as expected."""
    routes = {route.id: route for route in show.routes}
    return {
        item.id: plan_walk(routes[item.route], 0.0).takes.mean_s
        for item in show.items
        if isinstance(item, WalkOn) and item.route in routes
    }


def too_short(show: Show) -> list[str]:
    """Walk-ons whose legs take longer than the item is long: a sentence each."""
    legs_s = leg_lengths(show)
    return [
        f"'{item.name}' is {m_ss(round(float(item.length_s)))} long, and its legs take about "
        f"{m_ss(round(legs_s[item.id]))}; plan it longer, or choose a shorter way"
        for item in show.items
        if not item.out and legs_s.get(item.id, 0.0) > float(item.length_s)
    ]


def plan_walk(
    route: Route,
    downbeat_s: float,
    certainty: float = 0.95,
    waits: Mapping[str, Duration] | None = None,
) -> WalkPlan:
    """When to leave so as to be in place at ``downbeat_s`` with probability ``certainty``.

    ``waits`` gives the wait for a clearance by its id; :data:`WAIT` for the rest.

    Raises:
        ValueError: ``certainty`` is not above 0 and below 1.
    """
    if not 0 < certainty < 1:
        raise ValueError(
            f"certainty {certainty} is not a probability; give one between 0 and 1, such as 0.95"
        )
    reach = NormalDist().inv_cdf(certainty)
    known = waits or {}
    walks = [leg.length_m / leg.pace_m_s + leg.stairs * STAIR_S for leg in route.legs]
    stops = [[known.get(clearance, WAIT) for clearance in leg.clearances] for leg in route.legs]
    left: list[Duration] = []
    mean = walking = waiting = 0.0
    for walk, stop in zip(reversed(walks), reversed(stops), strict=True):
        walking += walk
        mean += walk + sum(wait.mean_s for wait in stop)
        waiting += sum(wait.sd_s**2 for wait in stop)
        left.insert(0, Duration(mean, _sd(walking, waiting)))
    latest = [downbeat_s - rest.mean_s - reach * rest.sd_s for rest in left]
    at = latest[0]
    legs: list[LegPlan] = []
    for leg, walk, stop, rest, must in zip(route.legs, walks, stops, left, latest, strict=True):
        takes = Duration(
            walk + sum(wait.mean_s for wait in stop), _sd(walk, sum(wait.sd_s**2 for wait in stop))
        )
        legs.append(LegPlan(leg.name, takes, rest, at, at + takes.mean_s, must))
        at += takes.mean_s
    return WalkPlan(latest[0], latest[0] - float(route.preroll_s), left[0], tuple(legs))


def _sd(walking_s: float, waiting_variance: float) -> float:
    return hypot(WALK_SPREAD * walking_s, sqrt(waiting_variance))


def chance_in_time(plan: WalkPlan, leg: int, now_s: float, downbeat_s: float) -> float:
    """Probability, 0 to 1, of being in place in time for someone who starts ``leg`` (from 0) at ``now_s``.

    Raises:
        ValueError: the route has no such leg.
    """
    if not 0 <= leg < len(plan.legs):
        raise ValueError(f"leg {leg} is not on this route; give 0 to {len(plan.legs) - 1}")
    left = plan.legs[leg].left
    return NormalDist(left.mean_s, left.sd_s).cdf(downbeat_s - now_s)


def review_walk(plan: WalkPlan, left_s: float, arrivals_s: Sequence[float]) -> tuple[LegReview, ...]:
    """Every leg as planned and as walked, from when they left and when each leg ended so far.

    Raises:
        ValueError: more arrivals than legs, or arrivals out of order.
    """
    if len(arrivals_s) > len(plan.legs):
        raise ValueError(
            f"{len(arrivals_s)} arrivals for {len(plan.legs)} legs; give one for each leg walked"
        )
    review: list[LegReview] = []
    start = left_s
    for n, leg in enumerate(plan.legs):
        if n >= len(arrivals_s):
            review.append(LegReview(leg.name, leg.takes.mean_s, None, None))
            continue
        if arrivals_s[n] < start:
            raise ValueError(f"the arrival after '{leg.name}' is before its start; give instants in order")
        took = arrivals_s[n] - start
        review.append(LegReview(leg.name, leg.takes.mean_s, took, took - leg.takes.mean_s))
        start = arrivals_s[n]
    return tuple(review)
