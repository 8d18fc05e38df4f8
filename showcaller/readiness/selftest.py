"""How late this machine fires: a real engine, its real clock, real datagrams, for two seconds."""

import shutil
import socket
import subprocess
import sys
import tempfile
import threading
import time
from pathlib import Path

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import LaunchError, new_run_folder, start_engine
from showcaller.engine.protocol import NoEngine
from showcaller.model import parse_show, show_text
from showcaller.model.document import layout
from showcaller.readiness.finding import Finding
from showcaller.values import Struct, replace

CUES = 200
GAP_MS = 10
GOOD_MS = 2.0
POOR_MS = 10.0


class Lateness(Struct, frozen=True):
    """How late automatic cues left, milliseconds; ``count`` of them were heard. ``why``: none could be.

    ``bare_p99_ms`` is a bare loop's, measured just before; None if it was not.
    """

    count: int
    p50_ms: float
    p99_ms: float
    worst_ms: float
    why: str = ""
    bare_p99_ms: float | None = None


def selftest(runs: Path, cues: int = CUES) -> Lateness:
    """Run an engine on a show of automatic cues, ten milliseconds apart, to a socket of this machine.

    Nothing of it stays: its folder is removed. Never raises; ``why`` says what went wrong.
    """
    parent = runs if runs.exists() else None
    with (
        tempfile.TemporaryDirectory(prefix=".selftest-", dir=parent) as scratch,
        socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock,
    ):
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 20)
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(3)
        heard: list[tuple[int, int]] = []
        listener = threading.Thread(target=_listen, args=(sock, heard, cues), daemon=True)
        try:
            folder = new_run_folder(Path(scratch), _show(sock.getsockname()[1], cues))
            process = start_engine(folder)
        except LaunchError as error:
            return Lateness(0, 0, 0, 0, str(error))
        try:
            listener.start()
            with EngineClient(folder) as client:
                client.ask("start", caller="selftest", muted=False, digest="")
                client.ask("go", go="test:start")
                listener.join(timeout=cues * GAP_MS / 1000 + 4)
                client.ask("end", why="selftest")
            process.wait(timeout=5)
        except (NoEngine, OSError) as error:
            return Lateness(0, 0, 0, 0, str(error))
        finally:
            process.kill()
            process.wait()
            shutil.rmtree(folder, ignore_errors=True)
        return _lateness(heard)


def measured(runs: Path, cues: int = CUES) -> Lateness:
    """:func:`selftest`, with a bare loop of the same instants before it."""
    bare = bare_loop(cues)
    late = selftest(runs, cues)
    return late if bare.why else replace(late, bare_p99_ms=bare.p99_ms)


def bare_loop(cues: int = CUES) -> Lateness:
    """What this machine costs without an engine: a process that does nothing but wait and send."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(10)  # its process has to start first
        heard: list[tuple[int, int]] = []
        command = [sys.executable, "-m", "showcaller.readiness.bare"]
        with subprocess.Popen([*command, str(sock.getsockname()[1]), str(cues), str(GAP_MS)]) as process:
            _listen(sock, heard, cues)
            process.kill()
    return _lateness(heard)


def _listen(sock: socket.socket, heard: list[tuple[int, int]], cues: int) -> None:
    while len(heard) < cues:
        try:
            body = sock.recv(256)
        except OSError:
            return
        heard.append((int(body.split(b"\0")[0].rsplit(b"/", 1)[1]), time.monotonic_ns()))


def _lateness(heard: list[tuple[int, int]]) -> Lateness:
    if len(heard) < 2:
        return Lateness(len(heard), 0, 0, 0, "no cue was heard")
    # The first instant is known only by what came, so lateness counts from the earliest of all.
    offsets = sorted(at - n * GAP_MS * 1_000_000 for n, at in heard)
    late_ms = [(offset - offsets[0]) / 1e6 for offset in offsets]
    top = len(late_ms) - 1
    return Lateness(len(heard), late_ms[top // 2], late_ms[round(top * 0.99)], late_ms[top])


def _show(port: int, cues: int) -> str:
    made = [
        {
            "id": f"c{n}", "department": "test", "number": str(n + 1), "label": "x", "fires": "by itself",
            "anchor": {"at": "time", "seconds": 0.5 + n * GAP_MS / 1000},
            "messages": [{"kind": "osc", "outlet": "here", "address": f"/selftest/{n}"}],
        }
        for n in range(cues)
    ]  # fmt: skip
    document = {
        "format": "showcaller/show", "version": 2, "id": "selftest", "name": "Selftest", "act": "none",
        "venue": "this machine", "starts_at": "00:00",
        "departments": [{"id": "test", "name": "Test", "letters": "T", "shape": "circle", "hue": "white"}],
        "outlets": [{"kind": "osc_udp", "id": "here", "name": "Here", "port": port}],
        "items": [{"kind": "song", "id": "test", "name": "Test", "length_s": 60, "cues": made}],
    }  # fmt: skip
    return show_text(parse_show(layout(document)))


def told(late: Lateness) -> Finding:
    """Lateness in words."""
    if late.why:
        return Finding(
            "this machine",
            "wrong",
            f"the engine could not be tried: {late.why}.",
            "Restart the machine, then test again; the log says more.",
        )
    words = (
        f"{late.count} automatic cues were {late.p50_ms:.2f} ms late at the median, "
        f"99 of 100 within {late.p99_ms:.2f}, the worst {late.worst_ms:.2f}"
    )
    if late.bare_p99_ms is not None:
        words += f"; a bare loop here: 99 of 100 within {late.bare_p99_ms:.2f}"
        words += f", so {late.p99_ms / late.bare_p99_ms:.1f} × that" if late.bare_p99_ms > 0 else ""
    words += "."
    if late.p99_ms <= GOOD_MS:
        return Finding("this machine", "good", f"fast enough: {words}")
    if late.p99_ms <= POOR_MS:
        return Finding("this machine", "look", words, "Close other programs; nobody sees it yet.")
    return Finding(
        "this machine",
        "wrong",
        words,
        "Too slow to fire a show: close other programs, plug in the power, or take another machine.",
    )
