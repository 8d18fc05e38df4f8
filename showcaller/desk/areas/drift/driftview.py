"""What the drift area shows of a run, made once when the run is chosen, on a thread of its own. No Qt."""

from dataclasses import dataclass

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.calling.wording import plural
from showcaller.desk.areas.drift.lists import PAGES, Row, list_rows
from showcaller.desk.tour_reading import here
from showcaller.model import Show
from showcaller.review.across import counts as counts_in
from showcaller.review.exports.picture import Box, Link, fall_boxes
from showcaller.review.incidents import counts
from showcaller.review.lateness import habit_offers, habits
from showcaller.review.learned import Offer, is_taken
from showcaller.review.report import RunReport, TourReport, run_report, tour_report
from showcaller.review.standing import Standings
from showcaller.review.trend import Trend


@dataclass(frozen=True, slots=True)
class DriftView:
    """A run's record. ``rows`` are the lists at the side, by page; ``trends`` the charts, by item id."""

    run: Run
    title: str
    incidents: str
    hurt: bool
    sentence: str
    facts: str
    items: tuple[tuple[str, str], ...]
    rows: dict[str, tuple[Row, ...]]
    offers: tuple[Offer, ...]
    trends: dict[str, Trend]
    planned_s: dict[str, float]
    report: RunReport
    tour: TourReport
    counted: bool
    """Whether it is in the tour's charts."""
    standings: Standings

    def fall(self, width: float, height: float, thin: float) -> tuple[list[Box], list[Link]]:
        """The waterfall's boxes in a space of so many px."""
        return fall_boxes(self.report.fall, width, height, thin)


class OpenOffers:
    """What is offered and not in the book yet, worked out anew only for another run or another book."""

    def __init__(self) -> None:
        self._of: tuple[DriftView, Show] | None = None
        self._found: tuple[Offer, ...] = ()

    def of(self, view: DriftView | None, show: Show) -> tuple[Offer, ...]:
        """Those of a run, for the book as it is."""
        if view is None:
            return ()
        if self._of is None or self._of[0] is not view or self._of[1] is not show:
            self._of = view, show
            self._found = tuple(o for o in view.offers if not is_taken(show, o))
        return self._found


def drift_view(tour: Tour, run: Run) -> DriftView:
    """The record of a run.

    Raises:
        TourError: the tour cannot be read.
        ReviewError: nothing was played in this run.
    """
    zone = here()
    report, across = run_report(tour, run, zone), tour_report(tour, run, zone)
    mine, all_ = counts(report.incidents), counts(across.incidents)
    hurt = any(all_.values())
    counted = counts_in(run, report.remarks)
    callers = ", ".join(
        f"{s.caller}: {100 * s.near:.0f} % of {plural(s.goes, 'go', 'goes')} within half a second"
        for s in report.scores
    )
    return DriftView(
        run=run,
        title=report.title,
        incidents=_incident_words(mine, all_),
        hurt=hurt,
        sentence=report.sentence,
        facts=callers if counted else f"not in the tour's charts{' · ' if callers else ''}{callers}",
        items=tuple((i.item, i.name) for i in report.items),
        rows={page: list_rows(page, report, across) for page in PAGES},
        offers=(*across.offers, *habit_offers(report.plan, habits(report.nights))),
        trends=dict(across.trends),
        planned_s={i.item: i.planned_s for i in report.items},
        report=report,
        tour=across,
        counted=counted,
        standings=Standings(report),
    )


def _incident_words(mine: dict[str, int], all_: dict[str, int]) -> str:
    def said(found: dict[str, int]) -> str:
        names = {"injury": ("injury", "injuries"), "near miss": ("near miss", "near misses")}
        return ", ".join(plural(n, *names.get(kind, (kind, kind))) for kind, n in found.items() if n)

    here_words = said(mine) or "no incident this time"
    return f"{here_words} · the tour: {said(all_) or 'none logged'}"
