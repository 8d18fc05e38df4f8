"""The grid on the Wall: a touch or a letter puts a look on, or makes it next, and touches nothing else."""

import time

import pytest
from desk_keys import chord, events, press
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from test_live_hands import CTRL, SHIFT, stands
from test_next_and_now import coming
from wall_desk import open_live

from showcaller.desk.areas.wall.grid_hand import TURN_GUARD_S
from showcaller.desk.areas.wall.grid_pictures import OLD_S
from showcaller.desk.areas.wall.grid_places import LOOKS
from showcaller.desk.areas.wall.state import GRID
from showcaller.desk.keys import Keys, KeysError, load_keys
from showcaller.desk.window import DeskWindow
from showcaller.run import commands as c

NONE = Qt.KeyboardModifier.NoModifier


def at_tile(desk: DeskWindow, place: int) -> QPoint:
    return desk.wall.grid.layout_().touched[place].center().toPoint()


def touch(desk: DeskWindow, place: int, held: Qt.KeyboardModifier = NONE) -> None:
    QTest.mouseClick(desk.wall.grid, Qt.MouseButton.LeftButton, held, at_tile(desk, place))
    desk.frame()


def tile(desk: DeskWindow, name: str):
    view = desk.wall.controller.grid.view
    assert view is not None
    return next(t for t in view.tiles if t.name == name)


def to_grid(desk: DeskWindow) -> None:
    desk.acts.sit("director")
    chord(desk, Qt.Key.Key_F4)
    desk.frame()
    assert desk.wall.controller.grid.keyed


def looks(desk: DeskWindow):
    return [(e.look, e.by, e.beats, e.cue) for e in desk.host.book.looks]


def test_a_touch_puts_a_look_on_by_the_chosen_change_and_with_shift_makes_it_next(qtbot, desk: DeskWindow):
    open_live(qtbot, desk, muted=True)
    chord(desk, Qt.Key.Key_F4)  # at the caller's seat: it is shown, letters say where they act
    desk.frame()
    assert desk.wall.state.panel == GRID
    assert not desk.wall.controller.grid.keyed
    assert "director's seat only" in desk.wall.said.words
    desk.performer.do("tile.put_3")  # as the list of actions does it
    assert len(desk.host.book.looks) == 1
    roof = tile(desk, "Roof camera").place
    assert roof >= LOOKS
    touch(desk, roof)
    assert "choose" in desk.wall.said.words
    assert (tile(desk, "Sea").marks, tile(desk, "Wide").marks) == ("● on", "▲ next")
    touch(desk, tile(desk, "Faces").place)
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 2)
    assert looks(desk)[-1] == ("faces", "cut", 0, None)
    desk.frame()
    assert tile(desk, "Faces").on
    assert tile(desk, "Roof camera").on
    QTest.mouseClick(
        desk.wall.grid, Qt.MouseButton.LeftButton, pos=desk.wall.grid.how_boxes()[2].center().toPoint()
    )
    touch(desk, tile(desk, "One face").place, SHIFT)
    assert (coming(desk).look.id, coming(desk).words) == ("one", "mix over 4 beats · by hand")
    assert tile(desk, "One face").next
    assert len(desk.host.book.looks) == 2, "nothing goes out before it is taken"
    chord(desk, Qt.Key.Key_G, CTRL)
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 3)
    assert looks(desk)[-1] == ("one", "mix", 4, None)
    desk.frame()
    desk.wall.controller.choose_layer("cam-1", "on")
    touch(desk, roof)
    qtbot.waitUntil(lambda: events(desk, "layer_played") != [])
    desk.frame()
    assert stands(desk).source == "cam-2"


def test_letters_act_at_the_directors_seat_while_the_grid_has_the_keyboard_and_never_on_the_show(
    qtbot, desk: DeskWindow
):
    open_live(qtbot, desk)
    before, held = desk.host.book.state.place, len(events(desk, "fired"))
    desk.acts.sit("director")
    press(desk, "w")
    assert len(desk.host.book.looks) == 1, "the grid has not the keyboard"
    to_grid(desk)
    desk.performer.do("tile.put_4", repeated=True)  # held down
    press(desk, "e")  # the third place
    qtbot.waitUntil(lambda: len(desk.host.book.looks) == 2)
    assert looks(desk)[-1][0] == "faces"
    chord(desk, Qt.Key.Key_R, SHIFT)
    assert coming(desk).look.id == "one"
    press(desk, "4")
    assert desk.wall.controller.grid.view.how == 3
    # All letters and figures: those of places where nothing stands say so, none acts on cues, hold or clock.
    for key in "tyuasdfghjklopizxcvbnm0123456789":
        press(desk, key)
        chord(desk, getattr(Qt.Key, f"Key_{key.upper()}"), SHIFT)
    assert not desk.prompt.is_open()
    desk.frame()
    state = desk.host.book.state
    assert (state.place, state.phase, len(events(desk, "fired"))) == (before, "running", held)
    chord(desk, Qt.Key.Key_F4)
    assert not desk.wall.controller.grid.keyed
    kinds = {r.input.kind for r in desk.host.book.records}
    assert not kinds & {"hold", "note", "tap", "back", "skip", "standby"}


def test_a_page_that_has_just_turned_with_the_song_waits_until_it_was_seen(qtbot, desk: DeskWindow):
    open_live(qtbot, desk)
    to_grid(desk)
    assert tile(desk, "Wide").place == 1
    book = desk.host.book
    desk.host.session.send(c.Jump(item="lamps"))
    qtbot.waitUntil(lambda: book.state.item == 1)
    count = len(book.looks)
    desk.frame()
    press(desk, "e")
    assert "has just turned to" in desk.wall.said.words
    assert tile(desk, "Wide").place == 0
    desk.wall.controller.grid._turned_s = time.monotonic() - TURN_GUARD_S
    press(desk, "r")
    qtbot.waitUntil(lambda: len(book.looks) == count + 1)


def test_at_rest_a_touch_previews_and_nothing_is_next(qtbot, desk: DeskWindow):
    desk.wall.controller.turn_to(GRID)
    desk.frame()
    touch(desk, tile(desk, "Faces").place)
    assert desk.wall.state.scene.tried
    assert desk.wall.state.scene.standing.look.id == "faces"
    touch(desk, tile(desk, "Wide").place, SHIFT)
    assert "nothing is next" in desk.wall.said.words


def test_small_pictures_come_from_the_process_and_are_marked_when_they_are_old(qtbot, desk: DeskWindow):
    desk.wall.controller.turn_to(GRID)
    pictures = desk.wall.grid_front.pictures

    def made() -> bool:
        desk.frame()
        return pictures.age_s(time.monotonic()) is not None and pictures.image() is not None

    qtbot.waitUntil(made, timeout=10_000)
    image, box = pictures.image(), desk.wall.grid.tile_px()
    assert image is not None
    assert (image.width(), image.height()) == (box[0] * 7, box[1] * 3)
    middle = image.pixelColor(box[0] // 2, box[1] // 2)
    assert middle.red() + middle.green() + middle.blue() > 60, "the first look is a card, not black"
    assert not desk.wall.grid._now.old
    pictures.projector._process.kill()
    pictures._made_s = time.monotonic() - OLD_S - 0.1
    desk.wall.grid_front.show(time.monotonic())
    assert desk.wall.grid._now.old
    qtbot.waitUntil(lambda: (desk.frame(), not desk.wall.grid._now.old)[1], timeout=10_000)


def test_a_letter_cannot_be_one_of_the_show_that_is_heard_there(tmp_path):
    path = tmp_path / "keys.json"
    path.write_text('{"tile.put_1": "F9", "go": "F9"}')
    with pytest.raises(KeysError, match=r"F9 is given to both 'go' and 'tile.put_1'"):
        load_keys(path)
    path.write_text('{"tile.put_1": "K"}')
    assert load_keys(path)["tile.put_1"] == "K"
    assert Keys()["tile.next_1"] == "Shift+Q"
