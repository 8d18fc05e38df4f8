"""What a stage manager logs in the dark, by real keys: a leg that is not clear, an incident, the last note.

The desk is killed in mid-word."""

import os
import signal
import time
from pathlib import Path

import pytest
from devices import end_engines, wait_until
from small_shows import desk_show
from test_real_window import Person, open_desk, phase

from showcaller.engine.journal import JournalError
from showcaller.engine.launch import open_runs
from showcaller.engine.runfile import RunFileError, read_run
from showcaller.model import write_show
from showcaller.run import events as ev

pytestmark = pytest.mark.system

LANE = {"id": "lane", "kind": "yes", "name": "Lane clear", "position": "Crowd safety"}
ROUTE = {"id": "way", "name": "B stage", "legs": [
    {"name": "Lane", "length_m": 40, "clearances": ["lane"], "posted": "Ada at the gate", "radio": "4"},
]}  # fmt: skip


def walking_show(port):
    show = desk_show(port)
    walk = {"kind": "walk-on", "id": "w", "name": "Walk to the B stage", "length_s": 90, "route": "way"}
    clearances = [*(c.model_dump(mode="json") for c in show.clearances), LANE]
    items = [walk, *(i.model_dump(mode="json") for i in show.items)]
    return show.changed(items=items, routes=[ROUTE], clearances=clearances)


def told(folder: Path, kind: type[ev.Entry]) -> list[ev.Entry]:
    try:
        records = read_run(folder / "journal").records
    except (JournalError, RunFileError):
        return []  # caught while it is being written
    return [e for r in records for e in r.events if isinstance(e, kind)]


def test_a_leg_an_incident_and_the_last_note_are_logged_at_the_press_and_a_killed_desk_loses_no_word(
    tmp_path, screen, oscdump
):
    port, _device = oscdump("udp")
    path = tmp_path / "small.json"
    write_show(walking_show(port), path)
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
        person.press("l")
        assert wait_until(lambda: len(told(folder, ev.WalkStep)) == 1)
        person.press("l")  # the lane is not clear: asked for before they walk
        assert wait_until(lambda: len(told(folder, ev.WalkStopped)) == 1)
        person.press("Escape")
        time.sleep(0.2)
        assert len(told(folder, ev.WalkStep)) == 1, "they wait"
        person.press("l")
        person.types("Jo Marr")
        person.types("seen empty from the gantry")
        assert wait_until(lambda: len(told(folder, ev.WalkStep)) == 2), log.read_text()
        (note,) = told(folder, ev.NoteTaken)
        assert note.about == "not clear"
        assert note.text.endswith("seen empty from the gantry; let pass by Jo Marr")
        person.press("shift+n")
        assert wait_until(lambda: len(told(folder, ev.IncidentOpened)) == 1)
        person.press(*"near", "space", *"miss", "space", *"riser")
        assert wait_until(
            lambda: any("riser" in e.fields["draft"] for e in told(folder, ev.IncidentWritten))
        ), log.read_text()
        os.kill(desk.pid, signal.SIGKILL)
        desk.wait()
        desk = open_desk(path, screen, log)
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("r")
        person.types("resume")
        time.sleep(1.0)
        person.press("shift+m")
        time.sleep(0.3)
        person.types(" moved")
        assert wait_until(lambda: "kind" in told(folder, ev.IncidentWritten)[-1].fields), log.read_text()
        person.press("g")  # the walk-on's go
        assert wait_until(lambda: len(told(folder, ev.ItemStarted)) == 1), log.read_text()
        person.press("shift+l")
        time.sleep(0.5)
        person.press("shift+l")  # items are to come, so it is asked for again
        assert wait_until(lambda: len(told(folder, ev.MomentMarked)) == 1), log.read_text()
    finally:
        desk.kill()
        desk.wait()
        end_engines(runs)
    fields = told(folder, ev.IncidentWritten)[-1].fields
    assert (fields["kind"], fields["what"]) == ("near miss", "riser moved")
    assert [e.what for e in told(folder, ev.MomentMarked)] == ["last note"]
