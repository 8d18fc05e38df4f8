"""The get-out: trucks past midnight, two at one dock, on paper and as it went."""

import subprocess
from datetime import UTC, date, datetime
from pathlib import Path

from devices import program
from small_shows import item, show

from showcaller.archive.values import DayMark
from showcaller.editing.day import day_instants, dock_clashes, place_of_new, trucks
from showcaller.editing.exporting.trucks import CAUTION, truck_sheet
from showcaller.editing.forms.of_day import parse_day
from showcaller.model import Show
from showcaller.review.day import day_table, doors_words

LINES = (
    "20:45 show: Show",
    "23:00-23:30 get-out: Deck clear",
    "23:20-23:50 truck: Truck 1; dock A; carries cases; crew 8",
    "23:20-0:10 truck: Truck 2; dock B; carries truss, motors; Lights",
    "0:10 truck: Truck 3; dock A; note with ramp",
    "0:20-1:00 truck: Truck 4; dock a",
)


def night(*lines: str) -> Show:
    made = show([item("a", 60, [])])
    for line in lines:
        data = made.model_dump(mode="json")
        data["day"].append(parse_day(made, line))
        made = Show.model_validate(data)
    return made


def at(hour: int, minute: int, day: int = 4) -> int:
    return int(datetime(2026, 7, day, hour, minute, tzinfo=UTC).timestamp()) * 1_000_000_000


def test_the_clock_runs_back_once_and_two_at_once_stay_on_their_day():
    days = [starts.day for _, starts, _ in day_instants(night(*LINES), date(2026, 7, 4))]
    assert days == [4, 4, 4, 4, 5, 5]
    ends = {i.name: e for i, _, e in day_instants(night(*LINES), date(2026, 7, 4))}
    assert f"{ends['Truck 2']:%d %H:%M}" == "05 00:10"


def test_what_is_past_midnight_is_put_after_the_evening_and_a_get_in_at_dawn_before_it():
    evening = night("18:30 doors", "23:00 curfew", "0:30 truck: Truck 1")
    assert place_of_new(evening, "00:10") == 2
    assert place_of_new(evening, "01:00") == 3
    assert place_of_new(evening, "20:45") == 1
    assert place_of_new(evening, "06:00") == 0
    assert place_of_new(night(), "05:30") == 0
    assert place_of_new(night("05:30 get-in"), "05:00") == 0  # nothing is planned in the evening yet


def test_two_at_one_dock_are_said_and_one_after_the_other_are_not():
    assert dock_clashes(night(*LINES)) == ["'Truck 3' and 'Truck 4' are both at dock A at 00:20"]
    assert dock_clashes(night(*LINES[:5])) == []
    assert [t.name for t in trucks(night(*LINES))] == ["Truck 1", "Truck 2", "Truck 3", "Truck 4"]


def test_a_door_is_one_press_and_the_table_has_the_order_of_loading():
    marks = [
        DayMark("2026-07-04", "truck-1", what, when, "Dock", when)
        for what, when in (("began", at(23, 31)), ("ended", at(0, 5, 5)))
    ]
    marks.append(DayMark("2026-07-04", "truck-2", "began", at(23, 40), "Dock", at(23, 40)))
    rows = [r for r in day_table(night(*LINES), "2026-07-04", marks, UTC) if r.kind == "truck"]
    assert [r.name for r in rows] == ["Truck 1", "Truck 2", "Truck 3", "Truck 4"]
    assert (rows[0].late_s, rows[0].took_s, rows[0].over_s) == (660, 34 * 60, 240)
    assert rows[2].planned_start_ns == at(0, 10, 5)
    assert doors_words(rows) == " 1 of 4 closed, open: Truck 2 at dock B, next Truck 3 at dock A."
    assert doors_words([]) == ""


def printed(made: Show, folder: Path) -> str:
    """The sheet as poppler's pdftotext reads it."""
    path = folder / "x.pdf"
    path.write_bytes(truck_sheet(made, "edition 3", "now"))
    done = subprocess.run(
        [program("pdftotext"), "-raw", str(path), "-"], capture_output=True, check=True, text=True
    )
    return " ".join(done.stdout.split())


def test_on_paper_the_caution_comes_first_and_every_truck_is_there(tmp_path):
    page = printed(night(*LINES), tmp_path)
    assert page.index(CAUTION[:20]) < page.index("Truck 1") < page.index("Truck 2") < page.index("Truck 4")
    assert "truss, motors" in page
    assert "with ramp" in page
    assert "both at dock A at 00:20" in page
    assert "No truck is in the day sheet yet" in printed(night(), tmp_path)
