"""The right side of Call: who gave a clearance and when is never cut away."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_message import SIZES
from watched_paper import Watched

from showcaller.calling.status_view import ClearanceRow, OutletRow
from showcaller.desk.areas.call.side import SideContent, SideSheet, in_room
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QImage, QPainter
from showcaller.desk.told import Walk

WHO = "Crane spotter, 12:40 ago"


def row(n, name="Crane zone clear", there=True, words="clear", who=WHO):
    return ClearanceRow(f"c{n}", str(n), name, there, words, True, None, "Crane spotter", who)


ROWS = (
    row(1),
    row(2, "Wind at the mast", True, "7 of 9 m/s", "Rigger, 2:05 ago"),
    row(3, "Lift path", False, "withdrawn by Ines", "Ines, 0:04 ago"),
    row(4, "Pit", False, "waiting for Deck carpenter", ""),
    row(5, "Flame zone, downstage left and right"),
    row(6, "Gust", False, "12 m/s is over 9", "Rigger, 0:30 ago"),
    row(7),
    row(8),
)


def drawn(size, rows, walk=None):
    k = max(0.6, min(size[0] / 1920, size[1] / 1080))
    width, height = 440 * k, size[1] - 188 * k
    sheet = SideSheet(Keys())
    sheet.show_content(SideContent(rows, walk, (OutletRow("o", "Lighting desk", "ready", "quiet"),)))
    image = QImage(int(width), int(height), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paper = Watched(painter, width, height, k)
    sheet.draw(paper)
    painter.end()
    return [(words, place) for words, place in paper.said], paper


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("count", [1, 3, 5, 8])
def test_who_and_when_stand_whole_and_over_nothing(qapp, size, count):
    said, paper = drawn(size, ROWS[:count])
    words = [words for words, _ in said]
    for one in ROWS[:count]:
        assert one.who in " ".join(words)
    assert "OUTPUTS" in words
    assert all(place.right() <= paper.width for _, place in said)
    places = [place for _, place in said]
    assert not [a for n, a in enumerate(places) for b in places[n + 1 :] if a.intersects(b)]


@pytest.mark.parametrize("size", SIZES[1:])
def test_with_a_walk_on_below_and_no_room_it_says_less_but_when_and_the_walk_keeps_its_place(qapp, size):
    walk = Walk("Walk-on", "leave in 2:10", (("to the lift", False), ("on the lift", False)))
    said, _ = drawn(size, ROWS, walk)
    words = [words for words, _ in said]
    assert "WALK-ON" in words
    for needed in (
        *(one.name for one in ROWS),
        "12:40 ago",
        "Ines, 0:04 ago",
        "7 of 9 m/s",
        "12 m/s is over 9",
    ):
        assert needed in " ".join(words)


LEGS = tuple((f"Leg {n} · 20 m · 0:20", n < 2) for n in range(1, 6))
NEEDS = ("", "", "needs Lane clear · Ada at the gate · radio 4", "needs Ramp clear", "radio 4")


@pytest.mark.parametrize("size", SIZES)
def test_what_later_legs_need_stands_below_them_and_over_nothing(qapp, size):
    walk = Walk("Walk-on", "leave in 2:10", LEGS, beside="Leg 2: Deck clear: clear", needs=NEEDS)
    said, paper = drawn(size, ROWS[:1], walk)
    words = [words for words, _ in said]
    assert NEEDS[2] in words
    assert "OUTPUTS" in words
    places = [place for _, place in said]
    assert all(place.right() <= paper.width for place in places)
    assert not [a for n, a in enumerate(places) for b in places[n + 1 :] if a.intersects(b)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("seen", [0, 4, 9])
def test_a_long_way_and_many_clearances_leave_notes_in_their_place_and_the_next_step_in_sight(
    qapp, size, seen
):
    steps = tuple((f"Leg {n}", n <= seen) for n in range(1, 10))
    walk = Walk(
        "Walk-on", "leave in 2:10", steps, beside="Leg 2: Deck clear: clear, Ada at the gate, radio 4"
    )
    said, paper = drawn(size, ROWS[:7], walk)
    places = dict(said)
    assert places["NOTES"].bottom() < paper.height
    assert all(place.bottom() <= paper.height for _, place in said)
    if seen < 9:
        assert f"Leg {seen + 1}" in places
    rest = [place for _, place in said]
    assert not [a for n, a in enumerate(rest) for b in rest[n + 1 :] if a.intersects(b)]


@given(st.lists(st.booleans(), max_size=12).map(lambda seen: sorted(seen, reverse=True)), st.integers(-3, 14))
def test_the_next_step_is_among_those_there_is_room_for(seen, fits):
    steps = tuple((str(n), one) for n, one in enumerate(seen))
    first, count = in_room(steps, fits)
    assert first >= 0
    assert first + count <= len(steps)
    assert count <= max(1, fits)
    if False in seen:
        assert first <= seen.index(False) < first + count
