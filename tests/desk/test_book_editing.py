"""Editing the book by real key and mouse events: what is typed, dragged or double-clicked is in the show."""

from pathlib import Path

import pytest
from desk_keys import answer, chord
from desk_keys import press as keys
from desk_window import desk_on
from PySide6.QtCore import QEvent, QModelIndex, QPoint
from PySide6.QtGui import QKeyEvent
from small_shows import DEPARTMENTS, cue, document, item

from showcaller.desk.areas.book.zoom import Window
from showcaller.desk.qt import Qt
from showcaller.editing import SetFields
from showcaller.editing.keeping import Keeper
from showcaller.model import read_show, show_text

CTRL, SHIFT, ALT = (
    Qt.KeyboardModifier.ControlModifier,
    Qt.KeyboardModifier.ShiftModifier,
    Qt.KeyboardModifier.AltModifier,
)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "show.json"


@pytest.fixture
def book(qtbot, tmp_path: Path):
    bar = {"at": "bar", "bar": 9, "beat": 1}
    items = [
        item("first", 120, [cue("a", "1", bar), cue("b", "2", 30, "video")], tempo=[{"bar": 1, "bpm": 120}]),
        item("second", 60, [cue("c", "3", 10)]),
        {"kind": "talk", "id": "talk", "name": "Talk", "length_s": 60},
    ]
    outlets = [{"kind": "osc_udp", "id": "wall", "name": "Wall", "port": 9123}]
    with desk_on(qtbot, tmp_path, document(items, outlets=outlets)) as window:
        yield window


def show_of(window):
    return window.store.show_now


def press(window, key):
    chord(window, key)


def cue_in(window, ident):
    return next(c for c in show_of(window).all_cues() if c.id == ident)


def place(window, ident):
    """Where a cue's mark is, in the book's px."""
    area = window.book
    window.grab()
    index = next(n for n, c in enumerate(area.state.planned.cues) if c.cue.id == ident)
    mark = next(m for m in area.state.view.marks if m.cue == index)
    return QPoint(round(area.strip.ground.x(mark.at_s)), round(area.strip.ground.y(mark.lane)))


def type_into(qtbot, window, text):
    line = window.book.edit._line
    assert line.isVisible()
    line.selectAll()
    qtbot.keyClicks(line, text)


def test_a_field_is_typed_into_and_tab_goes_on_to_the_next(qtbot, book, path):
    press(book, Qt.Key.Key_Right)
    press(book, Qt.Key.Key_Return)
    type_into(qtbot, book, "Chorus, blind to white")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Tab)
    type_into(qtbot, book, "17/3")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert not book.book.edit.is_open()
    changed = cue_in(book, "a")
    assert changed.label == "Chorus, blind to white"
    assert (changed.anchor.bar, changed.anchor.beat) == (17, 3)
    book.store.keeper.flush()
    assert next(c for c in read_show(path).all_cues() if c.id == "a").anchor.bar == 17


def test_what_will_not_do_stays_open_with_the_reason_and_changes_nothing(qtbot, book):
    before = show_text(show_of(book))
    press(book, Qt.Key.Key_Right)
    book.book.controller.typing.open(1)
    type_into(qtbot, book, "yesterday")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert book.book.edit.is_open()
    assert "is not a time or a place" in book.book.edit._hint.text()
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Escape)
    assert not book.book.edit.is_open()
    assert show_text(show_of(book)) == before


def test_a_cue_is_dragged_to_another_beat_and_taken_back(qtbot, book):
    before = show_text(show_of(book))
    area = book.book
    start = place(book, "a")
    # At 120 a beat is half a second: bar 13 beat 2 is 24.5 s in.
    end = QPoint(round(area.strip.ground.x(24.6)), start.y())
    qtbot.mousePress(area.strip, Qt.MouseButton.LeftButton, pos=start)
    qtbot.mouseMove(area.strip, pos=(start + end) / 2)
    qtbot.mouseMove(area.strip, pos=end)
    qtbot.mouseRelease(area.strip, Qt.MouseButton.LeftButton, pos=end)
    assert (cue_in(book, "a").anchor.bar, cue_in(book, "a").anchor.beat) == (13, 2)
    chord(book, Qt.Key.Key_Z, CTRL)
    assert show_text(show_of(book)) == before
    chord(book, Qt.Key.Key_Z, CTRL | SHIFT)
    assert cue_in(book, "a").anchor.bar == 13


def test_a_click_without_a_drag_only_chooses(qtbot, book):
    before = show_text(show_of(book))
    qtbot.mouseClick(book.book.strip, Qt.MouseButton.LeftButton, pos=place(book, "b"))
    assert book.book.state.chosen.cue == "b"
    assert show_text(show_of(book)) == before


def test_a_double_click_on_a_lane_puts_a_cue_there_and_asks_what_it_is(qtbot, book):
    area = book.book
    book.grab()
    at = QPoint(round(area.strip.ground.x(32.1)), round(area.strip.ground.y(1)))
    qtbot.mouseDClick(area.strip, Qt.MouseButton.LeftButton, pos=at)
    type_into(qtbot, book, "Gulls wide")
    qtbot.keyClick(area.edit._line, Qt.Key.Key_Return)
    new = next(c for c in show_of(book).items[0].cues if c.label == "Gulls wide")
    assert new.department == DEPARTMENTS[1]["id"]
    assert (new.anchor.bar, new.anchor.beat) == (17, 1)
    assert str(new.number) == "3", "after Video 2 at 30 s"


def test_a_new_cue_is_typed_in_one_line(qtbot, book):
    chord(book, Qt.Key.Key_N, CTRL)
    answer(qtbot, book, "lights 5/3 Count in")
    new = next(c for c in show_of(book).items[0].cues if c.label == "Count in")
    assert (new.department, new.anchor.bar, new.anchor.beat) == ("lights", 5, 3)
    assert book.book.state.chosen.cue == new.id


def test_a_new_cue_is_told_once_already_chosen(qtbot, book):
    state, told, count = book.book.state, [], len(list(show_of(book).all_cues()))
    state.changed.connect(lambda: told.append((len(list(show_of(book).all_cues())), state.chosen.cue)))
    controller = book.book.controller
    assert controller.attempts.attempt(lambda: controller.cues.new_cue_typed("lights 9/3 haze"))
    assert state.cue().label == "haze"
    assert told == [(count + 1, state.chosen.cue)]


def test_a_new_cue_that_is_refused_leaves_the_cue_chosen_that_was(qtbot, book):
    controller, state = book.book.controller, book.book.state
    state.go_to("first", "a")
    assert not controller.attempts.attempt(lambda: controller.cues.new_cue_typed("lights 999/1 haze"))
    assert state.chosen.cue == "a"


def test_nudging_is_one_step_of_undo_and_carries_over_the_bar(qtbot, book):
    press(book, Qt.Key.Key_Right)
    for _ in range(5):
        chord(book, Qt.Key.Key_Right, ALT)
    assert (cue_in(book, "a").anchor.bar, cue_in(book, "a").anchor.beat) == (10, 2)
    chord(book, Qt.Key.Key_Left, ALT | SHIFT)
    assert (cue_in(book, "a").anchor.bar, cue_in(book, "a").anchor.beat) == (9, 2)
    chord(book, Qt.Key.Key_Z, CTRL)
    assert (cue_in(book, "a").anchor.bar, cue_in(book, "a").anchor.beat) == (9, 1)


def test_items_are_added_moved_left_out_and_removed(qtbot, book):
    chord(book, Qt.Key.Key_N, CTRL | SHIFT)
    answer(qtbot, book, "talk The ferry 1:30")
    assert [i.name for i in show_of(book).items] == ["First", "The ferry", "Second", "Talk"]
    assert show_of(book).items[1].length_s == 90
    chord(book, Qt.Key.Key_Down, ALT)
    assert [i.name for i in show_of(book).items][2] == "The ferry"
    chord(book, Qt.Key.Key_T, CTRL)
    assert show_of(book).items[2].out
    press(book, Qt.Key.Key_Delete)
    assert [i.name for i in show_of(book).items] == ["First", "Second", "Talk"]
    for _ in range(4):
        chord(book, Qt.Key.Key_Z, CTRL)
    assert len(show_of(book).items) == 3
    assert not book.store.stack.canUndo()


def test_an_item_is_dragged_up_the_running_order(qtbot, book):
    area = book.book
    book.grab()
    model = area.order.model()
    dragged = model.mimeData([model.index(2, 0), model.index(2, 1)])
    assert dragged.text() == "\t".join(model.index(2, n).data() for n in (0, 1))
    assert not model.dropMimeData(dragged, Qt.DropAction.MoveAction, 0, 0, QModelIndex())
    assert [i.id for i in show_of(book).items] == ["talk", "first", "second"]


def test_a_cue_is_copied_and_cut_between_songs(qtbot, book):
    press(book, Qt.Key.Key_Right)
    chord(book, Qt.Key.Key_C, CTRL)
    press(book, Qt.Key.Key_Down)
    chord(book, Qt.Key.Key_V, CTRL)
    copied = next(c for c in show_of(book).items[1].cues if c.id != "c")
    assert copied.anchor.at == "time", "the second song has no bars"
    assert copied.anchor.seconds == 16
    press(book, Qt.Key.Key_Up)
    press(book, Qt.Key.Key_Right)
    chord(book, Qt.Key.Key_X, CTRL)
    press(book, Qt.Key.Key_Down)
    chord(book, Qt.Key.Key_V, CTRL)
    assert "a" not in {c.id for c in show_of(book).items[0].cues}
    assert "a" in {c.id for c in show_of(book).items[1].cues}


def test_cues_are_renumbered_by_tens_and_found_by_number(qtbot, book):
    chord(book, Qt.Key.Key_R, CTRL)
    answer(qtbot, book, "lights 1 to 99 from 100 by 10")
    numbers = [str(c.number) for c in show_of(book).all_cues() if c.department == "lights"]
    assert numbers == ["100", "110"]
    chord(book, Qt.Key.Key_F, CTRL)
    answer(qtbot, book, "lx 110")
    assert (book.book.state.chosen.item, book.book.state.chosen.cue) == ("second", "c")


def test_a_message_shows_the_bytes_that_will_leave_while_it_is_typed(qtbot, book):
    press(book, Qt.Key.Key_Right)
    keys = [f.key for f in book.book.state.form.fields]
    book.book.controller.typing.open(keys.index("message:0"))
    type_into(qtbot, book, "wall: /oscillator/4/frequency 440.0")
    # OSC 1.0 specification, examples.
    assert book.book.edit._hint.text().startswith("32 bytes: 2F 6F 73 63 69 6C 6C 61 74 6F 72 2F 34")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert cue_in(book, "a").messages[0].address == "/oscillator/4/frequency"


def test_send_once_reaches_a_real_receiver(qtbot, book, oscdump):
    port, dump = oscdump("udp")
    from showcaller.editing import SetFields

    book.store.do("port", SetFields(at=("outlets", "wall"), fields={"port": port}))
    message = {"kind": "osc", "outlet": "wall", "address": "/once", "args": [3]}
    book.store.do("m", SetFields(at=("items", "first", "cues", "a"), fields={"messages": [message]}))
    press(book, Qt.Key.Key_Right)
    chord(book, Qt.Key.Key_Return, CTRL)
    qtbot.waitUntil(lambda: any("/once" in line for line in dump.lines()))
    qtbot.waitUntil(lambda: "sent to Wall" in book.book.said.words)


def test_the_tempo_is_tapped(qtbot, book, monkeypatch):
    times = iter(n * 0.5 for n in range(100))
    monkeypatch.setattr("showcaller.desk.areas.book.taps.Taps.__init__.__defaults__", (lambda: next(times),))
    chord(book, Qt.Key.Key_B, CTRL)
    answer(qtbot, book, "tttttttt")
    assert show_of(book).items[0].tempo[0].bpm == 120


def test_a_screen_reader_hears_what_is_chosen_and_the_buttons_have_names(qtbot, book):
    press(book, Qt.Key.Key_Right)
    heard = book.book.accessibleDescription()
    assert "Lights 1" in heard
    assert "when 9/1" in heard
    assert all(":" in b.accessibleName() for b in book.book.buttons.all)


def test_letters_typed_into_a_field_are_letters_and_keys_come_back(qtbot, book):
    press(book, Qt.Key.Key_Return)
    type_into(qtbot, book, "gggsss")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert show_of(book).items[0].name == "gggsss"
    press(book, Qt.Key.Key_Down)
    assert book.book.state.chosen.item == "second"


def test_zoom_stays_within_the_item_and_follows_the_chosen_cue(qtbot, book):
    area = book.book
    for _ in range(40):
        chord(book, Qt.Key.Key_Equal, CTRL)
    assert area.state.zoom.window.span_s == pytest.approx(2.0)
    press(book, Qt.Key.Key_Right)
    assert (
        area.state.zoom.window.start_s <= 16 <= area.state.zoom.window.start_s + area.state.zoom.window.span_s
    )
    chord(book, Qt.Key.Key_0, CTRL)
    assert area.state.zoom.window is None
    window = Window(0, 120).zoomed(4, 60, 120)
    assert window == Window(45, 30)
    assert window.moved(1000, 120) == Window(90, 30)


def test_a_second_desk_shows_but_changes_nothing(qtbot, book, path, tmp_path):
    other = Keeper(path)
    assert other.read_only
    book.store.keeper, mine = other, book.store.keeper
    press(book, Qt.Key.Key_Delete)
    assert len(show_of(book).items) == 3
    assert "open in another desk" in book.book.said.words
    book.store.keeper = mine
    other.close()


def test_the_call_area_follows_what_was_edited(qtbot, book):
    press(book, Qt.Key.Key_Return)
    type_into(qtbot, book, "Renamed")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: book.host.book.compiled.plan.items[0].item.name == "Renamed")
    assert "with changes" in book.host.run_words()


def test_while_a_run_is_on_the_book_keeps_its_keys_and_letters_are_no_commands(qtbot, book):
    pressed = []
    book.calls.act = lambda action, *_: pressed.append(action)
    assert book.host.open("Ines", muted=True) is None
    qtbot.waitUntil(lambda: book.host.book.state.phase == "running")
    book.show_area("Book")
    for letter in "gshbxit=1":
        keys(book, letter) if letter.isalpha() else book.keyPressEvent(
            QKeyEvent(QEvent.Type.KeyPress, ord(letter), Qt.KeyboardModifier.NoModifier, letter)
        )
    assert pressed == []
    assert "acts in Call" in book.book.said.words
    # Zooming is not 'this is bar', though both have the same sign on them.
    chord(book, Qt.Key.Key_Equal, CTRL)
    press(book, Qt.Key.Key_F8)
    assert pressed == ["note"]
    assert book.book.state.zoom.window is not None
    book.book.said.say("")
    assert "changes here are for the next one" in book.book.foot_words()[0]
    book.book.controller.typing.open(0)
    assert "Escape gives the keys back" in book.book.foot_words()[0]
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Escape)


def test_an_edit_during_a_run_leaves_the_run_as_it_was_opened(qtbot, book):
    assert book.host.open("Ines", muted=True) is None
    qtbot.waitUntil(lambda: book.host.book.state.phase == "running")
    press(book, Qt.Key.Key_Return)
    type_into(qtbot, book, "Renamed")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    qtbot.wait(700)
    assert book.host.book.compiled.plan.items[0].item.name == "First"
    assert show_of(book).items[0].name == "Renamed"


@pytest.mark.parametrize(
    ("typed", "at", "label", "fires"),
    [
        ("lights after video 2 + 2 Follow", "after", "Follow", "by itself"),
        ("video when she lifts the lamp, about 1:20 Lamp special", "visual", "Lamp special", "called"),
        ("video when she bows", "visual", "new cue", "called"),
    ],
)
def test_a_new_cue_takes_every_place_that_the_field_takes(qtbot, book, typed, at, label, fires):
    chord(book, Qt.Key.Key_N, CTRL)
    answer(qtbot, book, typed)
    new = cue_in(book, book.book.state.chosen.cue)
    assert (new.anchor.at, new.label, new.fires) == (at, label, fires)


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("lights 41/9 Sting", "beat 9 is not in bar 41, which has 4"),
        ("lights 99/1 Beyond", "past its end at 120 s"),
    ],
)
def test_a_cue_that_could_not_be_run_is_refused_where_it_is_typed(qtbot, book, typed, sentence):
    before = show_text(show_of(book))
    chord(book, Qt.Key.Key_N, CTRL)
    answer(qtbot, book, typed)
    assert sentence in book.prompt._hint.text()
    assert show_text(show_of(book)) == before
    qtbot.keyClick(book.prompt._edit, Qt.Key.Key_Escape)
    press(book, Qt.Key.Key_Right)
    book.book.controller.typing.open(1)
    type_into(qtbot, book, typed.split()[1])
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert sentence in book.book.edit._hint.text()
    assert "items" not in book.book.edit._hint.text()
    assert show_text(show_of(book)) == before
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Escape)


def test_an_item_made_too_short_says_so_under_its_strip(qtbot, book):
    book.book.controller.typing.open(1)
    type_into(qtbot, book, "0:20")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    assert any("past its end at 20 s" in words for words in book.book.state.view.collisions)
    assert book.host.open("Ines", muted=True) is not None
    assert "items[" not in (book.host.open("Ines", muted=True) or "")


def test_the_projected_end_is_of_the_show_as_it_is_now(qtbot, book):
    book.show_area("Call")
    book.frame()
    before = [f.value for f in book.call.strip.rows]
    book.show_area("Book")
    book.book.controller.typing.open(1)
    type_into(qtbot, book, "1:30:00")
    qtbot.keyClick(book.book.edit._line, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: book.host.book.compiled.plan.items[0].item.length_s == 5400)
    book.show_area("Call")
    book.frame()
    assert [f.value for f in book.call.strip.rows] != before


def test_a_new_cue_in_a_very_full_song_is_typed_into_before_its_strip_is_there(qtbot, book):
    cues = [cue(f"f{n}", str(n + 100), 1 + n / 10) for n in range(400)]
    book.store.do("fill", SetFields(at=("items", "second"), fields={"cues": cues, "length_s": 90}))
    press(book, Qt.Key.Key_Down)
    book.grab()
    area = book.book
    at = QPoint(round(area.strip.ground.x(70)), round(area.strip.ground.y(1)))
    qtbot.mouseDClick(area.strip, Qt.MouseButton.LeftButton, pos=at)
    type_into(qtbot, book, "Typed at once")
    qtbot.keyClick(area.edit._line, Qt.Key.Key_Return)
    assert cue_in(book, area.state.chosen.cue).label == "Typed at once"
    qtbot.waitUntil(lambda: any(c.cue.id == area.state.chosen.cue for c in area.state.planned.cues))


def test_a_paint_of_the_book_encodes_no_message(qtbot, book, monkeypatch):
    press(book, Qt.Key.Key_Right)

    def never(*_args):
        raise AssertionError("worked out in a paint")

    monkeypatch.setattr("showcaller.engine.encode.bytes_text", never)
    monkeypatch.setattr("showcaller.desk.areas.book.form.cue_fields", never)
    assert not book.grab().isNull()
