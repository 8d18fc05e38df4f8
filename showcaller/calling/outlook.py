"""What is to be expected from here: the end of the show, the curfew, the next walk-on. Pure."""

from collections.abc import Mapping, Sequence
from datetime import datetime, time, timedelta

from showcaller.calling.rungs import item_bases
from showcaller.model import Show, WalkOn
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.durations import Duration, learned_duration, left_of, planned_duration
from showcaller.timing.forecast import Forecast, cuts, forecast
from showcaller.timing.planned_start import zone_of
from showcaller.timing.tonight import Tonight, adjusted, in_common, tonight_of
from showcaller.timing.walkon import WalkPlan, plan_walk
from showcaller.values import Struct

LEFT_EARLY = 0.5
"""An item that was over before so much of its expected length was left, not played (our choice)."""
_WALK_AHEAD_S = 10 * 60.0
"""A walk-on further off than this is not shown yet."""


class NextWalk(Struct, frozen=True):
    """The next walk-on: its name, its plan in seconds from now, and whether it is on already."""

    item: str
    name: str
    plan: WalkPlan
    metres: tuple[float, ...]
    on: bool


def item_durations(show: Show, samples_s: Mapping[str, Sequence[float]]) -> dict[str, Duration]:
    """Item id → how long it will last: as planned, or as the tour has learned (item id → lengths)."""
    return {
        item.id: learned_duration(planned_duration(item), samples_s[item.id])
        if samples_s.get(item.id)
        else planned_duration(item)
        for item in show.items
    }


def _lasts(book: RunBook, durations: Mapping[str, Duration], i: int) -> Duration:
    """How long the i-th item of a book will last; as planned if nothing is said of it."""
    item = book.compiled.items[i].planned.item
    found = durations.get(item.id)
    return planned_duration(item) if found is None else found


_STILL_TONIGHT = timedelta(hours=6)
"""A run this long after a curfew is still that evening's (our choice)."""


def curfew_s(show: Show, wall_ns: int) -> float | None:
    """Seconds from a time of day to the curfew of the show that begins nearest to it; None without one. Long
    after a curfew it is the next evening's.

    On the venue's clock; negative once it has passed. A curfew earlier in the day than the
    start is on the day after it.
    """
    if show.curfew is None:
        return None
    zone = zone_of(show)
    now = datetime.fromtimestamp(wall_ns / 1e9, zone)
    starts = time.fromisoformat(show.starts_at)
    ends = time.fromisoformat(show.curfew)
    evenings = []
    for n in (-1, 0, 1):
        start = datetime.combine(now.date() + timedelta(days=n), starts, zone)
        curfew = datetime.combine(start.date() + timedelta(days=int(ends <= starts)), ends, zone)
        if now <= curfew + _STILL_TONIGHT:
            evenings.append((abs(start - now), curfew))
    return min(evenings)[1].timestamp() - wall_ns / 1e9


def show_forecast(book: RunBook, durations: Mapping[str, Duration], now_ns: int, wall_ns: int) -> Forecast:
    """The end of the show in seconds from now, with the probability of making the curfew."""
    left, night = _left(book, durations, now_ns)
    remaining = [*left, in_common(night, left)] if left else []
    waits_s = _put_off_s(book, left, now_ns)
    return forecast(waits_s, remaining, curfew_s(book.compiled.plan.show, wall_ns))


def delay_left_s(book: RunBook, now_ns: int) -> float:
    """Seconds until the end of the delay that was announced; 0 once it is over, or where none was."""
    until_ns = book.state.delay_until_ns
    return 0.0 if until_ns is None else max(0.0, (until_ns - now_ns) / NS)


def _put_off_s(book: RunBook, left: Sequence[Duration], now_ns: int) -> float:
    """By how much a delay that was announced moves what is left: all of it while nothing plays; else what
    begins once the item that is on should be over."""
    state = book.state
    plays = state.phase == "running" and state.item_ns(now_ns) is not None
    return max(0.0, delay_left_s(book, now_ns) - (left[0].mean_s if plays and left else 0.0))


def _left(book: RunBook, durations: Mapping[str, Duration], now_ns: int) -> tuple[list[Duration], Tonight]:
    """What is left of the item that is on and of each to come, in the light of tonight so far."""
    state = book.state
    night = tonight_of(_done(book, durations))
    at_ns = state.item_ns(now_ns)
    found: list[Duration] = []
    for i, base_s in item_bases(book, now_ns):
        lasts = adjusted(night, _lasts(book, durations, i))
        if i == state.item and at_ns is not None:
            found.append(left_of(lasts, at_ns / NS))
        elif i == state.place.item and at_ns is None and base_s < 0:
            found.append(left_of(lasts, -base_s))
        else:
            found.append(lasts)
    return found, night


def _done(book: RunBook, durations: Mapping[str, Duration]) -> list[tuple[Duration, float]]:
    """Items that are over: what was expected, and how long they were. One that was left early tells
    nothing."""
    found = []
    for i, item in enumerate(book.compiled.plan.items):
        actual_s = book.lengths_s.get(item.item.id)
        on = i == book.state.item and book.state.clock_ns is not None
        expected = _lasts(book, durations, i)
        if actual_s is not None and not on and actual_s > LEFT_EARLY * expected.mean_s:
            found.append((expected, actual_s))
    return found


def never_run(book: RunBook, samples_s: Mapping[str, Sequence[float]], now_ns: int) -> int:
    """How many of the items to come were never measured: their lengths are the plan's."""
    items = [book.compiled.plan.items[i].item.id for i, _ in item_bases(book, now_ns)]
    return sum(not samples_s.get(item) for item in items)


def planned_end(show: Show) -> Forecast:
    """What can be said of the end at once, before a large show is worked out: when it is to be expected, and
    nothing of how sure that is. Seconds from its start."""
    mean_s = sum(planned_duration(item).mean_s for item in show.items if not item.out)
    return Forecast(mean_s, mean_s, mean_s, None, None, None)


class Advice(Struct, frozen=True):
    """The fewest items to leave out for the curfew: their ids, names that tell them from others of the same
    name, and when the show is then expected to end (seconds from now). Without items nothing need go."""

    items: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    end_s: float = 0.0


def suggested_cuts(
    book: RunBook, durations: Mapping[str, Duration], now_ns: int, wall_ns: int, level: float
) -> Advice | None:
    """What to leave out so that the curfew is made with probability ``level``.

    None when leaving out everything that may be is not enough, or there is no curfew. What is on, was begun
    or is over stays.
    """
    curfew = curfew_s(book.compiled.plan.show, wall_ns)
    if curfew is None:
        return None
    ahead = [i for i, _ in item_bases(book, now_ns)]
    left, night = _left(book, durations, now_ns)
    may = [_may_go(book, i, now_ns) for i in ahead]
    shared = in_common(night, left)
    waits_s = _put_off_s(book, left, now_ns)
    chosen = cuts(waits_s, [*left, shared], [*may, False], curfew, level) if left else ()
    if chosen is None:
        return None
    kept = [d for n, d in enumerate(left) if n not in chosen]
    items = [ahead[n] for n in chosen]
    return Advice(
        tuple(book.compiled.plan.items[i].item.id for i in items),
        tuple(_told_apart(book, i) for i in items),
        forecast(waits_s, kept, None).end_s if kept else 0.0,
    )


def _may_go(book: RunBook, i: int, now_ns: int) -> bool:
    """Whether an item can still be left out: it may be, and nothing of it has been played."""
    item, state = book.compiled.plan.items[i].item, book.state
    on = i == state.item and state.item_ns(now_ns) is not None
    begun = on or (i == state.place.item and state.place.go > 0) or item.id in book.lengths_s
    return item.cuttable and not begun


def _told_apart(book: RunBook, i: int) -> str:
    """An item's name; where another has it too, with the item before it: ``Reprise (after Harbour)``."""
    items = [planned.item for planned in book.compiled.plan.items]
    if sum(item.name == items[i].name for item in items) == 1:
        return items[i].name
    return f"{items[i].name} ({f'after {items[i - 1].name}' if i else 'the first item'})"


def next_walk(book: RunBook, now_ns: int) -> NextWalk | None:
    """The walk-on that is on or comes within ten minutes, worked back from the item after it."""
    if book.state.phase == "ended":
        return None
    routes = {r.id: r for r in book.compiled.plan.show.routes}
    for i, base_s in item_bases(book, now_ns):
        item = book.compiled.items[i].planned.item
        if base_s > _WALK_AHEAD_S:
            return None
        if isinstance(item, WalkOn) and item.route is not None:
            downbeat_s = base_s + float(item.length_s)
            if downbeat_s < 0:
                continue
            route = routes[item.route]
            on = i == book.state.item and book.state.clock_ns is not None
            return NextWalk(
                item.id, item.name, plan_walk(route, downbeat_s), tuple(x.length_m for x in route.legs), on
            )
    return None
