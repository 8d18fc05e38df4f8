"""Who is there, who is late, whose break is due; in the venue's zone, past every boundary of the rule."""

import json
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from small_shows import document, item

from showcaller.archive.values import DayMark
from showcaller.model import parse_show
from showcaller.review.crew_day import break_mark, crew_table, head_count, in_mark
from showcaller.review.day import day_tonight

NS = 1_000_000_000
LISBON = ZoneInfo("Europe/Lisbon")
DAY = "2026-08-04"
TWO = 1_785_848_400 * NS
"""14:00 in Lisbon on that day: 13:00 UTC (``date -d '2026-08-04 13:00 UTC' +%s``)."""
PEOPLE = [
    {"id": "ada", "name": "Ada Lind", "position": "Deck chief", "called_at": "14:00"},
    {"id": "bo", "name": "Bo Marr", "position": "Rigger", "called_at": "15:00"},
    {"id": "cy", "name": "Cy", "position": "Caller"},
]


def rows(minutes, *marks, breaks=None):
    """At so many minutes after two; marks as (person, what, minutes)."""
    show = parse_show(json.dumps(document([item("s", 60, [])], people=PEOPLE, breaks=breaks)))
    found = []
    for n, (mark, what, at) in enumerate(marks):
        found.append(DayMark(DAY, mark, what, TWO + at * 60 * NS, "Dee", n))
    return crew_table(show, DAY, found, LISBON, TWO + minutes * 60 * NS)


def test_who_is_late_is_told_in_the_venues_own_time():
    ada, bo, cy = rows(10, (in_mark("cy"), "began", 1))
    assert (ada.state, ada.late_s, ada.called_ns) == ("to come", 600, TWO)
    assert (bo.state, bo.late_s) == ("to come", -50 * 60)
    assert (cy.state, cy.late_s) == ("in", None)
    assert head_count((ada, bo, cy)) == "1 of 3 are in; 1 late: Ada Lind"


def test_in_on_a_break_back_and_gone():
    marks = [(in_mark("ada"), "began", -5)]
    assert rows(1, *marks)[0].state == "in"
    assert rows(1, *marks)[0].late_s == -300
    marks.append((break_mark("ada"), "began", 60))
    assert rows(61, *marks)[0].state == "on a break"
    marks.append((break_mark("ada"), "ended", 90))
    assert rows(91, *marks)[0].state == "in"
    marks.append((in_mark("ada"), "ended", 400))
    assert rows(401, *marks)[0].state == "gone"
    marks.append((in_mark("ada"), "began", 420))
    assert rows(421, *marks)[0].state == "in", "back for the get-out"


def test_a_break_is_warned_of_half_an_hour_before_it_has_to_begin_and_one_too_short_is_none():
    rule = {"for_min": 30, "after_h": 5}
    come = [(in_mark("ada"), "began", 0)]
    due = lambda at, *marks: rows(at, *come, *marks, breaks=rule)[0]  # noqa: E731 - said thrice
    assert due(269).break_due_ns is None
    assert (due(270).break_due_ns, due(270).breach) == (TWO + 300 * 60 * NS, False)
    assert due(299).breach is False
    assert due(300).breach is True
    short = [(break_mark("ada"), "began", 200), (break_mark("ada"), "ended", 229)]
    assert due(300, *short).breach
    whole = [(break_mark("ada"), "began", 200), (break_mark("ada"), "ended", 230)]
    assert due(300, *whole).break_due_ns is None
    assert due(500, *whole).break_due_ns == TWO + 530 * 60 * NS
    assert due(301, (break_mark("ada"), "began", 299)).break_due_ns is None, "they are on it"
    assert rows(900, *come)[0].break_due_ns is None, "no rule, no warning"


def test_who_is_called_after_midnight_is_called_for_the_load_out_not_late_since_last_night():
    loader = [{"id": "di", "name": "Di", "position": "Loader", "called_at": "00:30"}]
    early = [{"id": "ed", "name": "Ed", "position": "Rigger", "called_at": "05:00"}]
    show = parse_show(json.dumps(document([item("s", 60, [])], people=loader + early)))
    afternoon = crew_table(show, DAY, [], LISBON, TWO)
    assert afternoon[0].late_s == -10.5 * 3600
    assert afternoon[1].late_s == 9 * 3600
    assert crew_table(show, DAY, [], LISBON, TWO + 11 * 3600 * NS)[0].late_s == 1800


@pytest.mark.parametrize("zone", ["Europe/Lisbon", "America/New_York", "Asia/Tokyo"])
def test_after_midnight_it_is_still_the_night_that_began_the_evening_before(zone):
    bare = parse_show(json.dumps(document([item("s", 60, [])], time_zone=zone)))
    dated = bare.model_copy(update={"date": "2026-08-01"})

    def at(hour, day=5):
        return round(datetime(2026, 8, day, hour, 30, tzinfo=ZoneInfo(zone)).timestamp()) * NS

    assert day_tonight(bare, at(23, 4)) == "2026-08-04"
    assert day_tonight(bare, at(0)) == "2026-08-04", "the load-out's marks stand with the show's"
    assert day_tonight(bare, at(6)) == "2026-08-05"
    assert day_tonight(dated, at(12)) == "2026-08-01"
