"""What is to be expected from here: the end of the show, the curfew, the next walk-on. Pure."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from showcaller.calling.callview import item_bases
from showcaller.calling.runbook import RunBook
from showcaller.engine.program import NS
from showcaller.model import Show, WalkOn
from showcaller.timing.durations import Duration, learned_duration, left_of, planned_duration
from showcaller.timing.forecast import Forecast, forecast
from showcaller.timing.walkon import WalkPlan, plan_walk

_WALK_AHEAD_S = 20 * 60.0
"""A walk-on further off than this is not shown yet."""


@dataclass(frozen=True, slots=True)
class NextWalk:
    """The next walk-on: its name, its plan in seconds from now, and whether it is on already."""

    name: str
    plan: WalkPlan
    metres: tuple[float, ...]
    on: bool


def item_durations(show: Show, samples_s: Mapping[str, Sequence[float]]) -> tuple[Duration, ...]:
    """How long each item will last: as planned, or as the tour has learned (item id → lengths)."""
    return tuple(
        learned_duration(planned_duration(item), samples_s[item.id])
        if samples_s.get(item.id)
        else planned_duration(item)
        for item in show.items
    )


def curfew_s(show: Show, wall_ns: int) -> float | None:
    """Seconds from a time of day to the curfew that belongs to it; None without one."""
    if show.curfew is None:
        return None
    now = datetime.fromtimestamp(wall_ns / 1e9).astimezone()
    parts = [int(p) for p in show.curfew.split(":")]
    at = now.replace(hour=parts[0], minute=parts[1], second=0, microsecond=0)
    # A curfew after midnight belongs to the evening before it, and a show may run past its curfew.
    if at < now - timedelta(hours=12):
        at += timedelta(days=1)
    if at > now + timedelta(hours=20):
        at -= timedelta(days=1)
    return (at - now).total_seconds()


def show_forecast(book: RunBook, durations: tuple[Duration, ...], now_ns: int, wall_ns: int) -> Forecast:
    """The end of the show in seconds from now, with the probability of making the curfew."""
    state = book.state
    at_ns = state.item_ns(now_ns)
    remaining: list[Duration] = []
    for i, base_s in item_bases(book, now_ns):
        if i == state.item and at_ns is not None:
            remaining.append(left_of(durations[i], at_ns / NS))
        elif i == state.place.item and at_ns is None and base_s < 0:
            remaining.append(left_of(durations[i], -base_s))
        else:
            remaining.append(durations[i])
    return forecast(0.0, remaining, curfew_s(book.program.plan.show, wall_ns))


def next_walk(book: RunBook, now_ns: int) -> NextWalk | None:
    """The walk-on that is on or comes within twenty minutes, worked back from the item after it."""
    routes = {r.id: r for r in book.program.plan.show.routes}
    for i, base_s in item_bases(book, now_ns):
        item = book.program.items[i].planned.item
        if base_s > _WALK_AHEAD_S:
            return None
        if isinstance(item, WalkOn) and item.route is not None:
            downbeat_s = base_s + float(item.length_s)
            if downbeat_s < 0:
                continue
            route = routes[item.route]
            on = i == book.state.item and book.state.clock_ns is not None
            return NextWalk(
                item.name, plan_walk(route, downbeat_s), tuple(x.length_m for x in route.legs), on
            )
    return None
