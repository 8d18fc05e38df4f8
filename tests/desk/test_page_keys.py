"""Pages read aloud, by real keys: over the ladder, never over the box; on hold, killed, back."""

from pathlib import Path

import pytest
from desk_keys import after_gap, chord, events, fired, go, press
from desk_window import desk_on
from small_shows import cue, document, item
from watched_paper import Watched

from showcaller.desk.keys import Keys, clash, load_keys
from showcaller.desk.qt import QAccessible, QImage, QPainter, Qt
from showcaller.run import commands as c

Key = Qt.Key
CLEARANCES = [
    {"kind": "yes", "id": "deck", "name": "Deck clear", "position": "Deck chief"},
    {"kind": "reading", "id": "gust", "name": "Gust", "position": "Rigger", "unit": "m/s", "limit": 9,
     "stale_after_s": 600, "source": "mast"},
]  # fmt: skip
PAGES = [
    {"id": "doors", "name": "House open", "kind": "house open", "reader": "Stage manager",
     "lines": [{"says": "The house is open."}]},
    {"id": "stop", "name": "Show stop", "kind": "show stop", "reader": "Caller", "lines": [
        {"says": "Hold, please. Hold, please."},
        {"says": "Deck, are you clear?", "who": "Deck chief", "clearance": "deck"},
        {"says": "Rigging, your reading?", "who": "Rigger", "clearance": "gust", "action": "lower the sail"},
    ]},
]  # fmt: skip


def small(pages=PAGES):
    song = item("s", 60, [cue("a", "1", 0), cue("b", "2", 30)])
    return document([song], clearances=CLEARANCES, pages=pages)


@pytest.fixture
def desk(qtbot, tmp_path: Path):
    with desk_on(qtbot, tmp_path, small()) as window:
        assert window.host.open("Ines", muted=True) is None
        qtbot.waitUntil(lambda: window.host.book.state.phase == "running")
        window.show_area("Call")
        window.frame()
        yield window


def opened(qtbot, desk, downs=1):
    """The page that is so many lines down the list, opened by its keys."""
    chord(desk, Key.Key_F11)
    for _ in range(downs):
        chord(desk, Key.Key_Down)
    chord(desk, Key.Key_Return)
    qtbot.waitUntil(lambda: bool(desk.host.book.state.pages))
    desk.frame()
    desk.grab()
    desk.frame()


def ticks(desk, page="stop"):
    return set(desk.host.book.state.pages[page].ticks)


def test_one_key_lists_the_pages_before_the_first_item_and_enter_opens_the_chosen_one(qtbot, desk):
    chord(desk, Key.Key_F11)
    desk.frame()
    assert desk.call.page.isVisible()
    assert [row.name for row in desk.call.page.shown.choices] == ["House open", "Show stop"]
    chord(desk, Key.Key_Down)
    chord(desk, Key.Key_Down)
    chord(desk, Key.Key_Return)
    qtbot.waitUntil(lambda: "stop" in desk.host.book.state.pages)
    desk.frame()
    assert desk.call.page.shown.page.name == "Show stop"
    assert events(desk, "page_opened")[0].by == "Ines"
    assert desk.host.book.state.begun_ns is None


def test_space_and_enter_tick_the_next_line_and_backspace_takes_it_back(qtbot, desk):
    opened(qtbot, desk)
    chord(desk, Key.Key_Space)
    qtbot.waitUntil(lambda: ticks(desk) == {1})
    desk.frame()
    assert desk.call.page.shown.at == 1
    chord(desk, Key.Key_Backspace)
    qtbot.waitUntil(lambda: ticks(desk) == set())
    after_gap(qtbot)
    chord(desk, Key.Key_Return)
    qtbot.waitUntil(lambda: ticks(desk) == {1})
    assert fired(desk) == []


def test_a_line_whose_clearance_is_not_there_is_asked_for_twice_and_the_log_says_how_it_stood(qtbot, desk):
    opened(qtbot, desk)
    chord(desk, Key.Key_Down)
    chord(desk, Key.Key_Space)
    assert "not clear" in desk.calls.asked().heading
    assert ticks(desk) == set()
    press(desk, "1")  # the page asks for it, so it can be given here: twice, as anywhere
    after_gap(qtbot)
    press(desk, "1")
    qtbot.waitUntil(lambda: "deck" in desk.host.book.state.clearances)
    chord(desk, Key.Key_Space)
    qtbot.waitUntil(lambda: ticks(desk) == {2})
    assert events(desk, "line_ticked")[0].stood == "clear"
    desk.frame()
    assert desk.call.page.shown.at == 0, "back at the first that is open"


def test_a_page_whose_lines_are_all_ticked_says_at_once_how_it_is_closed(qtbot, desk):
    opened(qtbot, desk, downs=0)
    sheet = desk.call.page
    assert "every line is ticked" not in sheet.accessibleDescription()
    chord(desk, Key.Key_Space)
    qtbot.waitUntil(lambda: ticks(desk, "doors") == {1})
    desk.call._viewed_ns = 0
    desk.frame()
    assert "every line is ticked · Del Del closes the page" in sheet.accessibleDescription()
    desk.grab()
    chord(desk, Key.Key_Backspace)
    qtbot.waitUntil(lambda: ticks(desk, "doors") == set())
    desk.frame()
    assert "every line is ticked" not in sheet.accessibleDescription()


def test_the_go_and_the_standby_work_on_and_the_box_is_never_covered(qtbot, desk):
    opened(qtbot, desk)
    box = desk.call.centre
    assert desk.call.page.geometry().top() >= box.y() + int(box.below_px)
    assert box.below_px > 60
    go(qtbot, desk)
    qtbot.waitUntil(lambda: fired(desk) == ["a"])
    desk.call._viewed_ns = 0
    desk.frame()
    press(desk, "s")
    assert desk.calls.asked().heading.startswith("S again to call it")
    assert desk.call.page.isVisible()


def test_escape_leaves_the_page_open_a_band_says_so_and_twice_del_closes_it(qtbot, desk):
    opened(qtbot, desk)
    chord(desk, Key.Key_Escape)
    desk.frame()
    assert not desk.call.page.isVisible()
    assert "page open: Show stop" in desk.call.centre.looping
    assert "F11" in desk.call.centre.looping
    assert "stop" in desk.host.book.state.pages
    after_gap(qtbot)
    chord(desk, Key.Key_F11)
    chord(desk, Key.Key_Return)
    desk.frame()
    assert desk.call.page.shown.page.name == "Show stop", "the list begins at the open one"
    chord(desk, Key.Key_Delete)
    assert "stop" in desk.host.book.state.pages
    after_gap(qtbot)
    chord(desk, Key.Key_Delete)
    qtbot.waitUntil(lambda: not desk.host.book.state.pages)
    desk.frame()
    assert not desk.call.page.isVisible()
    assert events(desk, "page_closed")[0].lines == 3


def test_what_is_asked_and_the_band_of_an_open_page_stand_apart(qtbot, desk):
    opened(qtbot, desk)
    chord(desk, Key.Key_Escape)
    go(qtbot, desk)
    qtbot.waitUntil(lambda: fired(desk) == ["a"])
    desk.call._viewed_ns = 0
    desk.frame()
    press(desk, "s")
    desk.frame()
    centre = desk.call.centre
    assert centre.asked.heading.startswith("S again to call it")
    assert centre.looping.startswith("page open")
    image = QImage(centre.size(), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paper = Watched(painter, centre.width(), centre.height(), centre.scale())
    centre.draw(paper)
    painter.end()
    words = [words for words, _ in paper.said]
    assert centre.asked.heading.upper() in words
    assert centre.looping.upper() in words
    assert [over for over in paper.over if over[0] == centre.asked.heading.upper()] == []


def test_a_hold_shows_its_length_on_the_page_and_the_sentence_stands_above_all(qtbot, desk):
    go(qtbot, desk)
    opened(qtbot, desk)
    assert desk.call.page.shown.page.held_s is None
    press(desk, "p")
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "held")
    chord(desk, Key.Key_Space)
    qtbot.waitUntil(lambda: ticks(desk) == {1})
    desk.call._viewed_ns = 0
    desk.frame()
    page = desk.call.page.shown.page
    assert page.held_s is not None
    assert "venue's own procedure" in page.above


def test_it_is_read_aloud_line_by_line(qtbot, desk):
    opened(qtbot, desk)
    told = QAccessible.queryAccessibleInterface(desk.call.page)
    assert told.text(QAccessible.Text.Name) == "Page read aloud"
    words = told.text(QAccessible.Text.Description)
    assert words.startswith("Show stop. Line 1 of 3: Hold, please.")
    assert "venue's own procedure" in words
    chord(desk, Key.Key_Down)
    chord(desk, Key.Key_Down)
    desk.call._viewed_ns = 0
    desk.frame()
    words = told.text(QAccessible.Text.Description)
    assert "Rigger" in words
    assert "limit 9 m/s (mast)" in words
    assert "lower the sail" in words


def test_from_another_area_the_key_brings_the_page_and_letters_there_stay_letters(qtbot, desk):
    desk.show_area("Book")
    chord(desk, Key.Key_F11)
    desk.frame()
    assert desk.area_name() == "Call"
    assert desk.call.page.isVisible()


def test_the_director_and_the_stage_manager_may_open_pages(qtbot, desk):
    desk.acts.sit("stage")
    chord(desk, Key.Key_F11)
    desk.frame()
    assert desk.call.page.isVisible()


def test_at_a_killed_and_restarted_engine_the_page_and_its_ticks_are_there(qtbot, desk):
    opened(qtbot, desk)
    chord(desk, Key.Key_Space)
    qtbot.waitUntil(lambda: ticks(desk) == {1})
    since_ns = desk.host.book.state.pages["stop"].since_ns
    desk.host.session._process.kill()
    qtbot.waitUntil(lambda: bool(events(desk, "recovered")), timeout=20_000)
    assert ticks(desk) == {1}
    assert desk.host.book.state.pages["stop"].since_ns == since_ns
    chord(desk, Key.Key_Down)
    desk.host.session.send(c.TickLine("stop", 2, "Ines"))
    qtbot.waitUntil(lambda: ticks(desk) == {1, 2}, timeout=10_000)


def test_a_show_without_pages_says_where_they_are_typed(qtbot, tmp_path):
    with desk_on(qtbot, tmp_path, small([])) as window:
        assert window.host.open("Ines", muted=True) is None
        qtbot.waitUntil(lambda: window.host.book.state.phase == "running")
        window.show_area("Call")
        chord(window, Key.Key_F11)
        assert "no pages" in window.calls.asked().words
        chord(window, Key.Key_Space)
        assert "brings the pages" in window.calls.asked().words


def test_whoever_has_the_go_on_space_keeps_it_there(tmp_path):
    path = tmp_path / "keys.json"
    path.write_text('{"go": "Space"}', encoding="utf-8")
    keys = load_keys(path)
    assert keys["go"] == "Space"
    assert clash(Keys({"go": "Space", "standby": "Return"})) is None
