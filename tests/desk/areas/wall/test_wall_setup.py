"""The wall's form at the desk: typed into, a file read in the background, a lost one red on its card."""

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
from burned import make_recording
from PySide6.QtCore import QPoint, Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.editing.keeping import Keeper
from showcaller.model import write_show


@pytest.fixture
def desk(qtbot, tmp_path: Path):
    write_show(wall_show(), tmp_path / "show.json")
    keeper = Keeper(tmp_path / "show.json")
    tour = Tour.create(tmp_path / "t.tour", "Small")
    window = DeskWindow(keeper.show, tour, tmp_path / "runs", Keys(), keeper=keeper)
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    yield window
    window.stop()
    window.host.close()
    keeper.close()


def type_into(desk: DeskWindow, key: str, text: str) -> None:
    """Click a line of the form, type, Enter."""
    panel = desk.wall.setup
    box = panel.value_box(key)
    assert box is not None
    at = box.center().toPoint() - panel.pos() - panel.lines.pos()
    QTest.mouseClick(panel.lines.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(at.x(), at.y()))
    line = QApplication.focusWidget()
    assert line is not None
    QTest.keyClicks(line, text)
    QTest.keyClick(line, Qt.Key.Key_Return)


def test_a_director_resizes_and_gives_a_source_its_file(qtbot, desk: DeskWindow, tmp_path: Path) -> None:
    tone = np.sin(2 * np.pi * 1000 * np.arange(96_000) / 48_000).astype(np.float32) * 10 ** (-23 / 20)
    make_recording(tmp_path / "sea.mp4", 50, Fraction(25), sound=tone)
    desk.wall.perform("setup")
    desk.frame()
    assert desk.wall.setup.isVisible()
    type_into(desk, "wall.size", "130 ft x 32'6\"")
    wall = desk.store.show_now.wall
    assert wall is not None
    assert (wall.width_m, wall.height_m) == (39.624, 9.906)
    type_into(desk, "lengths", "feet")
    desk.frame()
    assert "130' × 32'6\"" in desk.wall.state.view.facts
    type_into(desk, "surface+", "Side: 20 x 26 ft, 300 x 400 px, 2 channels, left")
    assert desk.wall.screen_.scene is desk.wall.state.scene  # the inputs' names stand under it at once
    desk.frame()
    side = desk.store.show_now.surfaces[1]
    assert (side.name, side.width_m) == ("Side", 6.096)
    assert desk.wall.screen_.area(side.id).right() < desk.wall.screen_.area("main").x()
    assert len(desk.wall.state.view.pools) == 2
    type_into(desk, "wall.name@side", "Wing")
    desk.frame()
    assert desk.store.show_now.surfaces[1].name == "Wing"
    type_into(desk, "file.sea", "sea.mp4")
    qtbot.waitUntil(lambda: desk.store.show_now.sources[3].read is not None)
    sea = desk.store.show_now.sources[3]
    assert sea.read is not None
    assert (sea.width_px, sea.height_px) == (sea.read.width_px, sea.read.height_px)
    # Behind it how loud it is: -23 dBFS on one channel alone, so 3 LU under the same on two.
    qtbot.waitUntil(lambda: desk.store.show_now.sources[3].read.loudness_lufs is not None)
    assert desk.store.show_now.sources[3].read.loudness_words.startswith("−26.")
    edits = desk.wall.controller.edits.layer
    assert [edits.undo(), edits.undo()] == ["how loud Sea is", "what the file of Sea says"]
    assert [edits.redo(), edits.redo()] == ["what the file of Sea says", "how loud Sea is"]
    # It is not of the inputs' pixels any more: it cannot go direct, and says why.
    controller = desk.wall.controller
    controller.choose_layer("sea")
    assert "it gives A" in str(
        controller.attempt(lambda: controller.edits.layer.type_into("straight", "yes"))
    )
    for name in ("front row", "desk", "last row", "side", None):
        desk.wall.perform("seats")
        desk.frame()
        desk.grab()
        seat = desk.wall.screen_.seat
        assert (None if seat is None else seat.name) == name
        assert name is None or name in desk.wall.state.seat_words
    (tmp_path / "sea.mp4").unlink()
    desk.wall.controller.turn_to(0)

    def red() -> bool:
        desk.frame()
        return desk.wall.projector.troubles == {"sea": "no file sea.mp4"}

    # Files are looked at every ten seconds, and when a source is another.
    desk.wall.controller.typing.type_setup("grade.sea", "gamma 1.1")
    desk.wall.controller.transport.move(0.1)
    qtbot.waitUntil(red)
    desk.frame()
    assert "no file sea.mp4" in desk.wall.channels.accessibleDescription()
