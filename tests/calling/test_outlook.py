"""Which curfew is meant, at any time of day."""

import time
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from books import book_of
from played import WALL0_NS, Played
from small_shows import cue, item, show

from showcaller.calling.outlook import curfew_s, item_durations, planned_end, show_forecast, suggested_cuts
from showcaller.calling.status_view import ends
from showcaller.calling.wording import day_time
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.timing.planned_start import zone_of

HERE = zone_of(show([item("s", 60, [])]))


@pytest.fixture(params=["UTC", "Europe/Berlin", "America/Los_Angeles"])
def zone(request, monkeypatch):
    monkeypatch.setenv("TZ", request.param)
    time.tzset()
    yield request.param
    monkeypatch.undo()
    time.tzset()


def seconds_at(local, starts_at, curfew):
    made = show([item("s", 60, [])], starts_at=starts_at, curfew=curfew)
    return curfew_s(made, int(datetime.fromisoformat(local).timestamp() * 1e9))


@pytest.mark.parametrize(
    ("local", "starts_at", "curfew", "hours"),
    [
        ("2026-07-04 21:00", "20:45", "23:00", 2),
        ("2026-07-04 04:30", "20:45", "23:00", -5.5),
        ("2026-07-04 08:30", "20:45", "23:00", 14.5),
        ("2026-07-04 23:30", "20:45", "23:00", -0.5),
        ("2026-07-05 00:10", "20:45", "23:00", -7 / 6),  # past midnight and past the curfew
        ("2026-07-04 22:00", "20:45", "00:30", 2.5),
        ("2026-07-05 00:10", "20:45", "00:30", 1 / 3),
        ("2026-07-05 01:00", "20:45", "00:30", -0.5),
        ("2026-07-04 11:00", "20:45", "00:30", 13.5),  # a rehearsal in the morning
        ("2026-07-04 14:00", "20:45", "23:00:30", 9 + 30 / 3600),
        ("2026-07-04 23:00", "00:15", "02:00", 3),  # a show after midnight
    ],
)
def test_the_curfew_is_that_of_the_show_nearest_in_time(zone, local, starts_at, curfew, hours):
    assert seconds_at(local, starts_at, curfew) == pytest.approx(hours * 3600, abs=1e-3)


def test_the_curfew_is_on_the_venue_s_clock_wherever_the_machine_comes_from(zone):
    """At 19:00 UTC of a July evening it is 21:00 in Berlin, and 04:00 of the next morning in Tokyo."""
    wall_ns = int(datetime(2026, 7, 4, 19, tzinfo=UTC).timestamp() * 1e9)
    for name, hours in (("Europe/Berlin", 2), ("Europe/London", 3), ("Asia/Tokyo", -5)):
        made = show([item("s", 60, [])], starts_at="20:45", curfew="23:00", time_zone=name)
        assert curfew_s(made, wall_ns) == hours * 3600
        book = book_of(Played(made))
        rows = ends(book, wall_ns, show_forecast(book, item_durations(made, {}), 0, wall_ns))
        at = datetime.fromtimestamp(wall_ns / 1e9 + 60, ZoneInfo(name))
        assert rows[0].value == f"{at:%H:%M:%S}"


def test_a_show_without_a_curfew_has_none():
    assert curfew_s(show([item("s", 60, [])], curfew=None), 0) is None


def test_the_night_the_clocks_go_back_is_an_hour_longer(monkeypatch):
    # In Berlin on 2026-10-25 clocks go from 03:00 back to 02:00 (EU Directive 2000/84/EC).
    monkeypatch.setenv("TZ", "Europe/Berlin")
    time.tzset()
    assert seconds_at("2026-10-24 23:00", "22:00", "04:00") == 6 * 3600
    monkeypatch.undo()
    time.tzset()


def test_before_a_large_show_is_worked_out_its_end_is_expected_and_nothing_said_of_how_sure():
    made = show([item("s", 60, []), item("t", 30, []), {**item("u", 300, []), "out": True}], curfew="23:00")
    ahead = planned_end(made)
    assert (ahead.end_s, ahead.low_s, ahead.high_s) == pytest.approx((90, 90, 90))
    assert (ahead.p_make, ahead.spare_s) == (None, None)


def over_the_curfew():
    """Six songs of five minutes that may all be cut, two of one name; the curfew five minutes too early."""
    names = ["Opener", "Reprise", "Harbour", "Reprise", "Gulls", "Closer"]
    items = [
        item(f"i{n}", 300, [cue(f"c{n}", str(n + 1), 0)], name=name, cuttable=True)
        for n, name in enumerate(names)
    ]
    starts, curfew = day_time(WALL0_NS, HERE)[:5], day_time(WALL0_NS + 25 * 60 * NS, HERE)[:5]
    return Played(show(items, starts_at=starts, curfew=curfew))


def advice(run, t_s):
    book = book_of(run)
    wall_ns = WALL0_NS + round(t_s * NS)
    durations = item_durations(run.compiled.plan.show, {})
    found = suggested_cuts(book, durations, round(t_s * NS), wall_ns, 0.5)
    ahead = show_forecast(book, durations, round(t_s * NS), wall_ns)
    return found, {f.label: f for f in ends(book, wall_ns, ahead, found)}


def test_of_two_items_with_one_name_the_advice_says_which_and_when_it_then_ends():
    run = over_the_curfew()
    run.go(0)
    run.at(10, *(c.Jump(f"i{n}") for n in (4,)))  # 'Gulls' is next: what was jumped over is over
    run.at(20, c.Jump("i1"))
    run.go(30)
    found, figures = advice(run, 40)
    assert found is not None
    assert not {"i0", "i1"} & set(found.items), "neither what is on nor what is over"
    apart = {"i2": "Harbour", "i3": "Reprise (after Harbour)", "i4": "Gulls", "i5": "Closer"}
    assert found.names == tuple(apart[i] for i in found.items)
    (chance,) = [f for label, f in figures.items() if label.startswith("chance")]
    then = day_time(WALL0_NS + 40 * NS + int(found.end_s * 1e9), HERE)[:5]
    assert chance.note == f"ends {then} if cut: {' and '.join(found.names)}"


def test_what_is_on_is_never_to_be_cut_however_late_it_is():
    run = over_the_curfew()
    for n in range(5):
        run.go(400 * n)
    found, figures = advice(run, 1700)  # 'Gulls' is on, 'Closer' alone is left, the curfew is past
    assert found is None
    assert "cuts are not enough" in {f.note for f in figures.values()}
