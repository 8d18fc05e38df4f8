"""A tour's nights side by side: each item's lengths, read in one go, and what drifts most."""

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from statistics import fmean, stdev
from typing import TYPE_CHECKING

from showcaller.archive import Remark, Run
from showcaller.model import Show
from showcaller.model.items import Item
from showcaller.review.errors import ReviewError
from showcaller.review.learned import NightKind, Sample, lengths_of
from showcaller.review.timeline import make_timeline
from showcaller.review.trend import Trend, TrendPoint, trend
from showcaller.run.events import Held, ItemEnded, ItemStarted, Jumped, Resumed, TakenBack
from showcaller.run.runlog import Record
from showcaller.values import Struct

if TYPE_CHECKING:  # the window needs what stands here, and the database library comes after it
    from showcaller.archive.tour import Tour

_NIGHT = tuple(cls.kind for cls in (ItemStarted, ItemEnded, Held, Resumed, Jumped, TakenBack))
_SAME_ITEM = {
    "kind", "tempo", "meters", "sections", "downbeat_s", "timecode_start", "route", "instead_of",
}  # fmt: skip
"""Fields that make an item what it is on stage. Its planned length is not one of them: planning by what was
learned must not make anyone forget what was learned."""


class Drifter(Struct, frozen=True):
    """An item over the tour: nights; mean over plan, its spread, and all of it together, in seconds."""

    item: str
    name: str
    runs: int
    mean_over_s: float
    sd_s: float | None
    total_s: float


def counts(run: Run, remarks: Iterable[Remark]) -> bool:
    """Whether a run is one of those that charts and habits are made of: as was last said of it (``remarks``
    as the tour gives them, those of one moment in the order of their writing), else if it was finished,
    called by a person and not rehearsed."""
    said = [r for r in remarks if r.kind in ("counted", "left out")]
    if said:
        return said[-1].kind == "counted"
    return run.finished and kind_of(run) == "show"


def kind_of(run: Run) -> NightKind:
    """Whether a run was called by a person before an audience, rehearsed, or simulated."""
    return "simulated" if run.simulated is not None else "rehearsal" if run.muted else "show"


def tour_samples(tour: "Tour", upto: Run | None = None) -> Mapping[str, tuple[Sample, ...]]:
    """Item id → its lengths on nights that count (:func:`counts`).

    Args:
        tour: read in two questions.
        upto: this run and those before it.

    Raises:
        TourError: the tour cannot be read.
    """
    said = tour.all_remarks()
    counted = [
        (run, records)
        for run, records in tour.telling_records(*_NIGHT)
        if (upto is None or run.number <= upto.number) and counts(run, said.get(run.number, ()))
    ]
    found: dict[str, list[Sample]] = {}
    stage_of = _Stages(tour.show_of)
    for run, records in counted:
        try:
            timeline = make_timeline(_night(tour, run, records))
        except ReviewError:
            continue  # nothing was played that night
        for item, length_s in lengths_of(timeline):
            stage = stage_of(item, run.edition)
            found.setdefault(item, []).append(Sample(run.number, run.edition, length_s, stage, kind_of(run)))
    return {item: tuple(mine) for item, mine in found.items()}


def _night(tour: "Tour", run: Run, records: Sequence[Record]) -> Sequence[Record]:
    """Enough of a run's log for its timeline; all of it where a go was taken back or the place was put
    elsewhere: then each event counts."""
    moved = any(isinstance(e, TakenBack | Jumped) for record in records for e in record.events)
    return tour.records(run) if moved else records


class _Stages:
    """Counts, item by item, how often what it is on stage changed from one night's edition to the next."""

    def __init__(self, show_of: Callable[[int], Show]) -> None:
        self._show_of = show_of
        self._marks: dict[int, dict[str, str]] = {}
        self._last: dict[str, tuple[str, int]] = {}

    def __call__(self, item: str, edition: int) -> int:
        if edition not in self._marks:
            self._marks[edition] = {i.id: _mark(i) for i in self._show_of(edition).items}
        mark = self._marks[edition].get(item, "")
        before, stage = self._last.get(item, (mark, 0))
        stage += mark != before
        self._last[item] = (mark, stage)
        return stage


def _mark(item: Item) -> str:
    return json.dumps(item.model_dump(mode="json", include=_SAME_ITEM), sort_keys=True)


def trends(samples: Mapping[str, Sequence[Sample]]) -> dict[str, Trend]:
    """A chart for every item with two nights or more."""
    return {
        item: trend([TrendPoint(s.run, s.edition, s.length_s, s.stage, s.kind) for s in mine], least=0.0)
        for item, mine in samples.items()
        if len(mine) >= 2
    }


def drifters(show: Show, samples: Mapping[str, Sequence[Sample]]) -> tuple[Drifter, ...]:
    """Items that were played, those that drift most first: by the mean distance from today's plan."""
    rows = []
    for item in show.items:
        planned_s = float(item.length_s)
        overs = [s.length_s - planned_s for s in samples.get(item.id, ())]
        if overs:
            sd = stdev(overs) if len(overs) > 1 else None
            rows.append(Drifter(item.id, item.name, len(overs), fmean(overs), sd, sum(overs)))
    return tuple(sorted(rows, key=lambda d: -abs(d.mean_over_s)))
