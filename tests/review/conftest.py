"""A tour with one run in it to report on."""

from collections.abc import Iterator
from datetime import UTC
from pathlib import Path

import pytest
from night import SHOW, plain_night

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.review.report import RunReport, TourReport, run_report, tour_report

NS = 1_000_000_000


@pytest.fixture
def tour(tmp_path: Path) -> Iterator[Tour]:
    """The plain night, a note that needs escaping, an incident, and a recording."""
    with Tour.create(tmp_path / "t.tour", "Summer <b>") as made:
        run = made.add_run(made.freeze(SHOW, "opening").edition, plain_night().records, run_id="a1")
        made.add_remark(run, 100 * NS, '=1+1 <script>alert("x")</script> & --> Ångström', by="Zoë")
        made.add_remark(run, 200 * NS, "a finger in the riser", kind="near miss", by="Ben")
        yield made


@pytest.fixture
def run(tour: Tour) -> Run:
    return tour.runs()[0]


@pytest.fixture
def report(tour: Tour, run: Run) -> RunReport:
    return run_report(tour, run, UTC)


@pytest.fixture
def across(tour: Tour, run: Run) -> TourReport:
    return tour_report(tour, run, UTC)
