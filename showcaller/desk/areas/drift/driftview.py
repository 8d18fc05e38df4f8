"""What the drift area shows of a run, made once when the run is chosen, on a thread of its own. No Qt."""

from typing import get_args

from showcaller.archive import Remark, Run
from showcaller.archive.tour import Tour
from showcaller.archive.values import Verdict
from showcaller.calling.wording import plural
from showcaller.desk.areas.drift.lists import PAGES, Row, list_rows
from showcaller.desk.areas.drift.voice_rows import voice_rows
from showcaller.desk.tour_reading import here
from showcaller.model import Show
from showcaller.review.across import counts as counts_in
from showcaller.review.clock_path import Stretch, clock_path
from showcaller.review.exports.picture import Box, Link, fall_boxes
from showcaller.review.incidents import counts
from showcaller.review.lateness import habit_offers, habits
from showcaller.review.learned import Offer, is_taken
from showcaller.review.report import RunReport, TourReport, run_report, tour_report
from showcaller.review.standing import Standings
from showcaller.review.trend import Trend
from showcaller.review.verdicts import Judged, judged
from showcaller.review.voice import ShowLine, heard_in, show_lines, speaking_offers
from showcaller.run.compiled import compile_show
from showcaller.run.last_edition import last_edition
from showcaller.timing.plan import compile_plan
from showcaller.values import Struct


class DriftView(Struct, frozen=True):
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
    path: tuple[Stretch, ...]
    """Which item's clock showed what."""
    verdicts: tuple[Judged, ...]
    """Of the whole tour, this run's among them."""
    lines: tuple[ShowLine, ...]
    """Every line of what was played, and about when it was said."""
    counted_runs: tuple[int, ...]
    """Numbers of the nights that are compared, this one among them."""

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
    path = clock_path(compile_show(report.opened), report.records)
    lines = show_lines(report.plan, path, report.records)
    heard = heard_in(report.remarks)
    rows = {page: list_rows(page, report, across) for page in PAGES}
    rows["calling"] += voice_rows(lines, report.records, heard)
    offers = (*speaking_offers(report.plan, lines, heard), *across.offers)
    return DriftView(
        run=run,
        title=report.title,
        incidents=_incident_words(mine, all_),
        hurt=hurt,
        sentence=report.sentence,
        facts=callers if counted else f"not in the tour's charts{' · ' if callers else ''}{callers}",
        items=tuple((i.item, i.name) for i in report.items),
        rows=rows,
        offers=(*offers, *habit_offers(report.plan, habits(report.nights))),
        trends=dict(across.trends),
        planned_s={i.item: i.planned_s for i in report.items},
        report=report,
        tour=across,
        counted=counted,
        standings=Standings(report),
        path=path,
        lines=lines,
        verdicts=_verdicts(tour, run, judged(run.number, report.remarks, report.plan, path)),
        counted_runs=_nights(tour, run),
    )


def _nights(tour: Tour, run: Run) -> tuple[int, ...]:
    remarks = tour.all_remarks()
    return tuple(r.number for r in tour.runs() if r == run or counts_in(r, remarks.get(r.number, ())))


_known: dict[tuple[str, tuple[Remark, ...]], tuple[Judged, ...]] = {}
"""Verdicts of other nights, which do not change: (run, its remarks) → them, placed in the show."""


def _verdicts(tour: Tour, run: Run, mine: tuple[Judged, ...]) -> tuple[Judged, ...]:
    """Of every night; where a verdict of another night lies is told by that night's own log."""
    found = list(mine)
    runs = {r.number: r for r in tour.runs()}
    for number, remarks in tour.all_remarks().items():
        if number == run.number or not any(r.kind in get_args(Verdict) for r in remarks):
            continue
        key = (runs[number].run_id, tuple(remarks))
        if key not in _known:
            if len(_known) > 200:
                _known.clear()
            opened, records = tour.show_of(runs[number].edition), tour.records(runs[number])
            path = clock_path(compile_show(compile_plan(opened)), records)
            _known[key] = judged(number, remarks, compile_plan(last_edition(opened, records)), path)
        found += _known[key]
    return tuple(found)


def _incident_words(mine: dict[str, int], all_: dict[str, int]) -> str:
    def said(found: dict[str, int]) -> str:
        names = {"injury": ("injury", "injuries"), "near miss": ("near miss", "near misses")}
        return ", ".join(plural(n, *names.get(kind, (kind, kind))) for kind, n in found.items() if n)

    here_words = said(mine) or "no incident this time"
    return f"{here_words} · the tour: {said(all_) or 'none logged'}"
