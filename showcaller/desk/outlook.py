"""What is ahead of the show on the desk: its end, cuts, the next walk-on, notes of earlier nights. No Qt."""

from collections.abc import Callable, Mapping

from showcaller.calling.outlook import (
    Advice,
    item_durations,
    never_run,
    next_walk,
    planned_end,
    show_forecast,
    suggested_cuts,
)
from showcaller.calling.status_view import MAKE_IT, NOTHING
from showcaller.desk.status_words import walk_rows
from showcaller.desk.told import Walk
from showcaller.desk.tour_facts import TourFacts
from showcaller.model import Show
from showcaller.run.runbook import RunBook
from showcaller.timing.durations import Duration
from showcaller.timing.forecast import Forecast
from showcaller.timing.planned_start import planned_start_wall_ns, zone_of

STILL_TONIGHT_S = 4 * 3600
"""A show that should have begun longer ago than this is not tonight's any more (common practice, no
source)."""
_DAY_NS = 86_400 * 10**9


def planned_start_ns(show: Show, wall_ns: int) -> int:
    """The planned start nearest to a time of day, in the venue's time zone."""
    return planned_start_wall_ns(show.starts_at, wall_ns, zone_of(show))


class Outlook:
    """``book`` gives the book that is read, ``show`` the show as edited; lengths go by item, not by place."""

    def __init__(self, book: Callable[[], RunBook], show: Callable[[], Show]) -> None:
        self._book = book
        self._show = show
        self.facts = TourFacts()
        self.whole = True
        """Whether the book holds all of the show: a large one is worked out once the window stands."""
        self._durations: Mapping[str, Duration] = {}
        self._of: tuple[Show, TourFacts] | None = None

    def durations(self) -> Mapping[str, Duration]:
        """Item id → how long it will last, of every item of the book that is read."""
        of = self._book().compiled.plan.show, self.facts
        if self._of is None or self._of[0] is not of[0] or self._of[1] is not of[1]:
            self._of, self._durations = of, item_durations(of[0], self.facts.lengths)
        return self._durations

    def forecast(self, now_ns: int, wall_ns: int) -> Forecast:
        """When the show will end, in seconds from now; before a run is open, if it began as planned."""
        if not self.whole:
            return planned_end(self._show())
        return show_forecast(self._book(), self.durations(), now_ns, self.counted_ns(wall_ns))

    def never_run(self, now_ns: int) -> int:
        """How many of the items to come were never measured."""
        return never_run(self._book(), self.facts.lengths, now_ns)

    def cut(self, now_ns: int, wall_ns: int, ahead: Forecast) -> Advice | None:
        """What to leave out for the curfew; nothing while it is likely to be made."""
        if ahead.p_make is None or ahead.p_make >= MAKE_IT:
            return NOTHING
        return suggested_cuts(self._book(), self.durations(), now_ns, self.counted_ns(wall_ns), MAKE_IT)

    def counted_ns(self, wall_ns: int) -> int:
        """The time of day the forecast counts from; before a run that of a start now or as planned,
        whichever is later."""
        if self._book().state.phase != "idle":
            return wall_ns
        planned_ns = planned_start_ns(self._show(), wall_ns)
        if wall_ns - planned_ns > STILL_TONIGHT_S * 10**9:
            planned_ns += _DAY_NS
        return max(planned_ns, wall_ns)

    def walk(self, now_ns: int) -> Walk | None:
        """The next walk-on, if one is near."""
        walk = next_walk(self._book(), now_ns)
        return None if walk is None else walk_rows(self._book(), walk, now_ns)

    def earlier_notes(self) -> tuple[str, ...]:
        """Notes on the item that is on from the last night that had any."""
        book = self._book()
        return self.facts.earlier.get(book.compiled.plan.items[book.state.item].item.id, ())
