"""Departments' desks that report: how true the instant is at which a cue is said done, and what floods cost.

Run: python benchmarks/bench_desks.py      some eight minutes; needs liblo (liblo.so.7) and jackd
Real desks: liblo sends over UDP, a JACK MIDI port sends show control, a socket answers over an outlet's own
connection. Then 400 cues fire by themselves, without and with all three flooded with rubbish and reports, in
turn with a bare loop quiet and beside the same flood.
"""

import contextlib
import ctypes
import json
import os
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[1]
for folder in ("support", "engine"):
    sys.path.insert(0, str(ROOT / "tests" / folder))

TIMES = 200
CUES, PAIRS = 400, 5
WAYS = ("udp", "tcp", "midi")
OURS, ASLEEP, AWAKE = "engine", "bare loop", "bare loop that is awake"
FIGURES = ("median ms", "99 of 100 ms", "worst ms")


@contextlib.contextmanager
def jack() -> Iterator[None]:
    """A JACK server with its dummy driver, 128 frames a period."""
    name = f"sc{uuid.uuid4().hex[:8]}"
    os.environ |= {"JACK_DEFAULT_SERVER": name, "JACK_NO_START_SERVER": "1"}
    args = ["jackd", "-r", "-n", name, "-d", "dummy", "-r", "48000", "-p", "128"]
    server = subprocess.Popen(args, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        for _ in range(100):
            if subprocess.run(["jack_lsp"], capture_output=True, check=False).returncode == 0:
                break
            time.sleep(0.05)
        yield
    finally:
        server.terminate()
        server.wait()


class Desks:
    """The three of them, as seen from the other side."""

    def __init__(self) -> None:
        import rtmidi

        self.name = f"desk{uuid.uuid4().hex[:6]}"
        self.midi = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=self.name)
        self.midi.open_virtual_port("out")
        self.server = socket.create_server(("127.0.0.1", 0))
        self.wire: socket.socket | None = None
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self._lo = ctypes.CDLL("liblo.so.7")
        self._lo.lo_address_new.restype = self._lo.lo_message_new.restype = ctypes.c_void_p
        self._to = ctypes.c_void_p(self._lo.lo_address_new(b"127.0.0.1", str(self.port).encode()))
        self._monitor = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=f"ear{uuid.uuid4().hex[:6]}")
        self.seen: list[int] = []

    def reports(self) -> dict[str, list[dict[str, Any]]]:
        """What the show says of them."""
        osc = {"kind": "osc", "host": "127.0.0.1", "port": self.port, "allow": ["127.0.0.1"]}
        return {
            "lights": [{**osc, "address": "/cue/{cue}/fired"}],
            "video": [{"kind": "osc_tcp", "outlet": "wall", "address": "/fired {cue}"}],
            "moves": [{"kind": "msc", "port": self.name}],
        }

    def connect(self) -> None:
        """Take the outlet's connection; hear the MIDI port beside the engine."""
        self.server.settimeout(10)
        self.wire, _ = self.server.accept()
        self._monitor.ignore_types(sysex=False)
        self._monitor.set_callback(lambda *_: self.seen.append(time.monotonic_ns()))
        names = self._monitor.get_ports()
        self._monitor.open_port(next(i for i, n in enumerate(names) if self.name in n))

    def lo(self, number: int) -> None:
        """liblo's own send: what ``oscsend`` does, without a process for each."""
        message = ctypes.c_void_p(self._lo.lo_message_new())
        self._lo.lo_send_message(self._to, f"/cue/{number}/fired".encode(), message)
        self._lo.lo_message_free(message)

    def tcp(self, number: int) -> None:
        """An answer over the outlet's connection."""
        from pythonosc import slip
        from pythonosc.osc_message_builder import OscMessageBuilder

        builder = OscMessageBuilder("/fired")
        builder.add_arg(number)
        assert self.wire is not None
        self.wire.sendall(slip.encode(builder.build().dgram))

    def show_control(self, number: int) -> None:
        """GO of RP-002."""
        self.midi.send_message([0xF0, 0x7F, 1, 2, 1, 1, *str(number).encode(), 0xF7])

    def close(self) -> None:
        """Let go of all of it."""
        for port in (self.midi, self._monitor):
            port.close_port()
            port.delete()
        for wire in (self.wire, self.server):
            if wire is not None:
                wire.close()


def night(scratch: Path, desks: Desks, count: int) -> tuple[Any, Any, socket.socket]:
    """A running engine with these desks and ``count`` cues by themselves every 50 ms."""
    from small_shows import DEPARTMENTS, cue
    from test_clock_changes import Night, ticking

    from showcaller.engine.client import EngineClient
    from showcaller.engine.launch import new_run_folder, start_engine

    sock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 21)
    sock.bind(("127.0.0.1", 0))
    show = ticking(sock.getsockname()[1], count)
    show["outlets"].append(
        {"kind": "osc_tcp", "id": "wall", "name": "Wall", "port": desks.server.getsockname()[1]}
    )
    show["departments"] = [{**d, "reports": desks.reports()[d["id"]]} for d in DEPARTMENTS]
    more = [cue(f"{d}{n}", str(1000 + n), 500, d) for d in ("lights", "video", "moves") for n in range(TIMES)]
    show["items"][0]["cues"] += more
    folder = new_run_folder(scratch, json.dumps(show))
    process = start_engine(folder)
    with EngineClient(folder) as client:
        client.ask("start", caller="bench")
        client.ask("go", go="s:start")
    return Night(folder, process, sock, folder / "day"), process, sock


def instants() -> dict[str, Any]:
    """The done instant in the log beside the instant at which the message was sent, or came to a port."""
    rows: dict[str, Any] = {"what": f"{TIMES} reports a desk, ms from sending to the done instant in the log"}
    with jack(), tempfile.TemporaryDirectory() as scratch:
        desks = Desks()
        ran, _, sock = night(Path(scratch), desks, 1)
        desks.connect()
        sent: dict[str, list[tuple[int, int]]] = {}
        ways: list[tuple[str, Callable[[int], None]]] = [
            ("lights", desks.lo), ("video", desks.tcp), ("moves", desks.show_control)
        ]  # fmt: skip
        time.sleep(1.5)  # the MIDI input is opened in its own time
        for n in range(TIMES):
            for department, send in ways:
                before = time.time_ns()
                send(1000 + n)
                sent.setdefault(department, []).append((before, time.time_ns()))
                time.sleep(0.02)
        time.sleep(0.3)
        wall_less_mono = time.time_ns() - time.monotonic_ns()
        came = [t + wall_less_mono for t in desks.seen]
        records = ran.end()
        desks.close()
        sock.close()
    for department, named in (
        ("lights", "liblo, UDP"),
        ("video", "TCP, the outlet's own"),
        ("moves", "JACK MIDI"),
    ):
        done = {
            int(e.number): r.wall_ns - r.t_ns + e.at_ns
            for r in records
            for e in r.events
            if e.kind == "cue_reported" and e.department == department
        }
        off = sorted(
            (done[1000 + n] - before) / 1e6
            for n, (before, _) in enumerate(sent[department])
            if 1000 + n in done
        )
        rows[named] = {"heard": f"{len(off)} of {TIMES}", **_spread(off)}
        if department == "moves" and len(came) == len(done):
            apart = sorted(abs(done[1000 + n] - came[n]) / 1e6 for n in range(len(came)))
            rows[f"{named}, beside another program's ear at that port"] = _spread(apart)
    return rows


def _spread(ms: list[float]) -> dict[str, float]:
    return {
        "median ms": round(statistics.median(ms), 3), "99 of 100 ms": round(ms[int(len(ms) * 0.99) - 1], 3),
        "worst ms": round(ms[-1], 3),
    }  # fmt: skip


def floods(pairs: int = PAIRS, ways: Sequence[str] = WAYS) -> dict[str, Any]:
    """How late cues fire by themselves, desks quiet and desks flooded, beside bare loops quiet and flooded.

    The four take turns, so that whatever else the machine does falls on all of them; of each figure the
    median over the turns is kept.
    """
    turns: dict[tuple[str, str], list[dict[str, float]]] = {}
    for _ in range(pairs):
        for how, poured in (("quiet", ()), ("flooded", ways)):
            load = {"load": round(os.getloadavg()[0], 1)}
            turns.setdefault((OURS, how), []).append(_spread(_ours(poured)) | load)
        for how, poured in (("quiet", ()), ("flooded", ways)):
            load = {"load": round(os.getloadavg()[0], 1)}
            for name, late in zip((ASLEEP, AWAKE), _bare(poured), strict=True):
                turns.setdefault((name, how), []).append(_spread(late) | load)
    rows: dict[str, Any] = {
        "what": f"{CUES} cues by themselves every 50 ms in each of {pairs} turns, ms late",
        OURS: "it is awake 1.5 ms before each instant",
        ASLEEP: "a process as urgent that sleeps until each instant and sends; another reads the flood",
        AWAKE: "the same, sleeping until 1.5 ms before: on a quiet machine a sleeping processor takes its time",
        "flooded by": ", ".join(ways),
    }
    for (name, how), found in turns.items():
        rows[f"{name}, {how}"] = {f: round(statistics.median(t[f] for t in found), 3) for f in found[0]}
        rows[f"{name}, {how}"]["99 of 100 ms, by turn"] = [t["99 of 100 ms"] for t in found]
    for figure in FIGURES:
        by = {n: rows[f"{n}, flooded"][figure] / rows[f"{n}, quiet"][figure] for n in (OURS, ASLEEP, AWAKE)}
        more = {n: rows[f"{n}, flooded"][figure] - rows[f"{n}, quiet"][figure] for n in by}
        rows[f"flooded beside quiet, {figure}"] = {
            **{n: f"{by[n]:.2f}×, {more[n]:+.3f} ms" for n in by},
            **{f"engine beside {n}": round(by[OURS] / by[n], 2) for n in (ASLEEP, AWAKE)},
        }
    return rows


def _ours(ways: Sequence[str]) -> list[float]:
    """How late the engine's cues leave, ms, sorted."""
    with jack(), tempfile.TemporaryDirectory() as scratch:
        desks = Desks()
        ran, _, sock = night(Path(scratch), desks, CUES)
        desks.connect()
        with flooding(desks, ways):
            ran.hear(CUES)
        records = ran.end()
        desks.close()
        sock.close()
    late = sorted(e.late_ms for r in records for e in r.events if e.kind == "sent" and e.outlet == "u")
    assert len(late) == CUES
    return late


def _bare(ways: Sequence[str]) -> tuple[list[float], list[float]]:
    """How late a bare loop's datagrams leave, ms, sorted, where it sleeps until the instant and where it is
    awake before, turn by turn; the desks' flood is read by a third process."""
    with jack(), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as ear:
        ear.bind(("127.0.0.1", 0))
        desks = Desks()
        tcp = str(desks.server.getsockname()[1])
        sink = subprocess.Popen([sys.executable, "-c", _SINK, str(desks.port), tcp, desks.name])
        desks.connect()
        count = [str(ear.getsockname()[1]), str(CUES)]
        loop = subprocess.Popen([sys.executable, "-c", _LOOP, *count], stdout=subprocess.PIPE)
        with flooding(desks, ways):
            told, _ = loop.communicate()
        sink.kill()
        sink.wait()
        desks.close()
    asleep, awake = map(sorted, json.loads(told))
    assert len(asleep) == len(awake) == CUES
    return asleep, awake


_LOOP = """
import contextlib, json, os, socket, sys, time
with contextlib.suppress(OSError, AttributeError):
    os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(5))
s = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
s.connect(('127.0.0.1', int(sys.argv[1])))
first, late = time.monotonic_ns() + 500_000_000, ([], [])
for n in range(2 * int(sys.argv[2])):
    due = first + n * 25_000_000
    awake = n % 2
    time.sleep(max(0, due - awake * 1_500_000 - time.monotonic_ns()) / 1e9)
    while time.monotonic_ns() < due:
        pass
    s.send(b'/t/%d' % n)
    late[awake].append((time.monotonic_ns() - due) / 1e6)
print(json.dumps(late))
"""

_SINK = """
import socket, sys, threading, rtmidi
midi = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name='sink')
midi.ignore_types(sysex=False)
midi.set_callback(lambda *_: None)
names = midi.get_ports()
midi.open_port(next(i for i, n in enumerate(names) if sys.argv[3] in n))
wire = socket.create_connection(('127.0.0.1', int(sys.argv[2])))
def answers():
    while wire.recv(4096):
        pass
threading.Thread(target=answers, daemon=True).start()
s = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
s.bind(('127.0.0.1', int(sys.argv[1])))
while True:
    s.recv(4096)
"""

_FLOOD = """
import os, random, socket, sys, time
s = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
to = ('127.0.0.1', int(sys.argv[1]))
n = 0
while True:
    number = random.randrange(1000, 1200)
    good = b'/cue/%d/fired' % number
    good += b'\\0' * (4 - len(good) % 4) + b',\\0\\0\\0'
    s.sendto(os.urandom(random.randrange(60)) if n % 2 else good, to)
    n += 1
    if n % 20 == 0:
        time.sleep(0.001)
"""


@contextlib.contextmanager
def flooding(desks: Desks, ways: Sequence[str]) -> Iterator[None]:
    """Pour rubbish and reports in these ways (``udp``, ``tcp``, ``midi``) for as long as the block lasts."""
    stop = threading.Event()

    def pour() -> None:
        n = 0
        while not stop.is_set():
            if "tcp" in ways:
                with contextlib.suppress(OSError):
                    desks.tcp(1000 + n % TIMES)
                    assert desks.wire is not None
                    desks.wire.sendall(os.urandom(40))
            if "midi" in ways:
                desks.show_control(1000 + n % TIMES)
            n += 1
            time.sleep(0.0005)

    pouring = threading.Thread(target=pour, daemon=True)
    udp = subprocess.Popen([sys.executable, "-c", _FLOOD, str(desks.port)]) if "udp" in ways else None
    if {"tcp", "midi"} & set(ways):
        pouring.start()
    try:
        yield
    finally:
        stop.set()
        if pouring.ident is not None:
            pouring.join()
        if udp is not None:
            udp.kill()
            udp.wait()


def main() -> None:
    """Measure and keep."""
    from results import keep

    found = {"instants": instants(), "floods": floods()}
    print(json.dumps(found, indent=1, ensure_ascii=False))
    keep("desks", found)


if __name__ == "__main__":
    main()
