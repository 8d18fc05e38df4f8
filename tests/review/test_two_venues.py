"""A tour of two places: every night's work is told by the day sheet and the clock of its own place."""

from datetime import UTC, datetime
from pathlib import Path
from zoneinfo import ZoneInfo

from night import SHOW, plain_night

from showcaller.archive.tour import Tour
from showcaller.review.report import run_report, tour_report
from showcaller.values import replace

NS = 1_000_000_000


def instant_ns(zone: str, day: int, hour: int) -> int:
    return round(datetime(2026, 7, day, hour, tzinfo=ZoneInfo(zone)).timestamp()) * NS


def played(first_ns: int):
    """The plain night, begun at an instant."""
    records = plain_night().records
    shift = first_ns - records[0].wall_ns
    return [replace(r, wall_ns=r.wall_ns + shift) for r in records]


def out(hours: int) -> dict[str, object]:
    """A get-out that is planned to take so many hours from eleven at night on."""
    ends = f"{(23 + hours) % 24:02d}:00"
    return {"id": "out", "name": f"Get-out of {hours} h", "kind": "get-out", "starts_at": "23:00",
            "ends_at": ends, "crew": 20}  # fmt: skip


def test_work_and_incidents_stand_on_the_day_of_their_own_place(tmp_path: Path) -> None:
    # Honolulu is eleven hours behind Lisbon: in UTC its evening is the next day.
    nights = (("Pacific/Honolulu", 4, 2), ("Europe/Lisbon", 7, 3))
    with Tour.create(tmp_path / "t.tour", "Two places") as tour:
        for n, (zone, day, hours) in enumerate(nights, 1):
            show = SHOW.changed(time_zone=zone, date=f"2026-07-{day:02d}", day=[out(hours)])
            run = tour.add_run(
                tour.freeze(show, zone).edition, played(instant_ns(zone, day, 20)), run_id=f"r{n}"
            )
            tour.add_remark(run, 100 * NS, f"a finger in {zone}", kind="injury", by="Ben")
            for what, hour in (("began", 23), ("ended", 23 + hours)):
                at_ns = instant_ns(zone, day, 23) + (hour - 23) * 3600 * NS
                tour.mark_day(show.date, "out", what, by="Ada", wall_ns=at_ns)
            told = run_report(tour, run, UTC)
            (row,) = told.day
            assert (row.late_s, row.over_s) == (0, 0), "on the place's own clock"
        across = tour_report(tour, tour.runs()[-1], UTC)
    assert [(w.day, [i.words for i in w.incidents], w.work) for w in across.work] == [
        ("2026-07-04", ["a finger in Pacific/Honolulu"], (("Get-out of 2 h", 7200.0, 7200.0),)),
        ("2026-07-07", ["a finger in Europe/Lisbon"], (("Get-out of 3 h", 10800.0, 10800.0),)),
    ]
