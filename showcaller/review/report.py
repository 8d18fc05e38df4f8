"""Everything about one run in one value: what the drift area shows and every export writes."""

from collections.abc import Mapping, Sequence, Set
from datetime import UTC, tzinfo

from showcaller.archive import Edition, Recording, Remark, Run
from showcaller.archive.tour import Tour
from showcaller.archive.values import PlaceThen
from showcaller.review.across import Drifter, counts, drifters, tour_samples, trends
from showcaller.review.called import CalledRow, called_table
from showcaller.review.day import DayRow, day_of, day_table
from showcaller.review.delivery import Delivery, TimecodeQuality, deliveries, timecode_quality
from showcaller.review.incidents import KINDS, Incident, WorkDay, incidents, told_of, work_days
from showcaller.review.learned import Offer, offer
from showcaller.review.moments import Moment, moments
from showcaller.review.notable import Notable, notable
from showcaller.review.pages import OpenedOnce, pages_read
from showcaller.review.reactions import Reaction, reactions
from showcaller.review.score import Score, scores
from showcaller.review.sections import SectionRow, section_table
from showcaller.review.slips import Slip, slips
from showcaller.review.stats import DepartmentStats, department_stats
from showcaller.review.tables import CueRow, ItemRow, cue_table, fired_rows, item_table
from showcaller.review.trend import Trend
from showcaller.review.walks import WalkReview, walks
from showcaller.review.waterfall import Waterfall, waterfall
from showcaller.review.words import summary_sentence
from showcaller.run import events as ev
from showcaller.run.last_edition import last_edition
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, compile_plan
from showcaller.timing.planned_start import planned_start_wall_ns, zone_of
from showcaller.timing.walkon import leg_lengths
from showcaller.values import Struct

LAST_NIGHTS = 5
"""So many of the last shows a habit is taken from."""

_S = 1_000_000_000
_SAME_EVENING_NS = 6 * 3600 * _S


class RunReport(Struct, frozen=True):
    """A run, reviewed. ``zone`` is the venue's clock; rows are those of the modules they come from.

    ``plan`` is what the run ended with, ``opened`` what it was opened with: they differ where the show was
    changed while it was on."""

    tour: str
    run: Run
    edition: Edition
    opened: Plan
    plan: Plan
    records: Sequence[Record]
    zone: tzinfo
    sentence: str
    fall: Waterfall
    items: tuple[ItemRow, ...]
    sections: tuple[SectionRow, ...]
    cues: tuple[CueRow, ...]
    walks: tuple[WalkReview, ...]
    scores: tuple[Score, ...]
    called: tuple[CalledRow, ...]
    departments: tuple[DepartmentStats, ...]
    reactions: tuple[Reaction, ...]
    deliveries: tuple[Delivery, ...]
    timecode: TimecodeQuality | None
    slips: tuple[Slip, ...]
    notable: tuple[Notable, ...]
    moments: tuple[Moment, ...]
    remarks: tuple[Remark, ...]
    incidents: tuple[Incident, ...]
    day: tuple[DayRow, ...]
    recordings: tuple[Recording, ...] = ()
    pages: tuple[OpenedOnce, ...] = ()
    nights: tuple[tuple[int, tuple[CueRow, ...]], ...] = ()
    """What fired in the last shows of this edition, this one among them where it is one; by run number."""

    @property
    def title(self) -> str:
        """``Show 31, Breakwater``, and that it was simulated, rehearsed or stopped early."""
        what = "Rehearsal" if self.run.muted else "Show"
        simulated, muted = self.run.simulated is not None, self.run.muted
        kind = " · simulated" if simulated else " · outputs muted" if muted else ""
        whole = "" if self.fall.finished else " · stopped early"
        return f"{what} {self.run.number}, {self.plan.show.name}{kind}{whole}"

    @property
    def date(self) -> str:
        """The evening's date, ``yyyy-mm-dd``."""
        return day_of(self.run.started_wall_ns, self.zone)

    def wall_ns(self, t_ns: int) -> int:
        """The time of day of an instant of the run's clock, Unix ns."""
        return self.run.started_wall_ns + t_ns - self.records[0].t_ns


class TourReport(Struct, frozen=True):
    """A tour up to a run: incidents before all else; charts, what drifts most, what to take into the book."""

    incidents: tuple[Incident, ...]
    work: tuple[WorkDay, ...]
    trends: Mapping[str, Trend]
    drifters: tuple[Drifter, ...]
    offers: tuple[Offer, ...]


def fall_of(plan: Plan, run: Run, records: Sequence[Record], zone: tzinfo) -> Waterfall:
    """A run's waterfall; a run at another time of day than planned is a rehearsal and has no late start.

    Raises:
        ReviewError: no item was started.
    """
    begun = next(
        (r.wall_ns for r in records for e in r.events if isinstance(e, ev.ItemStarted)), run.started_wall_ns
    )
    planned = planned_start_wall_ns(plan.show.starts_at, begun, zone_of(plan.show, zone))
    near = abs(begun - planned) < _SAME_EVENING_NS
    return waterfall(plan, records, planned_start_wall_ns=planned if near else None)


def run_report(tour: Tour, run: Run, zone: tzinfo) -> RunReport:
    """Read a run and review it.

    Raises:
        TourError: the tour cannot be read.
        ReviewError: nothing was played in this run.
    """
    opened, records = tour.show_of(run.edition), tuple(tour.records(run))
    show = last_edition(opened, records)
    zone = zone_of(show, zone)
    edition = next(e for e in tour.editions() if e.number == run.edition)
    plan = compile_plan(show)
    remarks = tour.remarks(run)
    day = day_of(run.started_wall_ns, zone)
    fall = fall_of(plan, run, records, zone)
    cues = cue_table(plan, records)
    nights = _nights(tour, run)
    return RunReport(
        tour=tour.name,
        run=run,
        edition=edition,
        opened=compile_plan(opened),
        plan=plan,
        records=records,
        zone=zone,
        sentence=summary_sentence(fall, zone, show.curfew),
        fall=fall,
        items=item_table(plan, records),
        sections=section_table(plan, records),
        cues=cues,
        walks=walks(plan, records),
        scores=scores(plan, records),
        called=called_table(plan, records, [rows for n, rows in nights if n != run.number]),
        departments=department_stats(cues),
        reactions=reactions(plan, records),
        deliveries=deliveries(plan, records),
        timecode=timecode_quality(records),
        slips=slips(plan, records, cues),
        notable=notable(plan, records),
        moments=moments(plan, records, remarks),
        remarks=tuple(remarks),
        incidents=incidents(
            told_of([(run, tour.events(run, kind))] for kind in KINDS), {run.number: remarks}
        ),
        day=day_table(show, day, tour.day_marks(day), zone),
        recordings=tuple(tour.recordings(run)),
        pages=pages_read(plan, records),
        nights=nights,
    )


def _nights(tour: Tour, run: Run) -> tuple[tuple[int, tuple[CueRow, ...]], ...]:
    said = tour.all_remarks()
    counted = [
        r
        for r in tour.runs()
        if r.number <= run.number and r.edition == run.edition and counts(r, said.get(r.number, ()))
    ]
    plan = compile_plan(tour.show_of(run.edition))
    return tuple((r.number, fired_rows(plan, fired)) for r, fired in tour.firings(counted[-LAST_NIGHTS:]))


def _places(tour: Tour, upto: Run, marked: Set[str], zone: tzinfo) -> dict[str, PlaceThen]:
    """Marked day → the day sheet and the clock of that night's venue."""
    found: dict[str, PlaceThen] = {}
    for run in tour.runs():
        # Its date in any zone of the world: only the places of marked days are read.
        near = {day_of(run.started_wall_ns + hours * 3600 * _S, UTC) for hours in (-12, 0, 14)}
        if run.number <= upto.number and near & marked:
            place = tour.place_of(run.edition)
            found[day_of(run.started_wall_ns, zone_of(place, zone))] = place
    return found


def tour_report(tour: Tour, upto: Run, zone: tzinfo) -> TourReport:
    """The tour up to a run.

    Raises:
        TourError: the tour cannot be read.
    """
    show = tour.show_of(upto.edition)
    zone = zone_of(show, zone)
    samples = tour_samples(tour, upto)
    notes = [
        (run, events)
        for run, events in told_of(tour.telling(kind) for kind in KINDS)
        if run.number <= upto.number
    ]
    found = incidents(notes, {n: r for n, r in tour.all_remarks().items() if n <= upto.number})
    marks = tour.day_marks()
    places = _places(tour, upto, {m.day for m in marks}, zone)
    days = [
        (day, day_table(there, day, marks, zone_of(there, zone)))
        for day in sorted({m.day for m in marks})
        for there in (places.get(day) or PlaceThen(show.time_zone, show.day),)
    ]
    on_day = {
        run.number: day_of(run.started_wall_ns, zone_of(tour.place_of(run.edition), zone)) for run, _ in notes
    }
    legs_s = leg_lengths(show)
    made = [
        offer(i.id, i.name, float(i.length_s), samples.get(i.id, ()), legs_s.get(i.id, 0.0))
        for i in show.items
    ]
    return TourReport(
        incidents=found,
        work=work_days(days, found, on_day),
        trends=trends(samples),
        drifters=drifters(show, samples),
        # What is sure comes first; within that, the order of the show.
        offers=tuple(sorted((o for o in made if o is not None), key=lambda o: o.short.startswith("not"))),
    )
