"""The book's pages by real events: a sheet taken in, exports, editions compared, the day, the check."""

import subprocess
import time
from pathlib import Path

import pytest
from desk_keys import answer, chord
from desk_window import desk_on
from small_shows import cue, document, item

from showcaller.desk.actions import ACTIONS
from showcaller.desk.areas.book.pages.taking_in import TakingIn
from showcaller.desk.qt import Qt
from showcaller.editing import ChangeError, Put, SetFields
from showcaller.editing.forms.of_item import edit_item
from showcaller.model import show_text
from showcaller.review.day import day_tonight

CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def book(qtbot, tmp_path: Path):
    items = [item("first", 120, [cue("a", "1", 20)], tempo=[{"bar": 1, "bpm": 120}]), item("second", 60, [])]
    with desk_on(qtbot, tmp_path, document(items)) as window:
        yield window


def press(window, key):
    chord(window, key)


def show_of(window):
    return window.store.show_now


def lines(window):
    return [" · ".join(line.cells) for line in window.book.controller.pages.now.lines() if not line.heading]


def test_a_spreadsheet_is_looked_at_before_anything_changes_and_one_undo_takes_it_back(qtbot, book, tmp_path):
    sheet = tmp_path / "order.csv"
    sheet.write_text("Song;Length\nLow Water;5:10\nBad;4.36\nFirst;2:00\n;1:00\n", encoding="utf-8")
    before = show_text(show_of(book))
    book.book.controller.files.take_in(sheet)
    qtbot.waitUntil(lambda: isinstance(book.book.controller.pages.now, TakingIn))
    book.grab()
    assert "row 5, column A: has no name" in lines(book)[0]
    assert "row 3, column B: 'Bad': 4.36 may be minutes or seconds; 4:00 until you know" in lines(book)[1]
    page = book.book.controller.pages.now
    assert "cut tonight (Second); 1 row stays out. Columns: Song → name, Length → length." in page.lead()
    assert show_text(show_of(book)) == before
    press(book, Qt.Key.Key_Return)
    assert book.book.controller.pages.now is None
    assert "1 row stays out" in book.book.said.words, "said at the foot, too"
    assert [(i.name, i.out) for i in show_of(book).items] == [
        ("Low Water", False),
        ("Bad", False),
        ("First", False),
        ("Second", True),
    ]
    chord(book, Qt.Key.Key_Z, CTRL)
    assert show_text(show_of(book)) == before


def test_a_new_item_takes_a_length_with_units_and_refuses_one_that_may_mean_two_things(book):
    acts = book.book.controller.items
    acts.new_item_typed("interval Bar open 20 min")
    acts.new_item_typed("Back to the 90s 1 h 2")
    acts.new_item_typed("Still the 90s")
    made = {i.name: (i.kind, i.length_s) for i in show_of(book).items}
    assert made["Bar open"] == ("interval", 1200)
    assert made["Back to the 90s"] == ("song", 3720)
    assert made["Still the 90s"] == ("song", 240)
    with pytest.raises(ChangeError, match=r"^4\.36 may be minutes or seconds; type 4:36$"):
        acts.new_item_typed("Tin Whistle Republic 4.36")
    for field in ("length_s", "shortest_s"):
        with pytest.raises(ChangeError, match=r"4\.36 may be minutes or seconds; type 4:36$"):
            edit_item(show_of(book), "second", field, "4.36")
    for text, seconds in (("0:04.36", 4.36), ("20 min", 1200), ("8", 8), ("276.5", 276.5), ("1/3", "1/3")):
        assert edit_item(show_of(book), "second", "length_s", text).change.fields == {"length_s": seconds}


def test_a_file_that_cannot_be_read_is_a_sentence_at_the_foot(qtbot, book, tmp_path):
    sheet = tmp_path / "order.xlsx"
    sheet.write_bytes(b"nonsense")
    book.book.controller.files.take_in(sheet)
    qtbot.waitUntil(lambda: "cannot be opened as XLSX" in book.book.said.words)
    assert book.book.controller.pages.now is None


def test_escape_leaves_an_import_and_nothing_has_changed(qtbot, book, tmp_path):
    sheet = tmp_path / "order.csv"
    sheet.write_text("Song,Length\nLow Water,5:10\n")
    before = show_text(show_of(book))
    book.book.controller.files.take_in(sheet)
    qtbot.waitUntil(lambda: book.book.controller.pages.now is not None)
    press(book, Qt.Key.Key_Escape)
    assert book.book.controller.pages.now is None
    assert show_text(show_of(book)) == before


def test_the_file_dialog_opens_without_holding_up_the_desk(qtbot, book):
    from PySide6.QtWidgets import QFileDialog

    chord(book, Qt.Key.Key_I, CTRL)
    dialog = book.book.findChild(QFileDialog)
    assert dialog is not None
    assert dialog.isVisible()
    assert not dialog.isModal(), "a run may be on behind it"
    dialog.reject()


def test_every_export_is_written_beside_the_show(qtbot, book, tmp_path):
    chord(book, Qt.Key.Key_P, CTRL)
    count = len(book.book.controller.pages.now.lines())
    for _ in range(count):
        press(book, Qt.Key.Key_Return)
        press(book, Qt.Key.Key_Down)
    names = {p.name for p in tmp_path.iterdir()}
    assert "small-running-sheets.pdf" in names
    assert {"small.xlsx", "small-call-script.pdf", "small-day.ics", "first.mid", "first.otio"} <= names
    assert all("written" in line for line in lines(book))


def test_an_edition_is_frozen_compared_and_a_part_brought_back(qtbot, book):
    chord(book, Qt.Key.Key_D, CTRL)
    chord(book, Qt.Key.Key_N, CTRL)
    answer(qtbot, book, "after Hamburg")
    assert "after Hamburg" in lines(book)[-1]
    assert "with changes" not in book.host.run_words()
    press(book, Qt.Key.Key_Escape)
    book.store.do("length", SetFields(at=("items", "second"), fields={"length_s": 90}))
    book.store.do("name", SetFields(at=("items", "first"), fields={"name": "Renamed"}))
    chord(book, Qt.Key.Key_D, CTRL)
    press(book, Qt.Key.Key_Return)
    book.grab()
    assert lines(book) == ["First is now called Renamed", "Second is 1:30 (was 1:00; it is 0:30 longer)"]
    chord(book, Qt.Key.Key_P, CTRL)
    (note,) = book.store.folder.glob("*note*.pdf")
    done = subprocess.run(["pdftotext", str(note), "-"], capture_output=True, text=True, check=True)
    read = " ".join(done.stdout.split())
    for words in ("From edition", "to the book as it is now", "Second is 1:30 (was 1:00;", "printed "):
        assert words in read, words
    press(book, Qt.Key.Key_Down)
    press(book, Qt.Key.Key_Return)
    assert lines(book) == ["First is now called Renamed"]
    assert show_of(book).items[1].length_s == 60
    chord(book, Qt.Key.Key_Z, CTRL)
    assert len(lines(book)) == 2


def test_the_day_is_typed_and_what_began_is_put_down(qtbot, book, monkeypatch):
    book.performer.do("book.day")
    for text in ("20:45-22:55 show: The show", "18:30 doors: North gate; crew 20; lights, video"):
        chord(book, Qt.Key.Key_N, CTRL)
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    day = show_of(book).day
    assert [(d.name, d.starts_at, d.crew) for d in day] == [
        ("North gate", "18:30", 20),
        ("The show", "20:45", 0),
    ]
    assert day[0].departments == ("lights", "video")
    press(book, Qt.Key.Key_Up)
    chord(book, Qt.Key.Key_Return, CTRL)
    assert "began" in lines(book)[0]
    (mark,) = book.host.tour.day_marks(day_tonight(show_of(book), time.time_ns()))
    assert (mark.item, mark.what) == ("north-gate", "began")
    chord(book, Qt.Key.Key_N, CTRL)
    qtbot.keyClicks(book.book.edit._line, "later")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert "does not begin with a time" in book.book.edit._hint.text()
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Escape)
    for text in ("0:10-0:50 truck: Truck 2; dock B; carries truss", "23:20 truck: Truck 1; dock A"):
        chord(book, Qt.Key.Key_N, CTRL)
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert [d.name for d in show_of(book).day] == ["North gate", "The show", "Truck 1", "Truck 2"]
    chord(book, Qt.Key.Key_Return, CTRL)  # the door of the one that was typed last
    assert book.book.controller.pages.now.lead().endswith(
        "0 of 2 closed, open: Truck 1 at dock A, next Truck 2 at dock B."
    )
    chord(book, Qt.Key.Key_Return, CTRL)  # a hurried hand's second press closes nothing
    assert "Truck 1 began 0 s ago" in book.book.said.words
    assert "0 of 2 closed" in book.book.controller.pages.now.lead()
    monkeypatch.setattr("showcaller.desk.areas.book.pages.day.HURRIED_S", 0)
    chord(book, Qt.Key.Key_Return, CTRL)
    assert "1 of 2 closed, next Truck 2" in book.book.controller.pages.now.lead()
    assert "closed" in lines(book)[2]
    closed = lines(book)[2]
    chord(book, Qt.Key.Key_Return, CTRL)  # and a third moves no time that is logged
    assert "Truck 1 is logged already, at " in book.book.said.words
    assert lines(book)[2] == closed
    # A press on the wrong line is taken back, one step after another; both stay in the record.
    chord(book, Qt.Key.Key_Return, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert book.book.said.words == "taken back: Truck 1 doors closed"
    assert "open: Truck 1 at dock A" in book.book.controller.pages.now.lead()
    chord(book, Qt.Key.Key_Return, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert "open" not in book.book.controller.pages.now.lead()
    chord(book, Qt.Key.Key_Return, CTRL | Qt.KeyboardModifier.ShiftModifier)
    assert "nothing is logged for Truck 1" in book.book.said.words
    book.book.said.say("", "quiet")
    assert "type into the fields" not in book.book.foot_words()[0], "the page says its own keys"
    marks = book.host.tour.day_marks()
    assert [m.what for m in marks][1:] == ["began", "ended", "unended", "unbegun"]
    chord(book, Qt.Key.Key_Return, CTRL)
    assert "open: Truck 1" in book.book.controller.pages.now.lead()


def test_the_check_goes_through_while_the_window_lives(qtbot, book):
    chord(book, Qt.Key.Key_G, CTRL)
    page = book.book.controller.pages.now
    qtbot.waitUntil(lambda: not page._busy, timeout=20000)
    assert "this machine" in " ".join(lines(book))
    assert "not a safety system" in page.hint()


def test_pages_draw_at_every_size_and_are_read_aloud(qtbot, book):
    for name in ("export", "editions", "day", "setup", "venues", "rehearsed", "people"):
        book.performer.do(f"book.{name}")
        for size in ((1280, 720), (1920, 1080), (2560, 1440)):
            book.resize(*size)
            assert not book.grab().isNull()
        assert book.book.controller.pages.now.title in book.book.accessibleDescription()
        press(book, Qt.Key.Key_Escape)


def test_a_tour_of_two_venues_is_typed_and_a_night_is_played_by_enter(qtbot, book):
    def type_on(start, text):
        page.at = next(n for n, line in enumerate(page.lines()) if line.cells[0].strip().startswith(start))
        press(book, Qt.Key.Key_Return)
        book.book.edit._line.selectAll()
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)

    chord(book, Qt.Key.Key_V, CTRL | Qt.KeyboardModifier.ShiftModifier)
    page = book.book.controller.pages.now
    own = show_of(book).venue
    type_on("one more venue", "Lantern Hall: starts 19:30; curfew 00:30 next day; Europe/Lisbon")
    assert [v.name for v in show_of(book).venues] == [own, "Lantern Hall"]
    page.at = len(page.lines()) - 2
    rows = [line.cells[0].strip() for line in page.lines()]
    hall = next(n for n, words in enumerate(rows) if words.startswith("Lantern Hall"))
    page.at = next(n for n, words in enumerate(rows) if n > hall and words.startswith("one more night"))
    press(book, Qt.Key.Key_Return)
    qtbot.keyClicks(book.book.edit._line, "2026-08-04")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    page.at = next(n for n, line in enumerate(page.lines()) if "night 2026-08-04" in line.cells[0])
    press(book, Qt.Key.Key_Return)
    made = show_of(book)
    assert (made.venue, made.date, made.starts_at, made.curfew) == (
        "Lantern Hall",
        "2026-08-04",
        "19:30",
        "00:30",
    )
    assert "● night 2026-08-04: tonight" in " ".join(lines(book))
    chord(book, Qt.Key.Key_Z, CTRL)
    assert (show_of(book).venue, show_of(book).date) == (own, None)


def test_cutting_what_a_quick_change_needs_is_said(qtbot, book):
    coat = {"id": "coat", "name": "Coat", "kind": "checklist", "reader": "Wardrobe", "after": "first",
            "item": "second", "takes_s": 30, "lines": []}  # fmt: skip
    talk = {"kind": "talk", "id": "talk", "name": "Talk", "length_s": 60, "cues": []}
    book.store.do("talk", Put(at=("items",), index=1, part=talk))
    book.store.do("coat", Put(at=("pages",), index=0, part=coat))
    book.book.controller.choose_item("talk")
    chord(book, Qt.Key.Key_T, CTRL)
    assert "'Coat' (Wardrobe) needs 0:30 between 'First' and 'Second'" in book.book.said.words
    assert book.book.said.tone == "caution"


def test_people_are_typed_marked_in_and_out_and_a_stand_in_is_one_switch(qtbot, book):
    def type_line(text):
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)

    book.store.do("a night that is over", SetFields(at=(), fields={"date": "2026-08-04"}))
    chord(book, Qt.Key.Key_E, CTRL | Qt.KeyboardModifier.ShiftModifier)
    page = book.book.controller.pages.now
    press(book, Qt.Key.Key_Return)
    type_line("Ada Lind: Deck chief; called 14:00; stand-in Bo Marr")
    (ada,) = show_of(book).people
    assert (ada.name, ada.called_at, ada.stand_in) == ("Ada Lind", "14:00", "Bo Marr")
    assert "0 of 1 are in; 1 late: Ada Lind" in page.lead()
    page.at = 0
    chord(book, Qt.Key.Key_Return, CTRL)
    assert "1 of 1 are in" in page.lead()
    chord(book, Qt.Key.Key_Return, CTRL)
    assert "1 on a break" in page.lead()
    chord(book, Qt.Key.Key_R, CTRL)
    assert show_of(book).people[0].acting == "Bo Marr"
    assert "Bo Marr for Ada Lind" in lines(book)[0]
    chord(book, Qt.Key.Key_T, CTRL)
    assert ", gone " in lines(book)[0]
    chord(book, Qt.Key.Key_Z, CTRL)
    assert show_of(book).people[0].acting == "Ada Lind"
    page.at = 2
    press(book, Qt.Key.Key_Return)
    type_line("30 min after 5 h")
    assert (show_of(book).breaks.for_min, show_of(book).breaks.after_h) == (30, 5)


def test_an_outlet_is_added_changed_and_kept_while_a_cue_needs_it(qtbot, book):
    def type_line(text):
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)

    chord(book, Qt.Key.Key_U, CTRL)
    page = book.book.controller.pages.now
    page.at = next(n for n, line in enumerate(page.lines()) if "one more: Wall" in line.cells[0])
    press(book, Qt.Key.Key_Return)
    type_line("Wall: osc udp 10.0.0.5:9000")
    assert [(o.name, o.host, o.port) for o in show_of(book).outlets] == [("Wall", "10.0.0.5", 9000)]
    message = {"kind": "osc", "outlet": "wall", "address": "/x"}
    book.store.do("m", SetFields(at=("items", "first", "cues", "a"), fields={"messages": [message]}))
    page.at = next(n for n, line in enumerate(page.lines()) if line.cells[0].startswith("Wall: "))
    press(book, Qt.Key.Key_Return)
    book.book.edit._line.selectAll()
    type_line("Wall: osc tcp 10.0.0.6:9001")
    assert [(o.kind, o.port) for o in show_of(book).outlets] == [("osc_tcp", 9001)]
    press(book, Qt.Key.Key_Delete)
    assert len(show_of(book).outlets) == 1
    assert "no outlet 'wall' in this show" in book.book.said.words


def test_every_key_of_the_book_is_on_its_page_of_keys(qtbot, book):
    book.performer.do("help")
    model = book.palette_.model
    shown = " ".join(model.item(row, n).text() for row in range(model.rowCount()) for n in range(3))
    own = [a for a in ACTIONS.values() if "Book" in a.where]
    assert len(own) > 30
    assert all(book.keys[a.id] in shown and a.does in shown for a in own)
    qtbot.keyClick(book.palette_.edit, Qt.Key.Key_Return)
    assert not book.palette_.isVisible()


def test_a_page_read_aloud_is_typed_line_by_line_moved_and_taken_out(qtbot, book):
    def type_line(text):
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)

    def at(words):
        page.at = next(n for n, line in enumerate(page.lines()) if words in line.cells[0])

    chord(book, Qt.Key.Key_U, CTRL)
    page = book.book.controller.pages.now
    at("one more: Path clear")
    press(book, Qt.Key.Key_Return)
    type_line("Deck clear: Deck chief")
    at("one more: Show stop")
    press(book, Qt.Key.Key_Return)
    type_line("Show stop: show stop, read by Caller")
    for text in ("Hold, please.", "Deck?; answered by Deck chief; clearance Deck clear"):
        at("one more line: ")
        press(book, Qt.Key.Key_Return)
        type_line(text)
    (made,) = show_of(book).pages
    assert (made.id, made.kind, made.reader) == ("show-stop", "show stop", "Caller")
    assert [(x.says, x.who, x.clearance) for x in made.lines] == [
        ("Hold, please.", None, None), ("Deck?", "Deck chief", "deck-clear"),
    ]  # fmt: skip
    at("      Deck?")
    chord(book, Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier)
    assert [x.says for x in show_of(book).pages[0].lines] == ["Deck?", "Hold, please."]
    assert "Deck?" in page.lines()[page.at].cells[0], "it goes with the line"
    at("Deck clear: Deck chief")
    press(book, Qt.Key.Key_Delete)
    assert [c.id for c in show_of(book).clearances] == ["deck-clear"], "a page asks for it"
    at("      Hold, please.")
    press(book, Qt.Key.Key_Delete)
    assert [x.says for x in show_of(book).pages[0].lines] == ["Deck?"]
    at("Show stop: show stop")
    press(book, Qt.Key.Key_Delete)
    assert show_of(book).pages == ()
    chord(book, Qt.Key.Key_Z, CTRL)
    assert [x.says for x in show_of(book).pages[0].lines] == ["Deck?"]


def test_a_route_and_a_pedal_are_typed_and_the_leave_by_stands_there_at_once(qtbot, book):
    def enter_at(words, text):
        page.at = next(n for n, line in enumerate(page.lines()) if words in line.cells[0])
        press(book, Qt.Key.Key_Return)
        book.book.edit._line.selectAll()
        qtbot.keyClicks(book.book.edit._line, text)
        qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)

    def leave():
        return next(line.cells[0] for line in page.lines() if " before the downbeat" in line.cells[0])

    chord(book, Qt.Key.Key_U, CTRL)
    page = book.book.controller.pages.now
    enter_at("one more: Path clear", "Lane clear: Crowd safety")
    enter_at("one more: Crowd lane", "Crowd lane: Wing stairs 9 m; Tam: leads with the torch")
    before = leave()
    enter_at("one more leg", "Lane 54 m; needs Lane clear; posted Ada at the gate; radio 4")
    assert leave() != before
    enter_at("      Lane 54 m", "Lane 60 m; needs Lane clear")
    page.at = next(n for n, line in enumerate(page.lines()) if "      Lane 60 m" in line.cells[0])
    press(book, Qt.Key.Key_Return)
    drawn, words = book.book.page.way, book.book.edit._hint
    assert drawn.isVisible()
    as_it_is = drawn.accessibleDescription()
    assert "Lane, 60 m" in as_it_is
    assert "needs Lane clear" in as_it_is
    book.book.edit._line.selectAll()
    qtbot.keyClicks(book.book.edit._line, "Lane 240 m")
    assert "Lane, 240 m" in drawn.accessibleDescription()  # as it is typed, and what comes of it
    assert words.text().startswith("about 3:53 on the way")  # 249 m at 3.5 ft a second
    qtbot.keyClicks(book.book.edit._line, "; oh")
    assert "Lane, 60 m" in drawn.accessibleDescription()
    book.grab()
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Escape)
    assert drawn.accessibleDescription() == as_it_is
    enter_at("Crowd lane: Tam", "Crowd lane: camera from the pit, 20 s before")
    (route,) = show_of(book).routes
    assert [(leg.name, leg.length_m, leg.clearances) for leg in route.legs] == [
        ("Wing stairs", 9, ()), ("Lane", 60, ("lane-clear",)),
    ]  # fmt: skip
    assert (route.id, route.camera, route.people) == ("crowd-lane", "from the pit", ())
    enter_at("one more: midi", "midi Foot switch; note 60 go")
    assert [r.port for r in show_of(book).remotes] == ["Foot switch"]
    enter_at("midi Foot switch", "midi Foot switch; note 61 go")
    assert [r.pedals[0].number for r in show_of(book).remotes] == [61]
    press(book, Qt.Key.Key_Delete)
    assert show_of(book).remotes == ()
