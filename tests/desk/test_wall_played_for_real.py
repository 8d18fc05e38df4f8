"""The wall of a live show played on a real screen by a real mouse, the engine killed in the middle."""

import os
import signal
import subprocess
import time
from pathlib import Path

import pytest
from devices import end_engines, program, wait_until
from PySide6.QtCore import QPoint
from test_real_window import Person, open_desk
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.areas.wall.layout import wall_layout
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.engine.journal import JournalError
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.protocol import read_endpoint
from showcaller.engine.runfile import RunFileError, read_run
from showcaller.model import write_show
from showcaller.run import events as ev
from showcaller.run.events import Event
from showcaller.run.playing import seen
from showcaller.run.state import OnWall, Place, RunState

pytestmark = pytest.mark.system


class Mouse:
    """A hand on a real mouse; places are metres on the wall of :func:`wall_show`."""

    def __init__(self, env: dict[str, str], window: str, corner: QPoint, size: tuple[int, int]) -> None:
        self._env, self._window = env, window
        self._corner, self._size = corner, size

    def _do(self, *args: str) -> None:
        subprocess.run([program("xdotool"), *args], env=self._env, check=True, timeout=20)

    def at(self, x_m: float, y_m: float) -> None:
        x = self._corner.x() + round(x_m / 40 * self._size[0])
        y = self._corner.y() + round((1 - y_m / 10) * self._size[1])
        self._do("mousemove", "--sync", "--window", self._window, str(x), str(y))

    def drags(self, start: tuple[float, float], end: tuple[float, float], steps: int = 40) -> None:
        self.at(*start)
        self._do("mousedown", "1")
        for n in range(1, steps + 1):
            self.at(*(a + (b - a) * n / steps for a, b in zip(start, end, strict=True)))
        self._do("mouseup", "1")

    def turns_wheel(self, notches: int) -> None:
        self._do("click", "--repeat", str(abs(notches)), "--delay", "30", "4" if notches > 0 else "5")


def told(folder: Path) -> list[Event]:
    try:
        return [e for r in read_run(folder / "journal").records for e in r.events]
    except (JournalError, RunFileError):
        return []


def on_wall(folder: Path) -> OnWall:
    on = seen(RunState("running", Place(0, 0), 0, None, ()), told(folder)).on_wall
    assert on is not None
    return on


def where_the_wall_lies(qtbot, tmp_path: Path, size: tuple[int, int]) -> tuple[QPoint, tuple[int, int]]:
    """In a window of this size, a show being on: the wall's upper left corner, and its size in px."""
    tour = Tour.create(tmp_path / "like.tour", "Like")
    window = DeskWindow(wall_show(), tour, tmp_path / "like.runs", Keys())
    window.resize(*size)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    window.frame()
    area, wall = window.wall, wall_show().wall
    assert wall is not None
    at = wall_layout(area.width(), area.height(), area.scale(), wall, live=True).screen
    found = area.mapTo(window, at.topLeft()), (at.width(), at.height())
    window.stop()
    window.host.close()
    window.close()
    return found


def geometry(window: str, env: dict[str, str]) -> tuple[int, int]:
    args = [program("xdotool"), "getwindowgeometry", "--shell", window]
    text = subprocess.run(args, env=env, capture_output=True, text=True, check=True, timeout=20).stdout
    facts = dict(line.split("=") for line in text.split())
    return int(facts["WIDTH"]), int(facts["HEIGHT"])


def test_a_director_drags_and_fades_and_a_killed_engine_goes_on_with_it(qtbot, tmp_path, screen, oscdump):
    port, device = oscdump("udp")
    path = tmp_path / "small.json"
    write_show(wall_show(port), path)
    person, log = Person(screen), tmp_path / "desk.log"
    desk = open_desk(path, screen, log)
    try:
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        search = [program("xdotool"), "search", "--onlyvisible", "--name", "showcaller"]
        done = subprocess.run(search, env=screen, capture_output=True, text=True, check=True, timeout=20)
        window = done.stdout.split()[0]
        person.press("r")
        person.types("Ines")
        person.types("LIVE")
        assert wait_until(lambda: bool(open_runs(tmp_path / "small.runs")), 20)
        folder = open_runs(tmp_path / "small.runs")[0]
        assert wait_until(lambda: any(isinstance(e, ev.RunStarted) for e in told(folder)), 20)
        person.press("g")
        assert wait_until(lambda: any(isinstance(e, ev.LookShown) for e in told(folder)), 10), log.read_text()
        person.press("ctrl+2", "ctrl+t")  # the Wall; a look by hand
        person.types("wide")
        assert wait_until(lambda: on_wall(folder).shown.look == "wide", 10), log.read_text()

        mouse = Mouse(screen, window, *where_the_wall_lies(qtbot, tmp_path, geometry(window, screen)))
        began = time.monotonic()
        mouse.drags((20, 5), (30, 4))
        spent_s = time.monotonic() - began
        assert wait_until(lambda: "left_m" in on_wall(folder).played.get("cam-1", {}), 10), log.read_text()
        time.sleep(0.3)
        place = on_wall(folder).played["cam-1"]
        assert place["left_m"] == pytest.approx(25, abs=0.4)
        assert place["bottom_m"] == pytest.approx(1, abs=0.4)
        moves = [e for e in told(folder) if isinstance(e, ev.LayerPlayed)]
        assert 3 < len(moves) <= spent_s * 25 + 2

        endpoint = read_endpoint(folder)
        assert endpoint is not None
        os.kill(endpoint["pid"], signal.SIGKILL)
        assert wait_until(lambda: any(isinstance(e, ev.EngineBack) for e in told(folder)), 20), (
            log.read_text()
        )
        assert on_wall(folder).played["cam-1"] == place
        mouse.turns_wheel(-8)  # over the layer that was dragged, where the mouse still is
        assert wait_until(lambda: on_wall(folder).played["cam-1"].get("opacity") == 0.6, 10), on_wall(folder)
        person.press("ctrl+shift+h")
        assert wait_until(lambda: on_wall(folder).played["cam-1"].get("hidden"), 10)
        # What the device heard last of every input is where the layer is: nowhere.
        assert wait_until(lambda: last_heard(device) == {f"/in-{x}/2": (0, 0) for x in "abcd"}, 10)
        person.press("ctrl+Home")
        assert wait_until(lambda: on_wall(folder).shown.to_plan, 10), on_wall(folder)
        assert on_wall(folder).shown.look == "sea"
        person.press("ctrl+3", "ctrl+e")
        person.types("END")
        assert wait_until(lambda: not engine_lives(folder), 15)
    finally:
        desk.kill()
        desk.wait()
        end_engines(tmp_path / "small.runs")


def last_heard(device) -> dict[str, tuple[int, int]]:
    """Address → the last (x, width) that was heard, of the layer in front."""
    found: dict[str, tuple[int, int]] = {}
    for line in device.lines():
        _, address, _, *args = line.split(" ")
        if address.endswith("/2"):
            found[address] = int(args[-2]), int(args[-1])
    return found
