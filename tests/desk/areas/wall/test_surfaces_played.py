"""Side screens and a banner at the desk: layers taken there, put on and off, played in a show."""

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import chord, events
from devices import end_engines
from PySide6.QtCore import QPointF, Qt
from PySide6.QtTest import QTest
from pythonosc.osc_message import OscMessage as Parsed
from surface_show import surface_show
from wall_desk import open_live, seek

from showcaller.archive.tour import Tour
from showcaller.desk.areas.wall import look_changes as changes
from showcaller.desk.areas.wall.look_changes import LayerPlace
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.editing import ChangeError, apply
from showcaller.model import Crop, Override, Show
from showcaller.run import commands as c
from showcaller.screen.faults import Panel

SHOW = surface_show()
LEFT = LayerPlace("gulls", "v2", "wide", "cam-1", "left")


@pytest.fixture
def desk(qtbot, tmp_path: Path, processor: socket.socket) -> Iterator[DeskWindow]:
    tour = Tour.create(tmp_path / "t.tour", "Small")
    show = surface_show(processor.getsockname()[1])
    window = DeskWindow(show, tour, tmp_path / "runs", Keys())
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    yield window
    window.stop()
    window.host.close()
    end_engines(tmp_path / "runs")


def at(desk: DeskWindow, surface: str, x_m: float, y_m: float) -> QPointF:
    """A place on a surface, px of the picture."""
    area, screen = desk.wall.screen_.area(surface), desk.wall.screen_
    assert screen.scene is not None
    of = next(s for s in screen.scene.show.surfaces if s.id == surface)
    across, down = area.width() / of.width_m, area.height() / of.height_m
    return QPointF(area.x() + x_m * across, area.bottom() - y_m * down)


def drag(desk: DeskWindow, surface: str, start: tuple[float, float], end: tuple[float, float]) -> None:
    a, b = at(desk, surface, *start).toPoint(), at(desk, surface, *end).toPoint()
    QTest.mousePress(desk.wall.screen_, Qt.MouseButton.LeftButton, pos=a)
    for n in range(1, 6):
        QTest.mouseMove(desk.wall.screen_, a + (b - a) * n / 5)
        desk.frame()
    QTest.mouseRelease(desk.wall.screen_, Qt.MouseButton.LeftButton, pos=b)
    desk.frame()


def test_a_place_is_taken_where_it_is_seen_and_played_on_its_own_surface(
    qtbot, desk: DeskWindow, processor: socket.socket
) -> None:
    seek(desk, 25.0)
    state = desk.wall.state
    assert state.view is not None
    assert [(r.name, r.more.split(" · ")[0], r.cost) for r in state.view.rows] == [
        ("Gate camera", "Side right", "1 ch"), ("Gate camera", "Side left", "1 ch"),
        ("Gate camera", "Main wall: B, C", "2 ch"), ("Sea", "Main wall: all inputs", "direct")]  # fmt: skip
    assert [(u.name, u.used, u.limit) for u in state.view.uses] == [("Main wall", 2, 6), ("Rack 2", 2, 2)]
    state.everywhere.add(("wide", "gulls", "v2"))
    drag(desk, "left", (3, 3), (3, 4.5))
    assert (state.chosen, state.surface) == ("cam-1@left", "left")
    places = desk.store.show_now.looks[1].layers[1]
    assert places.also[0].bottom_m == pytest.approx(2.5, abs=0.15)
    assert (places.bottom_m, places.also[1].bottom_m) == (2, 1)
    assert {f.key: f.text for f in state.fields}["surfaces"] == "Main wall, Side left, Side right"
    desk.wall.controller.edits.layer.type_into("surfaces", "side right, Banner")
    desk.frame()
    made = desk.store.show_now.looks[1].layers[1]
    assert (made.surface, [p.surface for p in made.also], made.flip) == ("right", ["banner"], "across")
    desk.store.undo()
    desk.frame()

    open_live(qtbot, desk)
    session = desk.host.session
    assert session is not None
    session.send(c.PutLook(look="wide"))
    qtbot.waitUntil(lambda: bool(desk.host.book.looks) and desk.host.book.looks[-1].look == "wide")
    desk.frame()
    drag(desk, "right", (3, 3), (4.5, 3))

    def all_in() -> bool:
        desk.frame()
        return not state.hand.ahead

    qtbot.waitUntil(all_in)
    told = events(desk, "layer_played")[-1]
    assert (told.layer, set(told.fields)) == ("cam-1@right", {"left_m", "bottom_m", "width_m", "height_m"})
    assert told.fields["left_m"] == pytest.approx(1.5, abs=0.15)
    got = [Parsed(processor.recv(2000)).address for _ in range(14)]
    assert "/right-in/2" in got[4:12], "with the look"
    assert got[12:], "and while it is played"
    desk.wall.controller.dragging.fade(-2)  # the whole layer's, in all its places
    qtbot.waitUntil(all_in)
    told = events(desk, "layer_played")[-1]
    assert (told.layer, told.fields) == ("cam-1", {"opacity": 0.9})
    desk.wall.perform("hide")
    qtbot.waitUntil(all_in)
    desk.frame()
    assert state.view is not None
    assert [r.key for r in state.view.rows if "out, by hand" in r.more] == ["cam-1@right"]
    assert state.scene is not None
    assert "Gate camera moved" in state.scene.away

    desk.wall.screen_.hover = at(desk, "left", 1.5, 5.5)  # 6 × 8 panels of a metre: B3
    state.panel = 2
    chord(desk, Qt.Key.Key_F7)
    qtbot.waitUntil(lambda: desk.host.book.state.faults == {Panel(2, 3, "left"): "dead"})
    desk.frame()
    desk.grab()
    assert desk.wall.faults.list.model().index(0, 0).data() == "Side left B3"
    marked = events(desk, "fault")[-1]
    assert (marked.surface, marked.panels, marked.item) == ("left", ((2, 3),), "gulls")


def done(show: Show, change: object) -> Show:
    return apply(show, change)[0]  # type: ignore[arg-type]


def test_what_is_a_places_own_goes_there_and_the_rest_to_the_layer() -> None:
    change = SHOW.items[0].cues[1].look
    made = done(SHOW, changes.set_layer(SHOW, LEFT, change, {"left_m": 1, "opacity": 0.5})).looks[1].layers[1]
    assert (made.left_m, made.also[0].left_m, made.also[1].left_m, made.opacity) == (15, 1, 0, 0.5)
    off = done(SHOW, changes.take_layer(SHOW, "wide", "cam-1", "left")).looks[1].layers[1]
    assert [p.surface for p in off.also] == ["right"]


def test_a_place_is_otherwise_or_hidden_in_one_cue_only() -> None:
    change = SHOW.items[0].cues[1].look
    assert change is not None
    layer = SHOW.looks[1].layers[1].changed(left_m=0, bottom_m=1, width_m=6, height_m=4)
    here, key = changes.here_only(SHOW, LEFT, change, layer)
    there = done(SHOW, here).items[0].cues[1].look
    assert there is not None
    assert key == "cam-1@left"
    assert there.overrides == (
        Override(layer="cam-1", surface="left", left_m=0, bottom_m=1, width_m=6, height_m=4),
    )
    moved = done(done(SHOW, here), changes.set_layer(done(SHOW, here), LEFT, there, {"left_m": 2}))
    assert moved.looks == SHOW.looks
    assert moved.items[0].cues[1].look.overrides[0].left_m == 2
    back, _ = changes.here_only(moved, LEFT, moved.items[0].cues[1].look, layer)
    assert done(moved, back) == SHOW
    gone = done(SHOW, changes.hide_here(LEFT, change, "cam-1")).items[0].cues[1].look
    assert gone.overrides == (Override(layer="cam-1", surface="left", hidden=True),)


def test_a_layer_that_is_put_on_a_surface_fills_it_undistorted() -> None:
    place = LayerPlace("gulls", "v2", "wide", "cam-1")
    made = done(SHOW, changes.set_surfaces(SHOW, place, "Main, side LEFT, banner")).looks[1].layers[1]
    assert (made.surface, made.left_m, [p.surface for p in made.also]) == (None, 15, ["left", "banner"])
    assert made.also[0].left_m == 0, "where it was it stays"
    banner = made.also[1]
    # 1920 × 1080 on 40 × 2 m: of its height (16:9 → 22.5 m at 40 m) a part of 2/22.5 is left.
    assert (banner.width_m, banner.height_m) == (40, 2)
    assert banner.crop == Crop(top=round((1 - 2 / 22.5) / 2, 4), bottom=round((1 - 2 / 22.5) / 2, 4))
    with pytest.raises(ChangeError, match="no surface is called 'roof'; there are Main wall, Side left"):
        changes.set_surfaces(SHOW, place, "main, roof")
    with pytest.raises(ChangeError, match="on one surface at least"):
        changes.set_surfaces(SHOW, place, " , ")


def test_what_stands_between_the_pictures_is_written_anew_only_where_it_is_another(desk: DeskWindow) -> None:
    between, state, keys = desk.wall._between, desk.wall.state, desk.wall._around.keys
    counted = desk.wall.projector.counters()
    desk.frame()

    def another(now_s: float) -> bool:
        return between.look(state, keys, counted, "", now_s)

    another(10.0)
    assert not another(10.1)
    desk.wall.controller.typing.type_setup("input.left-in@left", "Port: 300 x 400 px at 0, 0")
    desk.frame()
    assert "Port" in [i.name for i in state.scene.surface(None, "left").inputs]
    assert not another(10.2), "the desk has told of it already"
    seek(desk, 25.0)
    assert between.status.startswith("Main wall 40 × 10 m, 4 surfaces")
    assert not another(10.3)
