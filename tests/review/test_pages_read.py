"""Pages read aloud afterwards: in the review, in what happened, in the report's tables, in Drift's list."""

import json
from datetime import UTC

import pytest
from played import Played
from small_shows import cue, document, item

from showcaller.archive.tour import Tour
from showcaller.desk.areas.drift.lists import list_rows
from showcaller.model import parse_show
from showcaller.review.exports.sheets import run_sheets
from showcaller.review.notable import notable
from showcaller.review.pages import pages_read
from showcaller.review.report import run_report, tour_report
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS

SHOW = parse_show(
    json.dumps(
        document(
            [item("s", 60, [cue("a", "1", 0), cue("b", "2", 30)])],
            clearances=[{"kind": "yes", "id": "deck", "name": "Deck clear", "position": "Deck chief"}],
            pages=[
                {"id": "stop", "name": "Show stop", "kind": "show stop", "reader": "Caller", "lines": [
                    {"says": "Hold, please."}, {"says": "Deck?", "clearance": "deck"}]},
            ],
        )
    )
)  # fmt: skip


@pytest.fixture
def stopped():
    """Opened twice: stopped for 65 s with a tick taken back, then once more, until the end."""
    run = Played(SHOW)
    run.go(10)
    run.at(20, c.Hold("a person on the crane"), c.OpenPage("stop", "Ada"))
    run.at(22, c.TickLine("stop", 1, "Ada"))
    run.at(23, c.UntickLine("stop", 1, "Ada"))
    run.at(24, c.TickLine("stop", 1, "Ada"))
    run.at(60, c.TickLine("stop", 2, "Bo"))
    run.at(85, c.ClosePage("stop", "Ada"))
    run.at(86, c.Resume())
    run.go(110)
    run.at(120, c.OpenPage("stop", "Ada"))
    run.at(150, c.End("over"))
    return run


def test_every_opening_has_its_length_its_lines_and_who_ticked_them(stopped):
    first, second = pages_read(stopped.compiled.plan, stopped.records)
    assert (first.name, first.open_s, first.count, first.lines) == ("Show stop", 65, 2, 2)
    assert [(t.line, t.after_s, t.by, t.stood, t.undone) for t in first.ticked] == [
        (1, 2, "Ada", "", True), (1, 4, "Ada", "", False), (2, 40, "Bo", "waiting for Deck chief", False),
    ]  # fmt: skip
    assert (second.open_s, second.ticked) == (30, ()), "the end of the run closed it"


def test_a_tick_whose_opening_is_in_a_gap_of_the_log_still_counts(stopped):
    lost = [
        r
        for r in stopped.records
        if not any(isinstance(e, ev.PageOpened) for e in r.events) or r.t_ns > 100 * NS
    ]
    first, second = pages_read(stopped.compiled.plan, lost)
    assert (first.t_ns, first.count, second.open_s) == (22 * NS, 2, 30)


def test_what_happened_names_each_with_its_words(stopped):
    told = [(n.t_s, n.words) for n in notable(stopped.compiled.plan, stopped.records) if n.kind == "page"]
    assert told[:5] == [
        (10, "page 'Show stop' opened (Ada)"),
        (12, "'Show stop': Hold, please. (Ada)"),
        (13, "'Show stop': tick taken back: Hold, please. (Ada)"),
        (14, "'Show stop': Hold, please. (Ada)"),
        (50, "'Show stop': Deck? [waiting for Deck chief] (Bo)"),
    ]
    assert told[5] == (75, "page 'Show stop' closed after 1:05, 2 of 2 lines ticked (Ada)")


def test_the_report_has_a_table_and_drift_a_line_for_each(stopped, tmp_path):
    with Tour.create(tmp_path / "t.tour", "Small") as tour:
        kept = tour.add_run(tour.freeze(SHOW, "opening").edition, stopped.records, run_id="a1")
        report = run_report(tour, kept, UTC)
        sheet = next(s for s in run_sheets(report) if s.name == "Pages read aloud")
        assert [row[1:4] for row in sheet.rows] == [
            ("Show stop", "open for 65 s, 2 of 2 ticked", None),
            ("Show stop", "Hold, please. (taken back)", 2),
            ("Show stop", "Hold, please.", 4), ("Show stop", "Deck?", 40),
            ("Show stop", "open for 30 s, 0 of 2 ticked", None),
        ]  # fmt: skip
        rows = list_rows("notes", report, tour_report(tour, kept, UTC))
        assert sum("Show stop" in row.words for row in rows) == 8
        assert all(row.t_ns is not None for row in rows), "each can be gone to"


def test_a_run_without_pages_has_no_such_table(report):
    assert report.pages == ()
    assert all(s.name != "Pages read aloud" for s in run_sheets(report))
