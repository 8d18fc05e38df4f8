"""The grid of a muted show on a real screen: a real mouse, real keys, and pads at a real MIDI port."""

import json
import subprocess
import uuid
from pathlib import Path

import pytest
from devices import end_engines, program, wait_until
from midi_pads import Pads
from PySide6.QtCore import QPoint
from test_real_window import Person, open_desk
from test_wall_played_for_real import geometry, on_wall, told
from wall_show import wall_show

from showcaller.archive.tour import Tour
from showcaller.desk.areas.wall.grid_layout import grid_layout
from showcaller.desk.areas.wall.layout import wall_layout
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.engine.launch import open_runs
from showcaller.model import write_show
from showcaller.run import events as ev

pytestmark = pytest.mark.system


def where_a_tile_lies(qtbot, tmp_path: Path, size: tuple[int, int], place: int) -> QPoint:
    """In a window of this size, a show being on: the middle of a place of the grid, px of the window."""
    wall = wall_show().wall
    assert wall is not None
    window = DeskWindow(
        wall_show(), Tour.create(tmp_path / "like.tour", "Like"), tmp_path / "like.runs", Keys()
    )
    window.resize(*size)
    window.show()
    qtbot.waitExposed(window)
    window.show_area("Wall")
    area, k = window.wall, window.wall.scale()
    # In a show the menu bar is hidden, and the line to call stands at the foot instead.
    window.menus.bar.hide()
    window.now_bar.show()
    qtbot.wait(1)
    foot = wall_layout(area.width(), area.height(), k, wall, live=True).foot
    tiles = grid_layout(foot.width(), foot.height(), k, wall.width_m / wall.height_m)
    found = area.mapTo(window, foot.topLeft() + tiles.touched[place].center().toPoint())
    window.stop()
    window.host.close()
    window.close()
    return found


def test_a_director_plays_the_grid_by_mouse_letters_pads_and_a_fader(qtbot, tmp_path, jack, screen):
    name, path = f"pads{uuid.uuid4().hex[:8]}", tmp_path / "small.json"
    write_show(wall_show(), path)
    settings = Path(screen["XDG_CONFIG_HOME"]) / "showcaller"
    settings.mkdir(parents=True)
    bound = [
        {"message": "note", "channel": 1, "number": 36, "does": "tile 2"},
        {"message": "note", "channel": 1, "number": 37, "does": "tile 3"},
        {"message": "control", "channel": 1, "number": 7, "does": "opacity"},
    ]
    kept = {f"{name}:pads": {"lights": {"on": 100, "next": 30}, "bound": bound}}
    (settings / "controllers.json").write_text(json.dumps(kept))
    person, log, pads = Person(screen), tmp_path / "desk.log", Pads(name)
    desk = open_desk(path, screen, log)
    try:
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("r")
        person.types("Ines")
        person.types("MUTED")
        person.press("Return")  # in real time, without a simulated crew
        assert wait_until(lambda: bool(open_runs(tmp_path / "small.runs")), 20), log.read_text()
        folder = open_runs(tmp_path / "small.runs")[0]
        assert wait_until(lambda: any(isinstance(e, ev.RunStarted) for e in told(folder)), 20)
        person.press("g")
        assert wait_until(lambda: any(isinstance(e, ev.LookShown) for e in told(folder)), 10), log.read_text()
        person.press("ctrl+shift+p")
        person.types("director's seat")
        person.press("F4", "e")
        assert wait_until(lambda: on_wall(folder).shown.look == "faces", 10), log.read_text()
        assert wait_until(lambda: pads.light(37) == 100, 10)

        search = [program("xdotool"), "search", "--onlyvisible", "--name", "showcaller"]
        done = subprocess.run(search, env=screen, capture_output=True, text=True, check=True, timeout=20)
        window = done.stdout.split()[0]
        at = where_a_tile_lies(qtbot, tmp_path, geometry(window, screen), 3)
        move = [program("xdotool"), "mousemove", "--sync", "--window", window, str(at.x()), str(at.y())]
        subprocess.run([*move, "click", "1"], env=screen, check=True, timeout=20)
        assert wait_until(lambda: on_wall(folder).shown.look == "one", 10), log.read_text()

        def hit() -> bool:
            pads.hit(36)  # again, should a busy JACK lose it
            return wait_until(lambda: on_wall(folder).shown.look == "wide", 2)

        assert wait_until(hit, 10), log.read_text()
        # “Wide” is on before its cue, so what the plan has after it is next: “Faces”.
        assert wait_until(lambda: (pads.light(36), pads.light(37)) == (100, 30), 10)
        person.press("ctrl+Up", "ctrl+Up")  # the layer in front
        last = round(40 / 127, 4)

        def pulled() -> bool:
            for value in (127, 90, 61, 40):
                pads.send(0xB0, 7, value)
            return wait_until(lambda: on_wall(folder).played.get("cam-1", {}).get("opacity") == last, 2)

        assert wait_until(pulled, 10), told(folder)[-3:]
        assert {e.cue for e in told(folder) if isinstance(e, ev.LookShown)} == {"v1", None}, (
            "by hand, all but the go"
        )
        assert [e.cue for e in told(folder) if isinstance(e, ev.Fired)] == ["v1"]
    finally:
        pads.unplug()
        desk.kill()
        desk.wait()
        end_engines(tmp_path / "small.runs")
