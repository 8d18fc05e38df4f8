"""A walk-on's way as it is drawn: from the leave-by to the downbeat, what each leg needs and who is there."""

from showcaller.model import Route, Show
from showcaller.timing.walkon import plan_walk
from showcaller.values import Struct


class WayLeg(Struct, frozen=True):
    """One leg: ``from_s`` to ``to_s`` before the downbeat (negative), how far, and what is there in words."""

    name: str
    from_s: float
    to_s: float
    walk: str
    needs: str
    there: str


class Way(Struct, frozen=True):
    """A route worked out. Seconds are before the downbeat, negative; ``rolls_s`` is None without a camera.

    The legs are as expected for a walk that leaves at ``leave_s``; what is left to the downbeat is kept for a
    slower one.
    """

    name: str
    leave_s: float
    rolls_s: float | None
    camera: str
    people: str
    legs: tuple[WayLeg, ...]

    @property
    def begins_s(self) -> float:
        """When the first of it is, the camera or the walk."""
        return min(self.leave_s, self.rolls_s if self.rolls_s is not None else self.leave_s)


def way_of(show: Show, route: Route) -> Way:
    """The way of a route; clearances by the names that the show has for them."""
    plan = plan_walk(route, 0.0)
    names = {c.id: c.name for c in show.clearances}
    legs = []
    for leg, planned in zip(route.legs, plan.legs, strict=True):
        walk = f"{leg.length_m:g} m" + (f", {leg.stairs} stairs" if leg.stairs else "")
        there = " · ".join(w for w in (leg.posted or "", f"radio {leg.radio}" if leg.radio else "") if w)
        needs = ", ".join(names.get(c, c) for c in leg.clearances)
        legs.append(WayLeg(leg.name, planned.starts_s, planned.arrives_s, walk, needs, there))
    people = " · ".join(f"{walker.name} {walker.task}" for walker in route.people)
    rolls_s = plan.camera_by_s if route.camera is not None else None
    return Way(route.name, plan.leave_by_s, rolls_s, route.camera or "", people, tuple(legs))
