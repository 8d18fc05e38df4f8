"""The handbook's way from an empty show to a song with its looks, typed as it stands there."""

import json
import re

import pytest
from desk_keys import after_gap, answer, chord
from desk_window import desk_on
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence

from showcaller.demo.blank import blank_show
from showcaller.desk.window import DeskWindow
from showcaller.model import show_text
from showcaller.resources import resource

PAGE = resource("handbook", "director", "build-a-wall.md").read_text(encoding="utf-8")


@pytest.fixture
def desk(qtbot, tmp_path):
    with desk_on(qtbot, tmp_path, json.loads(show_text(blank_show("Empty")))) as window:
        yield window


def press(desk: DeskWindow, key: str) -> None:
    combined = QKeySequence(key)[0]
    chord(desk, combined.key(), combined.keyboardModifiers())


def lines() -> list[tuple[list[str], str]]:
    """(the keys, what is typed) of each row of the page's table."""
    rows = re.findall(r"^\| (`Ctrl.*?) \| `(.*?)`", PAGE.split("## The wall")[0], re.MULTILINE)
    return [(re.findall(r"`(.*?)`", keys), typed) for keys, typed in rows]


def test_the_lines_of_the_handbook_make_the_song(qtbot, desk: DeskWindow) -> None:
    assert len(lines()) == 6
    for keys, typed in lines():
        for key in keys:
            after_gap(qtbot)  # the key may be one of those that were just typed
            press(desk, key)
        answer(qtbot, desk, typed)
        assert not desk.prompt.isVisible(), (typed, desk.prompt._label.text(), desk.prompt._hint.text())
        desk.frame()
    show = desk.store.show_now
    (song,) = show.items  # the untouched first song of a new show gave its place
    assert (song.name, song.length_s, song.tempo[0].bpm, song.meters[0].meter) == (
        "Salt Letters", 200, 96, "4/4",
    )  # fmt: skip
    # 172 ft × 62 ft; a foot is 0.3048 m exactly (NIST Special Publication 811, B.8).
    assert (show.wall.width_m, show.wall.height_m) == (pytest.approx(52.4256), pytest.approx(18.8976))
    brought = {c.anchor.bar: c.look for c in song.cues}
    names = {k.id: k.name for k in show.looks}
    assert {bar: names[look.look] for bar, look in brought.items()} == {
        1: "verse",
        17: "chorus",
        33: "bridge",
    }
    assert (brought[17].by, brought[17].beats) == ("mix", 8)
    chorus = next(k for k in show.looks if k.name == "chorus")
    assert [(x.source, round(x.left_m, 3)) for x in chorus.layers] == [
        ("tide", 0), ("left-camera", 0), ("right-camera", 34.95),
    ]  # fmt: skip
    assert desk.wall.state.scene.standing.look.name == "bridge"


def test_the_wall_shows_the_song_chosen_in_the_book_and_the_book_that_of_the_wall(
    qtbot, desk: DeskWindow
) -> None:
    for name in ("Gulls 3:00", "Ropes 2:00"):
        press(desk, "Ctrl+Shift+N")
        answer(qtbot, desk, name)
    after_gap(qtbot)
    press(desk, "Ctrl+2")
    press(desk, "Ctrl+N")
    answer(qtbot, desk, "40 x 10 m, 4000 x 1000 px, 4 inputs, 8 channels")
    desk.frame()
    assert desk.wall.state.scene.plan.items[desk.wall.state.scene.item].item.name == "Ropes"
    after_gap(qtbot)
    chord(desk, Qt.Key.Key_Up)
    press(desk, "Ctrl+1")
    assert desk.book.state.chosen.item == desk.store.show_now.items[0].id
    # What was chosen on neither since stays on both.
    press(desk, "Ctrl+2")
    assert desk.wall.state.rehearsal.item == desk.store.show_now.items[0].id
