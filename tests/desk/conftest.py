"""A desk on a small show, with a real engine and a real receiver behind it."""

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import answer, press
from devices import end_engines
from small_shows import desk_show

from showcaller.archive.tour import Tour
from showcaller.desk.app import application
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow


@pytest.fixture(scope="session")
def qapp():
    """Qt with the desk's typeface."""
    return application()


@pytest.fixture
def receiver() -> Iterator[socket.socket]:
    """A UDP socket that keeps what it gets."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(5)
        yield sock


@pytest.fixture
def keys() -> Keys:
    """The desk's."""
    return Keys()


@pytest.fixture
def desk(qtbot, tmp_path: Path, receiver: socket.socket, keys: Keys) -> Iterator[DeskWindow]:
    """A window; whatever engine it started ends with the test."""
    tour = Tour.create(tmp_path / "t.tour", "Small")
    window = DeskWindow(desk_show(receiver.getsockname()[1]), tour, tmp_path / "runs", keys)
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    yield window
    window.stop()
    window.host.close()
    end_engines(tmp_path / "runs")


@pytest.fixture
def live(qtbot, desk):
    """The desk with a run open."""
    press(desk, "r")
    answer(qtbot, desk, "Ines")
    answer(qtbot, desk, "live")
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    return desk
