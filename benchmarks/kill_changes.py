"""Kill a real engine while it changes the show, again and again: each change is there whole, or not at all.

``python benchmarks/kill_changes.py [--kills 200]``; about a second a kill. A change of 60 cues at once is asked
for, the engine is killed at a random moment of the next 30 ms, started again, and what it stands on is compared
with the changes its log has. In between cues fire by themselves, each with a message to a UDP device.
"""

import argparse
import json
import os
import random
import signal
import socket
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

from results import keep

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model import parse_show
from showcaller.run import events as ev
from showcaller.run.compiled import compile_show
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

CHANGED = 60


def show_text(port: int) -> str:
    """Automatic cues every 50 ms in the song that is on; 60 cues in the next."""

    def cue(name: str, number: int, at_s: float, **more: Any) -> dict[str, Any]:
        anchor = {"at": "time", "seconds": round(at_s, 3)}
        return {
            "id": name,
            "department": "lights",
            "number": str(number),
            "label": "x",
            "anchor": anchor,
            **more,
        }

    def sends(name: str) -> dict[str, Any]:
        message = {"kind": "osc", "outlet": "u", "address": f"/{name}", "args": []}
        return {"fires": "by itself", "messages": [message]}

    on = [cue(f"a{n}", n + 1, 0.5 + n * 0.05, **sends(f"a{n}")) for n in range(8000)]
    coming = [cue(f"x{n}", 9000 + n, n) for n in range(CHANGED)]
    songs = [
        {"kind": "song", "id": "s", "name": "S", "length_s": 600, "cues": on},
        {"kind": "song", "id": "t", "name": "T", "length_s": 90, "cues": coming},
    ]
    departments = [{"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}]
    return json.dumps(
        {
            "format": "showcaller/show", "version": 1, "id": "k", "name": "K", "act": "Nobody", "venue": "Nowhere",
            "starts_at": "20:00", "departments": departments, "items": songs,
            "outlets": [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}],
        }
    )  # fmt: skip


def book_of(client: EngineClient) -> RunBook:
    """What the engine's log leads to."""
    plan = compile_plan(parse_show(client.ask("show")["show"]))
    book = RunBook(compile_show(plan), compile_show_calls(plan))
    book.take(client.log())
    return book


def run(kills: int, folder: Path) -> dict[str, Any]:
    """The account of so many kills."""
    device = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    device.bind(("127.0.0.1", 0))
    device.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 22)
    device.setblocking(False)
    run_folder = new_run_folder(folder, show_text(device.getsockname()[1]))
    process = start_engine(run_folder)
    with EngineClient(run_folder) as client:
        client.ask("start", caller="bench")
        client.ask("go", go="s:start")
    draw, halves, made, wrong, arrived = random.Random(7), 0, 0, 0, Counter[bytes]()
    for n in range(kills):
        with EngineClient(run_folder) as client:
            sets = [
                {"do": "set", "at": ["items", "t", "cues", f"x{k}"], "fields": {"label": f"{n}"}}
                for k in range(CHANGED)
            ]
            client.post({"kind": "change", "change": {"do": "together", "changes": sets}, "words": f"{n}"})
        time.sleep(draw.uniform(0, 0.03))
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        process = start_engine(run_folder)
        with EngineClient(run_folder) as client:
            book = book_of(client)
            labels = {cue.cue.label for cue in book.compiled.items[1].planned.cues}
            last = book.changes[-1][1].words if book.changes else "x"
            halves += len(labels) != 1
            wrong += labels != {last}
            made += last == f"{n}"
        while True:
            try:
                arrived[device.recv(2048)] += 1
            except BlockingIOError:
                break
    with EngineClient(run_folder) as client:
        fired = Counter(e.cue for r in client.log() for e in r.events if isinstance(e, ev.Fired))
    process.kill()
    process.wait()
    return {
        "kills": kills, "changes made": made, "changes lost with the kill": kills - made, "halves": halves,
        "other than the log": wrong, "cues fired": sum(fired.values()),
        "cues fired twice": sum(n > 1 for n in fired.values()),
        "messages that arrived twice": sum(n > 1 for n in arrived.values()),
    }  # fmt: skip


def main() -> int:
    """Run, keep, tell."""
    options = argparse.ArgumentParser()
    options.add_argument("--kills", type=int, default=200)
    with tempfile.TemporaryDirectory() as name:
        found = run(options.parse_args().kills, Path(name))
    keep("kills_in_changes", found)
    print(json.dumps(found, indent=1))
    return int(bool(found["halves"] or found["other than the log"] or found["cues fired twice"]))


if __name__ == "__main__":
    sys.exit(main())
