"""How fast a go leaves and how late automatic cues are, beside a desk that paints at 60 Hz.

``python benchmarks/bench_engine.py [--quick] [--wall]``; about a minute and a half. Where there is no screen
it brings its own (Xvfb). What is measured is a real engine process and a real desk window on the sample show
with a run open (with ``--wall`` while it composes a song's looks at every frame); what it is measured against
runs in the same minute, turn by turn, so that both meet the same machine:

- go: from just before the desk's process hands *go* to ZeroMQ until the message is on its way to the device.
  Beside it a bare pair: a Unix socket to a process as urgent as the engine that does ``sendto`` with ready bytes
  and nothing else: no state machine, no journal, no log.
- automatic cues: how long after its instant each leaves. Beside it a bare loop in its own process that sleeps
  until an instant and sends ready bytes.

Instants of leaving are the system's own: the loopback stamps each datagram as it is sent (SO_TIMESTAMPNS).
"""

import argparse
import contextlib
import json
import multiprocessing as mp
import os
import socket
import struct
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import ExitStack, closing, contextmanager
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
from results import keep as keep_figures

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.engine.client import EngineClient
from showcaller.engine.clock import RunClock
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model import Show, parse_show
from showcaller.run import commands as c

NS = 1_000_000_000
ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "support"))

from virtual_screen import virtual_screen  # noqa: E402

LIMIT_MS = 2.0
"""The bar: 99.9 % of automatic cues leave within this."""
LIMIT_RATIO = 1.5
"""The bar: a go takes at most this many times as long as the bare pair, in the median."""
LIMIT_TAIL = 1.2
"""And at most this many times at p99.9."""
GO_GAP_S = (0.004, 0.010)
"""Between two sends; long enough for what follows a go (its log, its publication) to be over."""
CUE_GAP_NS = 8_000_000
_SO_TIMESTAMPNS = 35

Stamps = dict[str, int]
"""Name of a message → when it left, in ns of Unix time."""


def receive(conn: Connection) -> None:
    """The device: keeps when each message left; tells its port first, and all it has when asked."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 22)
        if sys.platform.startswith("linux"):
            sock.setsockopt(socket.SOL_SOCKET, _SO_TIMESTAMPNS, 1)
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(0.2)
        conn.send(sock.getsockname()[1])
        found: Stamps = {}
        while True:
            try:
                body, extra, _, _ = sock.recvmsg(256, 128)
            except TimeoutError:
                if conn.poll():
                    conn.recv()
                    conn.send(found)
                    found = {}
                continue
            stamp = time.time_ns()
            for level, kind, data in extra:
                if (level, kind) == (socket.SOL_SOCKET, _SO_TIMESTAMPNS):
                    seconds, ns = struct.unpack("qq", data[:16])
                    stamp = seconds * NS + ns
            found[body.split(b"\0")[0].decode()] = stamp


def bare_pair(conn: Connection, port: int) -> None:
    """What a go is measured against: packets over a Unix socket, and for each ``sendto`` of ready bytes.

    It asks for the same urgency as the engine, since it meets the same machine.
    """
    with contextlib.suppress(OSError, AttributeError):
        os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(5))
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock, tempfile.TemporaryDirectory() as folder:
        to = ("127.0.0.1", port)
        ready = [b"/b/%d\0" % n for n in range(100_000)]
        listening = socket.socket(socket.AF_UNIX, socket.SOCK_SEQPACKET)
        listening.bind(f"{folder}/bare")
        listening.listen()
        conn.send(f"{folder}/bare")
        peer, _ = listening.accept()
        while body := peer.recv(100):
            sock.sendto(ready[int(body)], to)
            peer.send(b"ok")


def bare_loop(conn: Connection, port: int) -> None:
    """What automatic cues are measured against: sleeps until each instant (monotonic ns), then sends."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.connect(("127.0.0.1", port))
        conn.send("ready")
        instants: list[int] = conn.recv()
        ready = [b"/s/%d\0" % n for n in range(len(instants))]
        for body, instant in zip(ready, instants, strict=True):
            time.sleep(max(0, instant - time.monotonic_ns()) / NS)
            sock.send(body)
        conn.send("done")


@contextmanager
def helper(work: Callable[..., None], *args: Any) -> Iterator[Connection]:
    """A process that does ``work``, ended with the block."""
    context = mp.get_context("spawn")
    mine, its = context.Pipe()
    process = context.Process(target=work, args=(its, *args), daemon=True)
    process.start()
    try:
        yield mine
    finally:
        process.terminate()
        process.join()


@contextmanager
def screen() -> Iterator[str]:
    """A screen of 1920×1080 to paint on: the one at hand, or one of our own. Yields what it is."""
    if os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY") or sys.platform in ("win32", "darwin"):
        yield "this machine's screen"
        return
    with virtual_screen(size="1920x1080") as display:
        os.environ["DISPLAY"] = display
        yield "Xvfb"


def make_show(port: int, goes: int, cues: int) -> str:
    """A show of one item: ``goes`` called cues a second apart, or automatic ones, each a message."""
    length_s = max(goes, cues * CUE_GAP_NS / NS) + 60
    anchors = [(f"g{n}", n + 1.0, "called") for n in range(goes)]
    anchors += [(f"a{n}", (n + 1) * CUE_GAP_NS / NS, "by itself") for n in range(cues)]
    made = [
        {
            "id": name, "department": "lights", "number": str(n + 1), "label": name, "fires": fires,
            "anchor": {"at": "time", "seconds": round(at_s, 6)},
            "messages": [{"kind": "osc", "outlet": "u", "address": f"/{name[0]}/{name[1:]}", "args": [1]}],
        }
        for n, (name, at_s, fires) in enumerate(anchors)
    ]  # fmt: skip
    return json.dumps(
        {
            "format": "showcaller/show", "version": 1, "id": "bench", "name": "Bench", "act": "Nobody",
            "venue": "Nowhere", "starts_at": "20:00",
            "departments": [
                {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}
            ],
            "outlets": [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}],
            "items": [{"kind": "song", "id": "s", "name": "S", "length_s": length_s, "cues": made}],
        }
    )  # fmt: skip


@contextmanager
def engine(folder: Path, show_text: str) -> Iterator[EngineClient]:
    """A real engine with its run started."""
    run = new_run_folder(folder, show_text)
    process = start_engine(run)
    try:
        with EngineClient(run) as client:
            client.ask("start", caller="bench")
            yield client
    finally:
        process.kill()
        process.wait()


class Desk:
    """The real window on the sample show, its run open and its first item on; counts what it paints."""

    def __init__(self, folder: Path, more: Callable[[Show], Show] = lambda show: show) -> None:
        from showcaller.desk.app import application
        from showcaller.desk.qt import QEvent, QObject
        from showcaller.desk.window import DeskWindow

        class Painted(QObject):
            count = 0

            def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802
                self.count += event.type() == QEvent.Type.Paint
                return False

        self.app = application()
        text = (ROOT / "sample_shows" / "breakwater.json").read_text(encoding="utf-8")
        show: Show = more(parse_show(text))
        keys = Keys()
        self.window = DeskWindow(show, Tour.create(folder / "bench.tour", "Bench"), folder / "runs", keys)
        self.painted = Painted()
        self.window.call.centre.installEventFilter(self.painted)
        self.window.resize(1920, 1080)
        self.window.show()

    def open_run(self) -> None:
        """Open a run with all outlets muted and give its first go."""
        wrong = self.window.host.open("bench", muted=True)
        assert wrong is None, wrong
        self.run_for(1.0)
        session = self.window.host.session
        assert session is not None
        session.send(c.Go(go=session.book.compiled.items[0].go_ids[0]))
        self.run_for(0.5)
        assert session.book.state.clock_ns is not None, "the sample show's first item did not start"

    def play_wall(self) -> None:
        """The wall area in front, and a song rehearsed in it: its picture is composed at every frame."""
        wall = self.window.wall
        self.window.show_area("Wall")
        wall.state.follows = False
        songs = [i.id for i in wall.state.show_now.items if i.kind == "song"]
        wall.state.rehearsal.choose(songs[1])
        self.run_for(0.3)
        wall.screen_.installEventFilter(self.painted)
        wall.controller.transport.toggle()
        self.run_for(1.0)

    def run_for(self, seconds: float) -> None:
        """Let the window live for a while."""
        until = time.monotonic() + seconds
        self.run_while(lambda: time.monotonic() < until)

    def run_while(self, true: Callable[[], bool]) -> None:
        """Let the window live as long as something is true; looked at every 5 ms."""
        from PySide6.QtCore import QEventLoop, QTimer

        loop, timer = QEventLoop(), QTimer()
        timer.timeout.connect(lambda: None if true() else loop.quit())
        timer.start(5)
        loop.exec()
        timer.stop()

    def close(self) -> None:
        """End the run and the window."""
        session = self.window.host.session
        if session is not None and session._process is not None:
            session._process.kill()  # first: a desk that leaves lets its engine go on
            session._process.wait()
        self.window.stop()
        self.window.host.close()


def send_goes(desk: Desk, client: EngineClient, bare: str, count: int) -> tuple[Stamps, list[int]]:
    """Goes and bare requests, turn by turn, from the window's own event loop.

    Returns (when each was sent, in ns of Unix time; those of them that were refused).
    """
    from showcaller.desk.qt import Qt, QTimer

    pair = socket.socket(socket.AF_UNIX, socket.SOCK_SEQPACKET)
    pair.connect(bare)
    pair.setblocking(False)
    sent: Stamps = {}
    refused: list[int] = []
    random = Random(1)
    turn = 0
    for n in range(0, count, 500):  # said before, as a caller does
        cues = [f"g{k}" for k in range(n, min(n + 500, count))]
        assert client.ask("standby", line=f"l{n}", cues=cues)["ok"]
    assert client.ask("go", go="s:start")["ok"]

    def one() -> None:
        nonlocal turn
        n, which = divmod(turn, 2)
        if n >= count:
            return
        if which == 0:
            sent[f"/g/{n}"] = time.time_ns()
            client.post({"kind": "go", "go": f"s:g{n}"})
        else:
            sent[f"/b/{n}"] = time.time_ns()
            pair.send(b"%d" % n)
        turn += 1
        timer.start(round(random.uniform(*GO_GAP_S) * 1000))

    def look() -> bool:
        refused.extend(a["id"] for a in client.answers() if not a["ok"])
        for _ in client.records():
            pass
        with contextlib.suppress(BlockingIOError):
            while pair.recv(10):
                pass
        return turn < 2 * count

    timer = QTimer()
    timer.setTimerType(Qt.TimerType.PreciseTimer)
    timer.setSingleShot(True)
    timer.timeout.connect(one)
    timer.start(50)
    desk.run_while(look)
    desk.run_for(0.3)
    look()
    pair.close()
    return sent, refused


def run_cues(desk: Desk, client: EngineClient, bare: Connection, count: int) -> tuple[Stamps, RunClock]:
    """Let automatic cues fire with the bare loop half a step between them; when each was due (Unix ns)."""
    clock = client.clock()
    assert bare.recv() == "ready"
    answer = client.ask("go", go="s:start")
    assert answer["ok"], answer
    begun_ns = next(r.t_ns for r in client.log() if r.input.kind == "go")
    to_wall = time.time_ns() - time.monotonic_ns()
    due = [clock.monotonic_of(begun_ns + (n + 1) * CUE_GAP_NS) for n in range(count)]
    between = [at + CUE_GAP_NS // 2 for at in due]
    bare.send(between)

    def look() -> bool:
        for _ in client.records():
            pass
        return not bare.poll()

    desk.run_while(look)
    desk.run_for(0.3)
    wanted = {f"/a/{n}": at + to_wall for n, at in enumerate(due)}
    return wanted | {f"/s/{n}": at + to_wall for n, at in enumerate(between)}, clock


def ask(device: Connection) -> Stamps:
    """All that has reached the device since the last time."""
    device.send("all")
    found: Stamps = device.recv()
    return found


def figures_ms(due: Stamps, left: Stamps, prefix: str) -> "np.ndarray[Any, Any]":
    """How long after its instant each message of a kind left. Every one must have."""
    lost = [name for name in due if name.startswith(prefix) and name not in left]
    if lost:
        raise SystemExit(f"{len(lost)} messages never left, among them {lost[0]}")
    return np.array([left[name] - at for name, at in due.items() if name.startswith(prefix)]) / 1e6


def table(title: str, ours: "np.ndarray[Any, Any]", bare: "np.ndarray[Any, Any]", name: str) -> None:
    """Print both and their ratio."""
    print(f"\n{title}, ms          p50      p99    p99.9      max        n")
    for words, values in (("engine", ours), (name, bare)):
        cells = "".join(f"{q:9.3f}" for q in np.quantile(values, (0.5, 0.99, 0.999, 1)))
        print(f"  {words:<{len(title) + 2}}{cells}{len(values):9d}")
    ratios = np.quantile(ours, (0.5, 0.99, 0.999, 1)) / np.quantile(bare, (0.5, 0.99, 0.999, 1))
    print(f"  {'times as long':<{len(title) + 2}}" + "".join(f"{r:9.2f}" for r in ratios))


def verdict(words: str, figure: float, bar: float, unit: str) -> bool:
    """Print one bar and whether it is met."""
    met = figure <= bar
    print(f"  {'met   ' if met else 'MISSED'} {words}: {figure:.3f}{unit} (at most {bar:g}{unit})")
    return met


def measure(goes: int, cues: int, folder: Path, name: str, wall: bool = False) -> bool:
    """Both measures and their tables; whether every bar is met."""
    busy = f" (load {os.getloadavg()[0]:.1f} before it began)" if hasattr(os, "getloadavg") else ""
    with helper(receive) as device, ExitStack() as keep:
        port: int = device.recv()
        desk = keep.enter_context(closing(Desk(folder)))
        desk.open_run()
        if wall:
            desk.play_wall()
        painted, began = desk.painted.count, time.monotonic()
        with engine(folder / "goes", make_show(port, goes, 0)) as client, helper(bare_pair, port) as hop:
            urgent = client.ask("hello")["urgent"]
            sent, refused = send_goes(desk, client, hop.recv(), goes)
        left = ask(device)
        with engine(folder / "cues", make_show(port, 0, cues)) as client, helper(bare_loop, port) as loop:
            due, _ = run_cues(desk, client, loop, cues)
        left |= ask(device)
        rate = (desk.painted.count - painted) / (time.monotonic() - began)
        counted = desk.window.wall.projector.counters()
    print(f"{os.cpu_count()} processors{busy}; engine {urgent}; window painting {rate:.0f}/s on {name}")
    if wall:
        made = f"{counted.rate:.0f} pictures in the last second, {counted.dropped} dropped"
        print(f"the wall rehearsed: {made}, {counted.last_ms:.1f} ms for the last")
    if refused:
        raise SystemExit(f"{len(refused)} goes were refused")
    go, bare_go = figures_ms(sent, left, "/g/"), figures_ms(sent, left, "/b/")
    late, bare_late = figures_ms(due, left, "/a/"), figures_ms(due, left, "/s/")
    table("go", go, bare_go, "bare pair")
    table("automatic", late, bare_late, "bare loop")
    print()
    kept = {
        kind: dict(zip(("p50 ms", "p99 ms", "p99.9 ms"), np.round(np.quantile(values, (0.5, 0.99, 0.999)), 3).tolist(), strict=True))
        for kind, values in (("go", go), ("bare pair", bare_go), ("automatic", late), ("bare loop", bare_late))
    }  # fmt: skip
    keep_figures(
        "engine_with_wall" if wall else "engine",
        {**kept, "goes": len(go), "automatic cues": len(late), "window": f"{rate:.0f}/s"},
    )
    met = [
        verdict(
            "go, p99.9 beside bare",
            float(np.quantile(go, 0.999) / np.quantile(bare_go, 0.999)),
            LIMIT_TAIL,
            "×",
        ),
        verdict("go, median beside bare", float(np.median(go) / np.median(bare_go)), LIMIT_RATIO, "×"),
        verdict("automatic, p99.9", float(np.quantile(late, 0.999)), LIMIT_MS, " ms"),
    ]
    return all(met)


def main() -> int:
    """Measure and print; status 1 when a bar is missed."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("--goes", type=int, default=2500, help="goes to send (default 2500)")
    parser.add_argument("--cues", type=int, default=5000, help="automatic cues to fire (default 5000)")
    parser.add_argument("--wall", action="store_true", help="while a song is rehearsed in the wall area")
    parser.add_argument("--quick", action="store_true", help="a short run that only shows that all works")
    options = parser.parse_args()
    goes, cues = (100, 200) if options.quick else (options.goes, options.cues)
    with screen() as name, tempfile.TemporaryDirectory() as folder:
        met = measure(goes, cues, Path(folder), name, options.wall)
    return 0 if met or options.quick else 1


if __name__ == "__main__":
    sys.exit(main())
