"""Item by item and cue by cue, for the night in ``night.plain_night``."""

from decimal import Decimal

import pytest
from night import PLAN, Night, plain_night
from played import Played
from reporting import report, reporting

from showcaller.review.stats import department_stats
from showcaller.review.tables import cue_table, fired_rows, item_table
from showcaller.review.timeline import timeline_of
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.values import replace


def test_items_planned_and_actual() -> None:
    rows = {row.item: row for row in item_table(PLAN, plain_night().records)}
    assert [r.status for r in rows.values()] == ["played", "played", "played", "cut", "played"]
    walk = rows["walk"]
    assert walk.planned_s == pytest.approx(100 / 3)
    assert walk.over_s == pytest.approx(31)
    assert (walk.held_s, walk.start_s, walk.visits) == (22, 364.1, 1)
    assert (rows["change"].actual_s, rows["change"].start_s) == (None, None)
    assert rows["last"].planned_start_s == pytest.approx(453.4333333)


def test_what_became_of_every_cue() -> None:
    rows = cue_table(PLAN, plain_night().records)
    assert [(r.cue, r.status, r.late_s) for r in rows] == [
        ("s1", "go", None),  # its item began with it
        ("s2", "go", 0.2),
        ("s2f", "automatic", 0.0),  # against the cue it follows, which was late
        ("s3", "automatic", 0.0),
        ("s4", "go", -0.1),
        ("t1", "go", None),
        ("t2", "go", -8.0),
        ("w1", "refused", None),
        ("w1", "go", 7.4),
        ("l1", "go", pytest.approx(1.566666667)),
    ]
    refused = rows[7]
    assert (refused.department, refused.number, refused.label) == ("Moves", Decimal(1), "w1")
    assert "needs 'Path clear': waiting for Deck chief" in refused.why
    assert refused.t_s == pytest.approx(379.1)
    assert [r.cue for r in rows if not r.firm] == ["t2"]


def test_cues_left_out_taken_back_or_never_reached() -> None:
    night = Night()
    night.seconds(0, c.Start())
    night.go(0)
    night.go(60)
    night.seconds(61, c.Back())
    night.seconds(62, c.Skip(night.next_go()))
    night.seconds(130, c.End())
    rows = [(r.cue, r.status, r.why) for r in cue_table(PLAN, night.records)]
    assert rows[:5] == [
        ("s1", "go", ""),
        ("s2", "go", ""),
        ("s2", "taken back", ""),
        ("s2", "skipped", "skipped"),
        ("s2f", "skipped", "what it follows did not fire"),
    ]
    assert ("s3", "automatic", "") in rows
    assert [r for r in rows if r[1] == "not reached"] == [
        (cue, "not reached", "") for cue in ("s4", "t1", "t2", "w1", "l1")
    ]
    statuses = [row.status for row in item_table(PLAN, night.records)]
    assert statuses == ["played", "not reached", "not reached", "not reached", "not reached"]


def test_figures_of_a_department_leave_guesses_out() -> None:
    lights, moves = department_stats(cue_table(PLAN, plain_night().records))
    assert (lights.department, lights.goes, lights.automatic) == ("Lights", 6, 2)
    # s2 +0.2, s4 −0.1, l1 +1.57; s1 and t1 began their items, t2 is called by eye: none of them is judged.
    assert lights.median_error_s == pytest.approx(0.2)
    assert lights.median_abs_error_s == pytest.approx(0.2)
    assert lights.worst_s == pytest.approx(1.566666667)
    assert (moves.goes, moves.refused, moves.worst_s) == (1, 1, 7.4)


def test_cues_that_fired_have_the_rows_of_the_whole_table_but_for_their_time() -> None:
    records = plain_night().records
    fired = [e for record in records for e in record.events if isinstance(e, ev.Fired)]
    rows = [r for r in cue_table(PLAN, records) if r.status in ("go", "automatic", "by hand")]
    assert [replace(r, t_s=None) for r in rows] == list(fired_rows(PLAN, fired))
    assert len(rows) > 2


def test_a_log_kept_as_a_tuple_has_one_timeline_and_it_is_the_same() -> None:
    records = plain_night().records
    kept = tuple(records)
    assert timeline_of(PLAN, kept) == timeline_of(PLAN, list(records))
    assert timeline_of(PLAN, kept) is timeline_of(PLAN, kept)


def test_a_cue_whose_desk_reports_has_its_third_instant_and_what_came_there_alone_a_row_of_its_own():
    run = Played(reporting(seen_within_s=1))
    run.go(0)
    report(run, 0.3, "a")
    report(run, 5, "e")
    run.go(10)
    report(run, 12.5, "b")
    run.go(20)
    run.at(40)
    rows = cue_table(run.compiled.plan, run.records)
    assert [(r.cue, r.status, r.done_s, r.seen, r.t_s) for r in rows] == [
        ("a", "go", 0.3, "seen", 0.0),
        ("e", "at its desk", None, "", 5.0),
        ("b", "go", 2.5, "late", 10.0),
        ("d", "automatic", None, "not seen", 14.0),
        ("v", "go", None, "", 20.0),
    ]
