"""A thing of the day typed as a line comes back as it was, and what cannot be read is one sentence."""

import pytest
from small_shows import item, show

from showcaller.editing import ChangeError
from showcaller.editing.forms.of_day import day_text, parse_day
from showcaller.model import DayItem

SHOW = show([item("a", 60, [])])


@pytest.mark.parametrize(
    ("typed", "fields"),
    [
        ("18:30 doors: North gate", {"kind": "doors", "name": "North gate", "starts_at": "18:30"}),
        ("23:00 curfew", {"kind": "curfew", "name": "curfew", "starts_at": "23:00"}),
        ("9:00-12:30 Get-in, dock B; crew 40; trucks 9", {"ends_at": "12:30", "crew": 40, "trucks": 9}),
        ("9:00 support; lights, VID; note lamps", {"departments": ["lights", "video"], "notes": "lamps"}),
        ("15:00 soundcheck; Lights", {"kind": "sound check", "name": "soundcheck"}),
        ("14:00-15:00 line check: Drums", {"kind": "line check", "name": "Drums", "ends_at": "15:00"}),
        ("14:00 linecheck: Drums", {"kind": "line check"}),
        ("23:40-0:20 truck: Truck 3; dock B; carries motors, truss; Lights; crew 12",
         {"kind": "truck", "dock": "B", "carries": "motors, truss", "departments": ["lights"], "crew": 12}),
        ("23:40 truck 4; Dock 2", {"kind": "truck", "name": "truck 4", "dock": "2"}),
        ("9:00 load; bring the long cable", {"kind": "other", "notes": "bring the long cable"}),
    ],
)  # fmt: skip
def test_a_thing_of_the_day_is_typed_in_a_line(typed, fields):
    part = parse_day(SHOW, typed)
    assert part | fields == part
    made = DayItem.model_validate(part)
    assert DayItem.model_validate(parse_day(SHOW, day_text(SHOW, made), made)) == made


@pytest.mark.parametrize(
    "typed", ["doors", "25 doors", "18.30 doors", "", "25:10 doors", "18:60 doors", "18:30-24:10 doors"]
)
def test_a_line_without_a_time_is_one_sentence(typed):
    with pytest.raises(ChangeError, match="time"):
        parse_day(SHOW, typed)
