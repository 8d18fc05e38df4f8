"""A desk on a small show with a wall, and what its processor hears."""

import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from devices import end_engines
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow


@pytest.fixture
def processor() -> Iterator[socket.socket]:
    """What the wall's processor hears."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(5)
        yield sock


@pytest.fixture
def desk(qtbot, tmp_path: Path, processor: socket.socket) -> Iterator[DeskWindow]:
    """A window on a show with a wall, the wall area in front."""
    tour = Tour.create(tmp_path / "t.tour", "Small")
    keys = Keys()
    window = DeskWindow(wall_show(processor.getsockname()[1]), tour, tmp_path / "runs", keys)
    window.resize(1280, 720)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    yield window
    window.stop()
    window.host.close()
    end_engines(tmp_path / "runs")
