"""The strip by the mouse: what a hand wants is told, and nothing else is done."""

from fractions import Fraction

import pytest
from desk_window import desk_on
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from small_shows import cue, document, item

from showcaller.desk.areas.book.song_strip import cue_words, landing

BAR = {"at": "bar", "bar": 9, "beat": 1}


@pytest.fixture
def book(qtbot, tmp_path):
    cues = [cue("a", "1", BAR), cue("b", "2", 30, "video")]
    items = [item("first", 120, cues, tempo=[{"bar": 1, "bpm": 120}]), item("second", 60, [])]
    with desk_on(qtbot, tmp_path, document(items)) as window:
        yield window


def at(strip, at_s: float, lane: int) -> QPoint:
    return QPoint(round(strip.ground.x(at_s)), round(strip.ground.y(lane)))


def test_a_press_tells_the_cue_that_is_meant_and_one_beside_all_of_them_none(qtbot, book):
    strip, told = book.book.strip, []
    strip.chose.connect(told.append)
    QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, 16, 0))
    QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=at(strip, 60, 0))
    QTest.mouseClick(strip, Qt.MouseButton.LeftButton, pos=QPoint(strip.width() // 2, 4))
    assert told == ["a", None], "over the bars nothing is meant"
    assert book.book.state.chosen.cue is None


def test_a_cue_that_is_dragged_lands_on_a_beat_and_on_a_quarter_of_one_with_shift(book):
    # 120 beats a minute: a beat is half a second, bar 13 begins at 24 s (12 bars of 4 beats).
    planned = book.book.state.planned
    assert landing(planned, 0, 24.6, Fraction(1)).words == "bar 13 / 2"
    assert landing(planned, 0, 24.6, Fraction(1)).at_s == 24.5
    assert landing(planned, 0, 24.6, Fraction(1, 4)).at_s == pytest.approx(24.625)
    assert landing(planned, 1, 31.26, Fraction(1)).words == "31.3 s"


def test_a_cue_under_the_mouse_says_what_it_is(book):
    show, planned = book.store.show_now, book.book.state.planned
    assert cue_words(show, planned, 0) == f"Lights 1 at 0:16: {planned.cues[0].cue.label}"


def test_a_page_in_front_hides_the_strip_and_its_mouse(book):
    book.performer.do("book.setup")
    assert not book.book.strip.isVisible()
    book.performer.do("leave")
    assert book.book.strip.isVisible()


def test_a_cue_that_a_key_takes_away_while_it_is_dragged_moves_no_other(qtbot, book):
    strip, before = book.book.strip, [c.model_dump() for c in book.store.show_now.items[0].cues]
    start, end = at(strip, 16, 0), at(strip, 40, 0)
    QTest.mousePress(strip, Qt.MouseButton.LeftButton, pos=start)
    QTest.mouseMove(strip, end)
    book.performer.do("book.remove")
    QTest.mouseMove(strip, end)
    QTest.mouseRelease(strip, Qt.MouseButton.LeftButton, pos=end)
    assert [c.model_dump() for c in book.store.show_now.items[0].cues] == before[1:]


def test_a_cue_that_an_undo_puts_back_into_another_item_is_not_chosen_here(book):
    book.book.controller.step(0, 1)
    assert book.book.state.chosen.cue == "a"
    book.performer.do("book.cut")
    book.performer.do("book.item_after")
    book.performer.do("book.paste")
    assert (book.book.state.chosen.item, book.book.state.chosen.cue) == ("second", "a")
    book.store.undo()
    assert book.book.state.chosen.cue is None
    for name in ("split", "earlier", "bar_later", "copy"):
        book.performer.do(f"book.{name}")
        assert "no cue is chosen" in book.book.said.words
