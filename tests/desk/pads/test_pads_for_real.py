"""Pads and faders at a real MIDI port (JACK's dummy driver) play the wall of a muted show."""

import threading
import time
import uuid
from collections.abc import Iterator
from itertools import pairwise

import pytest
from desk_keys import chord, events
from devices import end_engines
from midi_pads import Pads
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from wall_desk import open_live
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.areas.wall.hands import A_SECOND
from showcaller.desk.keys import Keys
from showcaller.desk.pads.bindings import read_controllers
from showcaller.desk.window import DeskWindow

SHIFT = Qt.KeyboardModifier.ShiftModifier
CTRL = Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def desk(qtbot, tmp_path, jack) -> Iterator[DeskWindow]:
    window = DeskWindow(
        wall_show(), Tour.create(tmp_path / "t.tour", "Small"), tmp_path / "runs", Keys(), settings=tmp_path,
        seat="director",
    )  # fmt: skip
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    yield window
    window.stop()
    window.host.close()
    end_engines(tmp_path / "runs")


@pytest.fixture
def name() -> str:
    return f"pads{uuid.uuid4().hex[:8]}"


def until(qtbot, desk: DeskWindow, true) -> None:
    """Frames until it is so."""
    qtbot.waitUntil(lambda: (desk.frame(), true())[1], timeout=20_000)


def hits(qtbot, desk: DeskWindow, pads: Pads, note: int, true) -> None:
    """A pad is hit, and again where nothing comes of it: on a machine that is too busy JACK loses some."""
    last_s = -1e9

    def done() -> bool:
        nonlocal last_s
        if time.monotonic() - last_s > 3:
            last_s = time.monotonic()
            pads.hit(note)
        return true()

    until(qtbot, desk, done)


def learn(qtbot, desk: DeskWindow, touched, send) -> None:
    """What is to be learned is touched at the desk, then the pad is, until it is heard."""
    learning = desk.wall.controller.grid.learning
    before = sum(len(c.does) for c in learning.controllers.values())
    touched()
    desk.frame()
    assert learning.what

    def bound() -> bool:
        if learning.what:
            send()
        return sum(len(c.does) for c in learning.controllers.values()) > before

    until(qtbot, desk, bound)


def click(desk: DeskWindow, place: int) -> None:
    box = desk.wall.grid.layout_().touched[place]
    QTest.mouseClick(desk.wall.grid, Qt.MouseButton.LeftButton, pos=box.center().toPoint())


def opacity(desk: DeskWindow) -> list[float]:
    return [e.fields["opacity"] for e in events(desk, "layer_played") if "opacity" in e.fields]


def test_pads_are_learned_put_looks_on_and_are_lit_also_when_they_are_back(qtbot, desk, name, tmp_path):
    open_live(qtbot, desk, muted=True)
    grid = desk.wall.controller.grid
    pads = Pads(name)
    try:
        chord(desk, Qt.Key.Key_F4, SHIFT)
        until(qtbot, desk, lambda: desk.wall.grid_front.pads.ports.opened(f"{name}:pads"))
        learn(qtbot, desk, lambda: click(desk, 0), lambda: pads.hit(36))
        learn(qtbot, desk, lambda: click(desk, 2), lambda: pads.hit(38))
        learn(qtbot, desk, lambda: click(desk, 3), lambda: pads.hit(39))
        learn(qtbot, desk, lambda: grid.choose_how(2), lambda: pads.hit(40))  # while held: next
        learn(qtbot, desk, lambda: grid.choose_how(3), lambda: pads.hit(41))  # take
        click(desk, 1)
        hits(qtbot, desk, pads, 36, lambda: "is tile 1 already" in desk.wall.said.words)
        assert len(desk.host.book.looks) == 1, "nothing is put on while pads are learned"
        chord(desk, Qt.Key.Key_F4, SHIFT)
        kept = read_controllers(tmp_path / "controllers.json")[f"{name}:pads"]
        assert sorted(kept.does.values()) == ["next", "take", "tile 1", "tile 3", "tile 4"]
        for _ in range(5):
            pads.hit(36)
            time.sleep(0.8)  # the desk is held up: no frame is made
            desk.frame()
            if "held up" in desk.wall.said.words:
                break
        assert "tile 1 was touched while this desk was held up" in desk.wall.said.words
        assert len(desk.host.book.looks) == 1, "a touch of another moment puts nothing on"

        until(qtbot, desk, lambda: pads.light(36) == 127)
        assert pads.light(38) == 0
        hits(qtbot, desk, pads, 38, lambda: len(desk.host.book.looks) > 1)
        count = len(desk.host.book.looks)
        shown = desk.host.book.looks[-1]
        assert (shown.look, shown.cue) == ("faces", None)  # by hand, says the log
        until(qtbot, desk, lambda: (pads.light(36), pads.light(38)) == (0, 127))

        def held() -> bool:
            pads.send(0x90, 40, 1)
            return any(control.number == 40 for _, control in desk.wall.grid_front.pads._down)

        until(qtbot, desk, held)
        hits(qtbot, desk, pads, 39, lambda: pads.light(39) == 64)

        def let_go() -> bool:
            pads.send(0x90, 40, 0)
            return not desk.wall.grid_front.pads._down

        until(qtbot, desk, let_go)
        assert len(desk.host.book.looks) == count
        desk.show_area("Book")  # pads act whatever is in front
        hits(qtbot, desk, pads, 41, lambda: desk.host.book.looks[-1].look == "one")
        until(qtbot, desk, lambda: pads.light(39) == 127)

        pads.unplug()
        until(qtbot, desk, lambda: not desk.wall.grid_front.pads.ports.opened(f"{name}:pads"))
        pads = Pads(name)
        until(qtbot, desk, lambda: (pads.light(36), pads.light(38), pads.light(39)) == (0, 0, 127))
        records = len([r for r in desk.host.book.records if r.input.kind != "report"])
        for odd in (
            (0xB0, 36, 127),
            (0x91, 36, 127),
            (0x90, 99, 127),
            (0xE0, 0, 64),
            (0x80, 38, 0),
            (0xC0, 38),
        ):
            pads.send(*odd)
        desk.acts.sit("caller")
        hits(qtbot, desk, pads, 38, lambda: "director's seat only" in desk.wall.said.words)
        until(qtbot, desk, lambda: pads.light(39) == 0)
        assert len([r for r in desk.host.book.records if r.input.kind != "report"]) == records
    finally:
        pads.unplug()


def test_a_fader_takes_over_where_it_passes_and_its_last_value_arrives(qtbot, desk, name):
    open_live(qtbot, desk, muted=True)
    pads = Pads(name)
    try:
        chord(desk, Qt.Key.Key_F4, SHIFT)
        until(qtbot, desk, lambda: desk.wall.grid_front.pads.ports.opened(f"{name}:pads"))
        learn(qtbot, desk, lambda: desk.wall.controller.grid.choose_how(0), lambda: pads.send(0xB0, 7, 0))
        chord(desk, Qt.Key.Key_F4, SHIFT)
        desk.wall.controller.choose_layer("sea", "on")

        def low() -> bool:
            pads.send(0xB0, 7, 20)
            return "opacity is at 100 %, the fader is at 16 %" in desk.wall.said.words

        until(qtbot, desk, low)
        assert opacity(desk) == []
        pads.send(0xB0, 7, 127)
        began = time.monotonic()

        def glide() -> None:
            for value in range(16383, 5000, -40):
                pads.send(0xB0, 7, value >> 7)
                pads.send(0xB0, 39, value & 127)
                time.sleep(0.002)  # a hand, not a wait for anything
            rests()

        def rests() -> None:
            pads.send(0xB0, 7, 5000 >> 7)
            pads.send(0xB0, 39, 5000 & 127)

        hand = threading.Thread(target=glide)
        hand.start()
        last, asked_s = round(5000 / 16383, 4), time.monotonic() + 5

        def arrived() -> bool:
            """The hand trembles where nothing comes of it: on a machine that is too busy JACK loses some."""
            nonlocal asked_s
            if not hand.is_alive() and time.monotonic() - asked_s > 3:
                asked_s = time.monotonic()
                rests()
            return opacity(desk)[-1:] == [last]

        until(qtbot, desk, arrived)
        spent_s = time.monotonic() - began
        hand.join()
        played = opacity(desk)
        assert len(played) <= spent_s * A_SECOND + 2
        assert len(played) > 5
        assert max(a - b for a, b in pairwise(played)) < 0.5
    finally:
        pads.unplug()


def test_a_pad_is_listed_taken_out_and_its_lights_are_set(qtbot, desk, name, tmp_path):
    desk.frame()
    chord(desk, Qt.Key.Key_F4, CTRL | SHIFT)
    assert "no pad is bound yet" in desk.wall.said.words
    learning = desk.wall.controller.grid.learning
    from showcaller.desk.pads.bindings import bind
    from showcaller.desk.pads.control import Control

    learning._keep(bind({}, name, Control("note", 1, 36), "tile 1"))
    for text, left in (("on 100 next 30", 1), ("on 200", 1), ("9", 1), ("1", 0)):
        desk.prompt.leave()
        chord(desk, Qt.Key.Key_F4, CTRL | SHIFT)
        qtbot.keyClicks(desk.prompt._edit, text)
        qtbot.keyClick(desk.prompt._edit, Qt.Key.Key_Return)
        kept = read_controllers(tmp_path / "controllers.json")
        assert len(kept) == left
        if text == "on 100 next 30":
            assert kept[name].lights.model_dump() == {"on": 100, "next": 30, "off": 0}
