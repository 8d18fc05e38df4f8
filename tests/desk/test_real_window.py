"""The program as a person runs it: a window on a real X screen, real key events, the plug pulled."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from devices import Dump, end_engines, program, wait_until
from small_shows import desk_show

from showcaller.engine.journal import JournalError
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.runfile import RunFileError, read_run
from showcaller.model import read_show, write_show
from showcaller.run import events as ev

pytestmark = pytest.mark.system


class Person:
    """Somebody at the keyboard."""

    def __init__(self, env: dict[str, str]) -> None:
        self._env = env
        self._xdotool = program("xdotool")

    def sees_window(self, title: str) -> bool:
        args = [self._xdotool, "search", "--onlyvisible", "--name", title]
        found = subprocess.run(
            args, env=self._env, capture_output=True, text=True, check=False
        ).stdout.split()
        if found:
            focus = [self._xdotool, "windowfocus", "--sync", found[0]]
            subprocess.run(focus, env=self._env, check=False, timeout=10)
        return bool(found)

    def press(self, *keys: str) -> None:
        subprocess.run([self._xdotool, "key", "--delay", "60", *keys], env=self._env, check=True, timeout=20)

    def holds_down(self, key: str, seconds: float) -> None:
        subprocess.run([self._xdotool, "keydown", key], env=self._env, check=True, timeout=20)
        time.sleep(seconds)
        subprocess.run([self._xdotool, "keyup", key], env=self._env, check=True, timeout=20)

    def types(self, text: str) -> None:
        subprocess.run([self._xdotool, "type", "--delay", "40", text], env=self._env, check=True, timeout=20)
        self.press("Return")


def open_desk(show_path: Path, env: dict[str, str], log: Path) -> subprocess.Popen[bytes]:
    with log.open("ab") as out:
        args = [sys.executable, "-m", "showcaller", "desk", str(show_path)]
        return subprocess.Popen(args, env=env, stdout=out, stderr=out)


def test_a_show_is_called_by_keys_the_desk_is_killed_and_a_new_one_goes_on(tmp_path, screen, oscdump):
    port, device = oscdump("udp")
    show_path = tmp_path / "small.json"
    write_show(desk_show(port), show_path)
    person = Person(screen)
    log = tmp_path / "desk.log"
    desk = open_desk(show_path, screen, log)
    try:
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("g", "g", "s")  # nothing is open: nothing may happen
        person.press("r")
        person.types("Ines")
        person.types("LIVE")
        assert wait_until(lambda: bool(open_runs(tmp_path / "small.runs")))
        folder = open_runs(tmp_path / "small.runs")[0]
        assert wait_until(lambda: phase(folder) == "running"), log.read_text()
        assert heard(device) == []
        person.press("s")
        person.press("a")
        person.holds_down("g", 1.1)  # the keyboard repeats; it is one go all the same
        assert wait_until(lambda: heard(device) == ["/a"]), log.read_text()
        time.sleep(0.5)  # a hand needs its time between two goes; nearer ones are one
        person.press("g")  # ten seconds early: asked for again
        time.sleep(0.5)
        person.press("g")
        os.kill(desk.pid, signal.SIGKILL)
        desk.wait()
        # The follow-on comes without any desk.
        assert wait_until(lambda: heard(device) == ["/a", "/b", "/c"]), log.read_text()
        assert engine_lives(folder)
        desk = open_desk(show_path, screen, log)
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("r")
        person.types("resume")
        time.sleep(0.5)
        person.press("1")
        time.sleep(0.5)  # a clearance is given by two deliberate presses
        person.press("1")
        person.press("g")
        time.sleep(0.5)
        person.press("g")
        time.sleep(0.5)
        person.press("u")
        assert wait_until(lambda: heard(device)[-1] == "/m"), log.read_text()
        person.press("ctrl+e")
        person.types("END")
        assert wait_until(lambda: not engine_lives(folder), 15)
        assert wait_until((folder / "in-the-tour").exists, 15)
    finally:
        desk.kill()
        desk.wait()
        end_engines(tmp_path / "small.runs")
    run = read_run(folder / "journal")
    assert [e.cue for r in run.records for e in r.events if isinstance(e, ev.Fired)] == ["a", "b", "c", "m"]


def test_one_escape_leaves_the_menu_and_the_next_key_is_the_desks(tmp_path, screen):
    show_path, log = tmp_path / "small.json", tmp_path / "desk.log"
    write_show(desk_show(9), show_path)
    person = Person(screen)
    desk = open_desk(show_path, screen, log)
    try:
        assert wait_until(lambda: person.sees_window("showcaller"), 20), log.read_text()
        person.press("ctrl+1", "F10", "Escape")
        time.sleep(0.3)  # a hand's own time to the next key
        person.press("ctrl+shift+n")
        person.types("Tideline 3:00")
        assert wait_until(lambda: "Tideline" in [i.name for i in read_show(show_path).items]), log.read_text()
    finally:
        desk.kill()
        desk.wait()
        end_engines(tmp_path / "small.runs")


def phase(folder: Path) -> str:
    try:
        records = read_run(folder / "journal").records
    except (JournalError, RunFileError):
        return "opening"  # the engine has only just made the file
    return "running" if any(isinstance(e, ev.RunStarted) for r in records for e in r.events) else "idle"


def heard(device: Dump) -> list[str]:
    return [line.split(" ")[1] for line in device.lines()]
