"""What the drift area shows of a run, read from the tour once when the run is chosen. No Qt."""

from dataclasses import dataclass
from datetime import datetime

from showcaller.archive import Run, Tour
from showcaller.calling.wording import day_time, drift, lateness, percent, plural, span
from showcaller.desk.tourfile import fall_of, plan_of
from showcaller.model import Department
from showcaller.review import (
    CueRow,
    ItemRow,
    ReviewError,
    Score,
    Trend,
    TrendPoint,
    WalkReview,
    Waterfall,
    cue_table,
    item_samples,
    item_table,
    notable,
    scores,
    suggestion,
    summary_sentence,
    trend,
    walks,
)

LATE_FULL_S = 2.0
"""A bar beside a cue is full at this much early or late."""


@dataclass(frozen=True, slots=True)
class FallBar:
    """A bar of the waterfall, in seconds from the planned end."""

    label: str
    words: str
    low_s: float
    high_s: float
    delta_s: float


@dataclass(frozen=True, slots=True)
class CueLine:
    """A cue and what became of it. ``share`` is how early (−1) to late (1) it was."""

    item: str
    department: Department
    name: str
    label: str
    how: str
    late: str
    share: float
    bad: bool


@dataclass(frozen=True, slots=True)
class ItemLine:
    """An item planned against actual."""

    item: str
    name: str
    planned: str
    actual: str
    over: str
    share: float


@dataclass(frozen=True, slots=True)
class DriftView:
    """A run's record."""

    title: str
    sentence: str
    bars: tuple[FallBar, ...]
    total_s: float
    items: tuple[ItemLine, ...]
    cues: tuple[CueLine, ...]
    notes: tuple[str, ...]
    scores: tuple[str, ...]
    happened: tuple[str, ...]
    tomorrow: tuple[str, ...]
    trends: dict[str, Trend]


def drift_view(tour: Tour, run: Run) -> DriftView:
    """The record of a run.

    Raises:
        TourError: the tour cannot be read.
        ReviewError: nothing was played in this run.
    """
    plan = plan_of(tour, run.edition)
    records = tour.records(run)
    fall = fall_of(plan, run, records)
    kind = " · simulated" if run.simulated is not None else " · outlets muted" if run.muted else ""
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    samples, trends = _across(tour, run)
    tomorrow = [
        words
        for planned in plan.items
        if (
            words := suggestion(
                planned.item.name, float(planned.item.length_s), samples.get(planned.item.id, ())
            )
        )
    ]
    departments = {d.name: d for d in plan.show.departments}
    return DriftView(
        f"Run {run.number}, {plan.show.name}{kind}",
        summary_sentence(fall, zone),
        _bars(fall),
        fall.total_ns / 1e9,
        tuple(_item(row) for row in item_table(plan, records)),
        tuple(_cue(row, departments) for row in cue_table(plan, records)),
        tuple(
            f"{day_time(r.wall_ns)}  {e['text']}" for r in records for e in r.events if e["kind"] == "note"
        ),
        tuple(_score(s) for s in scores(plan, records)),
        (
            *(words for walk in walks(plan, records) for words in _walked(walk)),
            *(f"{span(n.t_s)}  {n.words}" for n in notable(plan, records)),
        ),
        tuple(tomorrow),
        trends,
    )


def _across(tour: Tour, run: Run) -> tuple[dict, dict[str, Trend]]:
    """Item lengths over the runs up to this one, and their charts."""
    nights = [
        (other.number, other.edition, plan_of(tour, other.edition), tour.records(other))
        for other in tour.runs()
        if other.number <= run.number and other.finished and (not other.muted or other.number == run.number)
    ]
    try:
        samples = dict(item_samples(nights))
    except ReviewError:
        return {}, {}
    trends = {
        item: trend([TrendPoint(s.run, s.edition, s.length_s) for s in found])
        for item, found in samples.items()
        if len(found) >= 2
    }
    return samples, trends


def _bars(fall: Waterfall) -> tuple[FallBar, ...]:
    bars = []
    at_s = 0.0
    for bar in fall.bars():
        delta = bar.ns / 1e9
        low, high = sorted((at_s, at_s + delta))
        label = "early start" if bar.label == "late start" and delta < 0 else bar.label
        bars.append(FallBar(label, drift(delta), low, high, delta))
        at_s += delta
    return tuple(bars)


def _walked(walk: WalkReview) -> list[str]:
    return [
        f"{walk.name}: {leg.name} {span(leg.actual_s)}, planned {span(leg.planned_s)}"
        for leg in walk.legs
        if leg.actual_s is not None
    ]


def _score(score: Score) -> str:
    near = f"{percent(score.near)} of {plural(score.goes, 'go', 'goes')} within half a second"
    words = (
        f"{score.caller}: {near}, middle {lateness(score.median_error_s)}, worst {lateness(score.worst_s)}"
    )
    slips = [plural(score.wrong, "wrong go", "wrong goes")] if score.wrong else []
    slips += [f"{score.unanswered} without an answer"] if score.unanswered else []
    return ", ".join([words, *slips])


def _item(row: ItemRow) -> ItemLine:
    actual = row.status if row.actual_s is None else span(row.actual_s)
    over = "" if row.over_s is None else drift(row.over_s)
    share = 0.0 if row.over_s is None else max(-1.0, min(1.0, row.over_s / 60))
    return ItemLine(row.item, row.name, span(row.planned_s), actual, over, share)


def _cue(row: CueRow, departments: dict[str, Department]) -> CueLine:
    late = lateness(row.late_s) if row.late_s is not None and row.firm else ""
    if row.status in ("go", "by itself", "by hand") and not row.firm:
        late = "by eye"
    share = 0.0 if row.late_s is None or not row.firm else max(-1.0, min(1.0, row.late_s / LATE_FULL_S))
    how = f"{row.status}: {row.why}" if row.why else row.status
    bad = row.status not in ("go", "by itself", "by hand")
    department = departments[row.department]
    return CueLine(row.item, department, f"{row.department} {row.number}", row.label, how, late, share, bad)
