"""Walk-ons afterwards: every leg planned against actual, from the steps that were logged."""

from collections.abc import Iterable

from showcaller.model import Route, WalkOn
from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.timing.walkon import LegReview, plan_walk, review_walk
from showcaller.values import Struct


class WalkReview(Struct, frozen=True):
    """A walk-on: its item, and its legs; ``actual_s`` of a leg is None where a step was not logged."""

    item: str
    name: str
    legs: tuple[LegReview, ...]


def walks(plan: Plan, records: Iterable[Record]) -> tuple[WalkReview, ...]:
    """Every walk-on of a run of which a step was logged, in running order."""
    seen: dict[str, dict[str, int]] = {}
    for record in records:
        for event in record.events:
            if isinstance(event, ev.WalkStep):
                seen.setdefault(event.item, {})[event.step] = record.t_ns
    routes = {route.id: route for route in plan.show.routes}
    found = []
    for planned in plan.items:
        item = planned.item
        if isinstance(item, WalkOn) and item.route is not None and item.id in seen:
            legs = _legs(routes[item.route], seen[item.id])
            found.append(WalkReview(item.id, item.name, legs))
    return tuple(found)


def _legs(route: Route, steps: dict[str, int]) -> tuple[LegReview, ...]:
    """Legs up to the first whose end was not logged; they leave with the last step before the first leg."""
    names = [leg.name for leg in route.legs]
    arrivals: list[float] = []
    for name in names:
        if name not in steps or (arrivals and steps[name] / NS < arrivals[-1]):
            break
        arrivals.append(steps[name] / NS)
    first = steps.get(names[0], 0)
    before = [t for step, t in steps.items() if step not in (*names, "in place") and t <= first]
    if not before or not arrivals:
        return ()
    return review_walk(plan_walk(route, 0.0), max(before) / NS, arrivals)
