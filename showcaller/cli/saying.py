"""What several commands say of a run."""

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.cli.common import out
from showcaller.desk.tour_reading import fall_of, plan_of
from showcaller.review.words import summary_sentence
from showcaller.timing.planned_start import zone_of


def say_run(tour: Tour, run: Run) -> None:
    plan = plan_of(tour, run)
    records = tour.records(run)
    zone = zone_of(plan.show)
    what = "Rehearsal" if run.muted else "Show"
    label = ", simulated" if run.simulated is not None else ""
    out.print(
        f"{what} {run.number}{label}: {summary_sentence(fall_of(plan, run, records), zone)}", markup=False
    )
