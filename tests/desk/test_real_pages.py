"""Pages read aloud as a person reads them: a window on a real X screen, the desk and the engine killed."""

import os
import signal
import time
from pathlib import Path

import pytest
from devices import end_engines, wait_until
from small_shows import desk_show
from test_real_window import Person, open_desk, phase

from showcaller.engine.launch import open_runs
from showcaller.engine.runfile import read_run
from showcaller.model import write_show
from showcaller.run import events as ev

pytestmark = pytest.mark.system

PAGES = [
    {"id": "doors", "name": "House open", "reader": "Caller", "lines": [{"says": "The house is open."}]},
    {"id": "stop", "name": "Show stop", "kind": "show stop", "reader": "Caller",
     "lines": [{"says": "Hold, please."}, {"says": "Are you all well?"}]},
]  # fmt: skip


def told(folder: Path, kind: type[ev.Entry]) -> list[ev.Entry]:
    return [e for r in read_run(folder / "journal").records for e in r.events if isinstance(e, kind)]


def test_a_page_is_opened_and_ticked_both_are_killed_and_the_new_desk_goes_on_with_it(
    tmp_path, screen, oscdump
):
    port, device = oscdump("udp")
    path = tmp_path / "small.json"
    write_show(desk_show(port).changed(pages=PAGES), path)
    person, log, runs = Person(screen), tmp_path / "desk.log", tmp_path / "small.runs"
    desk = open_desk(path, screen, log)
    try:
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("r")
        person.types("Ines")
        person.types("LIVE")
        assert wait_until(lambda: bool(open_runs(runs)))
        folder = open_runs(runs)[0]
        assert wait_until(lambda: phase(folder) == "running"), log.read_text()
        time.sleep(0.3)
        person.press("F11", "Down", "Return")
        assert wait_until(lambda: len(told(folder, ev.PageOpened)) == 1), log.read_text()
        person.holds_down("space", 1.1)  # the keyboard repeats; it is one line all the same
        assert wait_until(lambda: len(told(folder, ev.LineTicked)) == 1)
        person.press("g")  # the box is there, and its key fires, with the page under it
        assert wait_until(lambda: len(told(folder, ev.Fired)) > 0), log.read_text()
        assert wait_until(lambda: "/a" in " ".join(device.lines())), device.lines()
        os.kill(desk.pid, signal.SIGKILL)
        desk.wait()
        end_engines(runs)
        desk = open_desk(path, screen, log)
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("r")
        person.types("resume")
        time.sleep(2)
        person.press("F11", "Return")  # the list begins at the page that is open
        time.sleep(0.5)
        person.press("space")
        assert wait_until(lambda: len(told(folder, ev.LineTicked)) == 2), log.read_text()
        person.press("Delete")
        time.sleep(0.5)
        person.press("Delete")
        assert wait_until(lambda: len(told(folder, ev.PageClosed)) == 1), log.read_text()
    finally:
        desk.kill()
        desk.wait()
        end_engines(runs)
    assert [e.line for e in told(folder, ev.LineTicked)] == [1, 2]
    (closed,) = told(folder, ev.PageClosed)
    assert (closed.page, closed.ticked, closed.lines) == ("stop", 2, 2)
    assert closed.open_s > 3, "its clock went on while nobody was there"
    assert len(told(folder, ev.PageOpened)) == 1
