"""What is read of a tour: an edition's plan, a run's waterfall. No Qt."""

from datetime import tzinfo

from dateutil.tz import tzlocal

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.review import report
from showcaller.review.waterfall import Waterfall
from showcaller.run.last_edition import last_edition
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, compile_plan


def plan_of(tour: Tour, run: Run) -> Plan:
    """The plan a run ended with: that of its edition, with the changes made in the run."""
    return compile_plan(last_edition(tour.show_of(run.edition), tour.records(run)))


def fall_of(plan: Plan, run: Run, records: list[Record]) -> Waterfall:
    """A run's waterfall, in the venue's time zone.

    Raises:
        ReviewError: no item was started.
    """
    return report.fall_of(plan, run, records, here())


def here() -> tzinfo:
    """The time zone of this machine: the venue's where a show names none."""
    own: tzinfo = tzlocal()
    return own
