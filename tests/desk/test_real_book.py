"""A new show built in a real window under Xvfb by real keys and a real mouse: eighteen songs, ten cues."""

import csv
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from devices import program, wait_until

from showcaller.model import read_show

pytestmark = pytest.mark.system

SONGS = [(f"Harbour song {n + 1}", f"{3 + n % 3}:{n * 3 % 60:02d}") for n in range(18)]


class Person:
    """Somebody with a keyboard and a mouse."""

    def __init__(self, env: dict[str, str]) -> None:
        self._env = env
        self._xdotool = program("xdotool")

    def _do(self, *args: str) -> str:
        done = subprocess.run(
            [self._xdotool, *args], env=self._env, capture_output=True, text=True, timeout=30, check=False
        )
        return done.stdout

    def sees(self, title: str) -> bool:
        found = self._do("search", "--onlyvisible", "--name", title).split()
        if found:
            self._do("windowfocus", "--sync", found[0])
        return bool(found)

    def press(self, *keys: str) -> None:
        self._do("key", "--delay", "60", *keys)

    def types(self, text: str) -> None:
        self._do("type", "--delay", "15", text)

    def double_clicks(self, x: int, y: int) -> None:
        self._do("mousemove", str(x), str(y), "click", "--repeat", "2", "--delay", "60", "1")

    def drags(self, start: tuple[int, int], end: tuple[int, int]) -> None:
        middle = ((start[0] + end[0]) // 2, start[1])
        self._do("mousemove", *map(str, start), "mousedown", "1", "mousemove", *map(str, middle))
        self._do("mousemove", *map(str, end), "mouseup", "1")


def lane(n: int, x: int) -> tuple[int, int]:
    """A point on the n-th of six lanes of the book at 1280×720, below the menu bar and the head."""
    head, top, step = 43 + 26, 132, (720 - 43 - 26 - 132 - 333) / 6
    return x, head + round(top + step * (n + 0.5))


def test_eighteen_songs_and_ten_cues_by_hand_and_nothing_is_lost_by_a_kill(tmp_path: Path, screen):
    sheet = tmp_path / "order.csv"
    with sheet.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([("Song", "Length"), *SONGS])
    path = tmp_path / "harbour.json"
    log = tmp_path / "desk.log"
    person = Person(screen)
    with log.open("wb") as out:
        desk = subprocess.Popen(
            [sys.executable, "-m", "showcaller", "desk", str(path)], env=screen, stdout=out, stderr=out
        )
    try:
        assert wait_until(lambda: person.sees("Harbour"), 30), log.read_text()
        person.press("ctrl+1", "ctrl+i")
        assert wait_until(lambda: person.sees("Import a file")), log.read_text()
        person.types(str(sheet))
        person.press("Return")
        assert wait_until(lambda: not person.sees("Import a file") and person.sees("Harbour"))

        def imported() -> bool:
            person.press("Return")
            return [i.name for i in read_show(path).items] == [name for name, _ in SONGS]

        assert wait_until(imported, 20), log.read_text()
        # The first song gets a tempo, so that it has bars.
        person.press("Escape", "Up", "Up", "Return")
        for _ in range(9):  # down the narrow column, then the wider one
            person.press("Tab")
        person.types("120")
        person.press("Return")
        assert wait_until(lambda: bool(getattr(read_show(path).items[0], "tempo", ()))), log.read_text()
        for n in range(10):
            person.double_clicks(*lane(n % 6, 360 + 88 * n))
            person.types(f"Change {n + 1}")
            person.press("Return")
        labels = [f"Change {n + 1}" for n in range(10)]
        assert wait_until(lambda: [c.label for c in read_show(path).items[0].cues] == labels), log.read_text()
        cues = read_show(path).items[0].cues
        assert [c.department for c in cues[:6]] == ["lights", "video", "sound", "spots", "moves", "deck"]
        assert all(c.anchor.at == "bar" for c in cues)
        before = cues[0].anchor
        person.drags(lane(0, 360), lane(0, 520))
        assert wait_until(lambda: read_show(path).items[0].cues[0].anchor != before)
        person.press("ctrl+z")
        assert wait_until(lambda: read_show(path).items[0].cues[0].anchor == before)
        # Typed and killed at once: the log has it, and the next opening brings it back.
        person.press("ctrl+n")
        person.types("lights 9/1 Last before the plug")
        person.press("Return")
        log_of_edits = path.with_name(f"{path.name}.edits")
        kept = lambda: path.read_text() + (log_of_edits.read_text() if log_of_edits.exists() else "")  # noqa: E731
        assert wait_until(lambda: "Last before the plug" in kept())
        os.kill(desk.pid, signal.SIGKILL)
        desk.wait()
        with log.open("ab") as out:
            desk = subprocess.Popen(
                [sys.executable, "-m", "showcaller", "desk", str(path)], env=screen, stdout=out, stderr=out
            )
        assert wait_until(lambda: person.sees("Harbour"), 30), log.read_text()
        assert wait_until(lambda: "Last before the plug" in path.read_text()), log.read_text()
    finally:
        desk.kill()
        desk.wait()
