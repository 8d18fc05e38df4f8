"""The day's calendar on the nights the clocks change, against zoneinfo, in three zones and both changes."""

import json
import os
import subprocess
import sys
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import icalendar
import pytest
from small_shows import document, item

from showcaller.editing.exporting.calendar import day_calendar
from showcaller.editing.forms.of_show import edit_show
from showcaller.model import DocumentError, parse_show

DAY = [
    {"id": "show", "name": "Show", "kind": "show", "starts_at": "20:45", "ends_at": "22:50"},
    {"id": "out", "name": "Get-out", "kind": "get-out", "starts_at": "23:30", "ends_at": "05:00"},
    {"id": "last", "name": "Last truck", "kind": "other", "starts_at": "05:30"},
]
NOW = datetime(2026, 1, 1, tzinfo=UTC)

NIGHTS = [
    ("Europe/Berlin", date(2026, 3, 28)), ("Europe/Berlin", date(2026, 10, 24)),
    ("America/New_York", date(2026, 3, 7)), ("America/New_York", date(2026, 10, 31)),
    ("Australia/Sydney", date(2026, 4, 4)), ("Australia/Sydney", date(2026, 10, 3)),
]  # fmt: skip
"""The evening before each change in 2026 (time zone database)."""


def events(data: bytes) -> dict[str, icalendar.Event]:
    return {str(e["summary"]): e for e in icalendar.Calendar.from_ical(data).walk("VEVENT")}


def expected(name: str, on: date, days: int, hour: int, minute: int) -> datetime:
    local = datetime(on.year, on.month, on.day, hour, minute, tzinfo=ZoneInfo(name)) + timedelta(days=days)
    return local.astimezone(UTC)


@pytest.mark.parametrize(("name", "on"), NIGHTS)
def test_the_get_out_is_when_the_clocks_there_say_so(name, on):
    show = parse_show(json.dumps(document([item("a", 60, [])], day=DAY, time_zone=name)))
    before, after = expected(name, on, 0, 12, 0), expected(name, on, 1, 12, 0)
    assert after - before != timedelta(days=1)  # it is a night of a change
    data = day_calendar(show, on, ZoneInfo(name), NOW)
    found = events(data)
    out = found["Get-out"]
    assert out.decoded("dtstart").astimezone(UTC) == expected(name, on, 0, 23, 30)
    assert out.decoded("dtend").astimezone(UTC) == expected(name, on, 1, 5, 0)
    assert found["Last truck"].decoded("dtstart").astimezone(UTC) == expected(name, on, 1, 5, 30)
    assert str(out["dtstart"].params["TZID"]) == name
    # RFC 5545, 3.6.5: a zone that is named is described; its rules give the same instants.
    (zone,) = icalendar.Calendar.from_ical(data).walk("VTIMEZONE")
    rules = zone.to_tz()
    local = out.decoded("dtend").replace(tzinfo=None)
    assert local.replace(tzinfo=rules).astimezone(UTC) == expected(name, on, 1, 5, 0)


@pytest.mark.parametrize(("name", "on"), NIGHTS)
def test_without_a_zone_the_machines_own_rules_for_that_night_count(name, on):
    """In a process whose machine stands there: whatever today's offset is."""
    program = (
        "import json,sys\nfrom datetime import date,datetime,UTC\n"
        "from showcaller.model import parse_show\n"
        "from showcaller.editing.exporting.calendar import day_calendar\n"
        "show = parse_show(sys.stdin.read())\n"
        f"sys.stdout.write(day_calendar(show, date.fromisoformat('{on}'), None, datetime.now(UTC)).decode())"
    )
    text = json.dumps(document([item("a", 60, [])], day=DAY))
    done = subprocess.run(
        [sys.executable, "-c", program], input=text, capture_output=True, text=True, check=True,
        env=os.environ | {"TZ": name},
    )  # fmt: skip
    out = events(done.stdout.encode())["Get-out"]
    assert out.decoded("dtend") == expected(name, on, 1, 5, 0)


def test_a_show_across_the_change_lasts_as_long_as_it_lasts():
    late = document([item("a", 4 * 3600, [])], starts_at="23:30", curfew=None)
    found = events(
        day_calendar(parse_show(json.dumps(late)), date(2026, 10, 24), ZoneInfo("Europe/Berlin"), NOW)
    )["Small"]
    length = found.decoded("dtend").astimezone(UTC) - found.decoded("dtstart").astimezone(UTC)
    assert length == timedelta(hours=4)


@pytest.mark.parametrize("name", ["Europe/Nowhere", "../../etc/passwd", "Europe", "CEST+1", ""])
def test_a_zone_that_is_none_is_refused(name):
    with pytest.raises(DocumentError, match="time_zone"):
        parse_show(json.dumps(document([item("a", 60, [])], time_zone=name)))


def test_it_is_typed_in_the_shows_form_and_taken_out_again():
    show = parse_show(json.dumps(document([item("a", 60, [])])))
    assert edit_show(show, "time_zone", "Europe/Berlin").change.fields == {"time_zone": "Europe/Berlin"}
    with_zone = show.changed(time_zone="Europe/Berlin")
    assert edit_show(with_zone, "time_zone", "").change.fields == {"time_zone": None}
