"""The night's clocks go wrong: time of day set by an hour, another zone, a machine that sleeps. Real engine.

The time of day is changed under the running process by libfaketime (Debian's faketime); sleep is SIGSTOP.
"""

import json
import os
import signal
import socket
import time
from itertools import pairwise
from pathlib import Path

import pytest
from devices import program, wait_until
from small_shows import cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.protocol import sealed
from showcaller.engine.runfile import read_run
from showcaller.run import events as ev

GAP_S = 0.05
HOUR_NS = 3_600_000_000_000


def ticking(port, count):
    """A song whose cues fire by themselves every 50 ms from half a second on."""
    cues = [
        cue(f"t{n}", str(n + 1), round(0.5 + n * GAP_S, 3), fires="by itself",
            messages=[{"kind": "osc", "outlet": "u", "address": f"/t/{n}", "args": []}])
        for n in range(count)
    ]  # fmt: skip
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    return document([item("s", 600, cues)], outlets=outlets)


class Night:
    """A running engine, a socket that hears it, and a hand on the clock of the day."""

    def __init__(self, folder, process, sock, day):
        self.folder, self.process, self._sock, self._day = folder, process, sock, day
        self.heard = []

    def hear(self, count, timeout_s=10.0):
        """Receive until ``count`` cues have been heard in all; (number, monotonic) of each."""
        self._sock.settimeout(timeout_s)
        while len(self.heard) < count:
            body = self._sock.recv(200).split(b"\0")[0]
            self.heard.append((int(body.rsplit(b"/", 1)[1]), time.monotonic()))

    def set_day(self, shift):
        """Set the time of day to so much from the real one: ``+1h``, ``-1h``, ``+0``."""
        new = self._day.with_suffix(".new")
        new.write_text(shift)
        new.replace(self._day)

    def end(self):
        with EngineClient(self.folder) as client:
            client.ask("end", why="done")
        self.process.wait(10)
        return read_run(self.folder / "journal").records


@pytest.fixture
def night(tmp_path, monkeypatch):
    made = []

    def start(count, faked=False, **environment):
        day = tmp_path / "day"
        day.write_text("+0")
        if faked:
            program("faketime")
            monkeypatch.setenv("LD_PRELOAD", libfaketime())
            monkeypatch.setenv("FAKETIME_TIMESTAMP_FILE", str(day))
            monkeypatch.setenv("FAKETIME_NO_CACHE", "1")
            monkeypatch.setenv("FAKETIME_DONT_FAKE_MONOTONIC", "1")
        for name, value in environment.items():
            monkeypatch.setenv(name, value)
        sock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 21)
        sock.bind(("127.0.0.1", 0))
        show = ticking(sock.getsockname()[1], count)
        folder = new_run_folder(tmp_path / "runs", json.dumps(show))
        made.append((None, sock))
        process = start_engine(folder)
        for name in ("LD_PRELOAD", *environment):
            monkeypatch.delenv(name, raising=False)
        made[-1] = process, sock
        with EngineClient(folder) as client:
            client.ask("start", caller="Ines")
            client.ask("go", go="s:start")
        return Night(folder, process, sock, day)

    yield start
    for process, sock in made:
        if process is not None:
            process.kill()
            process.wait()
        sock.close()


def libfaketime():
    found = [p for p in LIBRARIES if Path(p).exists()]
    if not found:
        pytest.skip(f"libfaketime is not at {LIBRARIES[0]}")
    return found[0]


HOURS = {"+1h": 1, "-1h": -1, "+0": 0}
LIBRARIES = [
    f"/usr/lib/{machine}-linux-gnu/faketime/libfaketimeMT.so.1"
    for machine in (os.uname().machine, "x86_64", "aarch64")
]


def assert_on_time(heard, slack_s=1.0):
    """Every cue at its own instant; generous, since speed has its own benchmark and an hour is 3600 s."""
    offsets = sorted(at - n * GAP_S for n, at in heard)
    assert offsets[-1] - offsets[0] < slack_s


def fired(records):
    return [e.cue for r in records for e in r.events if isinstance(e, ev.Fired) and e.cue.startswith("t")]


@pytest.mark.system
@pytest.mark.parametrize("shifts", [("+1h", "-1h", "+0"), ("-1h", "+1h", "+0")])
def test_the_time_of_day_set_by_an_hour_and_back_moves_no_cue(night, shifts):
    run = night(80, faked=True)
    real_ns = time.time_ns()
    for n, shift in enumerate(shifts):
        run.hear(20 * (n + 1))
        run.set_day(shift)
    run.hear(80)
    records = run.end()
    assert_on_time(run.heard)
    assert [n for n, _ in run.heard] == list(range(80))
    assert fired(records) == [f"t{n}" for n in range(80)]
    assert not [e for r in records for e in r.events if isinstance(e, ev.Missed)]
    # The record goes by the monotonic clock; the time of day beside it shows how it was set.
    assert all(a.t_ns <= b.t_ns for a, b in pairwise(records))
    set_by_h = {round((r.wall_ns - real_ns - (r.t_ns - records[0].t_ns)) / HOUR_NS) for r in records}
    assert set_by_h == {0, 1, -1}
    # And it says so in words of its own: by how much, each time.
    steps = [round(e.shift_s / 3600) for r in records for e in r.events if e.kind == "wall_clock"]
    assert steps == [b - a for a, b in pairwise([0, *(HOURS[s] for s in shifts)])]


@pytest.mark.parametrize("zone", ["Pacific/Apia", "America/St_Johns"])
def test_a_machine_in_another_zone_notes_the_same_instants(night, zone):
    run = night(5, TZ=zone)
    run.hear(5)
    records = run.end()
    assert abs(records[-1].wall_ns - time.time_ns()) < 60e9  # universal time, whatever the zone
    assert_on_time(run.heard)


@pytest.mark.parametrize(
    "stop_s",
    [0.5, 2.0, *(pytest.param(s, marks=[pytest.mark.long, pytest.mark.timeout(400)]) for s in (10.0, 120.0))],
)
def test_a_machine_that_slept_fires_nothing_twice_and_names_what_it_missed(night, stop_s):
    count = 40 + int(stop_s / GAP_S)
    run = night(count)
    run.hear(10)
    os.kill(run.process.pid, signal.SIGSTOP)
    stopped = time.monotonic()
    wait_until(lambda: time.monotonic() - stopped >= stop_s, stop_s + 5)
    os.kill(run.process.pid, signal.SIGCONT)
    while run.heard[-1][0] != count - 1:
        run.hear(len(run.heard) + 1)
    records = run.end()
    numbers = [n for n, _ in run.heard]
    assert numbers == sorted(set(numbers)), "something was fired twice, or out of its order"
    missed = [e for r in records for e in r.events if isinstance(e, ev.Missed)]
    named = {int(e.cue[1:]) for e in missed}
    assert set(numbers) | named == set(range(count)), "something was lost without being named"
    assert not set(numbers) & named
    # What was more than a second late is named with how late; the rest fires, late, at once.
    assert all(1 < e.late_s <= stop_s + 1 for e in missed)
    assert all(e.why == "its time had passed" for e in missed)
    assert len(missed) == pytest.approx(max(0.0, stop_s - 1) / GAP_S, abs=0.4 / GAP_S)
    # The record explains itself: for how long nothing ran.
    stalls = [e.for_s for r in records for e in r.events if e.kind == "stalled"]
    assert max(stalls) == pytest.approx(stop_s, abs=0.6)
    # Before and after, every cue is at its own instant as if nothing had been.
    after = [(n, at) for n, at in run.heard if n < 10 or n > numbers[-1] - 20]
    assert_on_time(after)
    late_ms = max(e.late_ms for r in records for e in r.events if isinstance(e, ev.MessagesSent))
    assert late_ms <= 1000 * min(stop_s, 1.0) + 300


def test_a_go_pressed_while_the_machine_slept_fires_nothing_and_says_so(night):
    run = night(1)
    run.hear(1)
    os.kill(run.process.pid, signal.SIGSTOP)
    with EngineClient(run.folder) as client:
        pressed_ns = time.monotonic_ns() - 2_000_000_000
        request = {"id": 7, "at": pressed_ns, "do": {"kind": "go", "go": "s:start"}}
        client._commands.send(sealed(client._secret, json.dumps(request).encode()))
        os.kill(run.process.pid, signal.SIGCONT)
        assert client._commands.poll(5000)
        (answer,) = client.answers()
    assert not answer["ok"]
