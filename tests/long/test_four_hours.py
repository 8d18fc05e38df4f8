"""Four hours of shows at four times life's speed: memory and handles of engine and desk stay where they are.

An hour in all: ``python3 run.py test tests/long/test_four_hours.py -m long -n 0``.
``SHOWCALLER_LONG_HOURS`` and ``SHOWCALLER_LONG_SPEED`` change how much and how fast.
"""

import json
import os
import time
from pathlib import Path

import pytest
from devices import end_engines

from showcaller.archive.tour import Tour
from showcaller.calling.simulated import SimulatedCaller
from showcaller.desk.keys import Keys
from showcaller.desk.window import DeskWindow
from showcaller.model import read_show
from showcaller.run import commands as c

pytestmark = [pytest.mark.long, pytest.mark.timeout(7200)]
SAMPLE = Path(__file__).parents[2] / "sample_shows" / "breakwater.json"


def resident_mb(pid):
    words = Path(f"/proc/{pid}/statm").read_text().split()
    return int(words[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def handles(pid):
    return len(list(Path(f"/proc/{pid}/fd").iterdir()))


class Night:
    """A window with a run open, called by a simulated caller; looks at memory every half minute of its
    own."""

    def __init__(self, window, qtbot, speed):
        self.window, self.qtbot, self.speed = window, qtbot, speed
        self.found = []
        self.looked_s = -1e9

    def look(self, hours):
        if time.monotonic() - self.looked_s < 15:
            return
        self.looked_s = time.monotonic()
        session = self.window.host.session
        engine = session._client.pid if session is not None else 0
        row = {
            "show hours": round(hours, 2),
            "desk MB": round(resident_mb(os.getpid())),
            "desk handles": handles(os.getpid()),
        }
        if engine and Path(f"/proc/{engine}").exists():
            row |= {"engine MB": round(resident_mb(engine)), "engine handles": handles(engine)}
        self.found.append(row)

    def show(self, done_h, hours):
        """One show, or what is left of the hours; how long it was."""
        window = self.window
        assert window.host.open("Ines", muted=True, speed=self.speed) is None
        caller = SimulatedCaller(7)
        session = window.host.session
        while True:
            self.qtbot.wait(5)
            session = window.host.session
            gone_h = session.now_ns() / 3.6e12
            self.look(done_h + gone_h)
            act = (
                caller.next_act(session.book, session.now_ns())
                if session.book.state.phase == "running"
                else None
            )
            if act is not None and act.at_ns <= session.now_ns():
                count = len(session.book.records)
                session.send(act.command)
                self.qtbot.waitUntil(lambda n=count, book=session.book: len(book.records) > n, timeout=5000)
            if done_h + gone_h >= hours or (act is None and session.book.state.phase == "running"):
                session.send(c.End("over"))
                self.qtbot.waitUntil(lambda: window.host.session is None, timeout=30_000)
                return gone_h


def test_memory_and_handles_stay_flat_over_four_hours(qtbot, tmp_path):
    hours = float(os.environ.get("SHOWCALLER_LONG_HOURS", "4"))
    speed = float(os.environ.get("SHOWCALLER_LONG_SPEED", "4"))
    window = DeskWindow(
        read_show(SAMPLE), Tour.create(tmp_path / "t.tour", "Long"), tmp_path / "runs", Keys()
    )
    window.resize(1920, 1080)
    window.show()
    night = Night(window, qtbot, speed)
    done_h = 0.0
    try:
        while done_h < hours:
            done_h += night.show(done_h, hours)
    finally:
        where = os.environ.get("SHOWCALLER_LONG_FIGURES")
        if where:
            Path(where).write_text(json.dumps(night.found, indent=1), encoding="utf-8")
        window.stop()
        window.host.close()
        end_engines(tmp_path / "runs")
    desk = [row["desk MB"] for row in night.found]
    engine = [row["engine MB"] for row in night.found if "engine MB" in row]
    assert max(engine) < 120
    assert max(desk) < 400
    third = len(desk) // 3
    assert max(desk[-third:]) < max(desk[third : 2 * third]) * 1.15 + 5, "it grows"
    open_now = [row["desk handles"] for row in night.found]
    assert max(open_now[-third:]) <= max(open_now[:third]) + 6
