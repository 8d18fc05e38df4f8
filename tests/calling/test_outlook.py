"""Which curfew is meant, at any time of day."""

import time
from datetime import datetime

import pytest
from small_shows import item, show

from showcaller.calling.outlook import curfew_s, planned_end


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
