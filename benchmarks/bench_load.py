"""What the engine bears: floods, readers that sleep, a night of 200,000 records, 500 messages on one go.

``python benchmarks/bench_load.py [--records 200000] [--night]``; about four minutes, ``--night`` for the long
night alone. Lateness of automatic cues is what
the system's stamps of leaving say, without and with the load, in one run each after the other.
"""

import argparse
import json
import os
import socket
import statistics
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from bench_engine import CUE_GAP_NS, NS, ask, helper, make_show, receive
from results import keep, keep_part

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.protocol import NoEngine

SAMPLE = Path(__file__).parents[1] / "sample_shows" / "breakwater.json"


def resident_mb(pid: int) -> float:
    """Memory that a process has in use, MB."""
    return round(int(Path(f"/proc/{pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6, 1)


@contextmanager
def engine(folder: Path, show: str) -> Iterator[tuple[EngineClient, Any, Path]]:
    """A real engine with its run started: (client, process, folder)."""
    run = new_run_folder(folder, show)
    process = start_engine(run)
    try:
        with EngineClient(run) as client:
            client.ask("start", caller="bench")
            yield client, process, run
    finally:
        process.kill()
        process.wait()


def lateness(
    folder: Path, cues: int, load: Callable[[EngineClient, Path, threading.Event], None] | None
) -> dict[str, Any]:
    """How late automatic cues leave while ``load`` goes on in a thread of this process; and the memory."""
    with helper(receive) as device:
        port = device.recv()
        with engine(folder, make_show(port, 0, cues)) as (client, process, run):
            clock = client.clock()
            to_wall = time.time_ns() - time.monotonic_ns()
            stop = threading.Event()
            worker = None
            before_mb = resident_mb(process.pid)
            if load is not None:
                worker = threading.Thread(target=load, args=(client, run, stop))
                worker.start()
                time.sleep(0.5)
            with EngineClient(run) as other:
                assert other.ask("go", go="s:start")["ok"]
                begun_ns = next(r.t_ns for r in other.log() if r.input.kind == "go")
            most_mb = before_mb
            until = time.monotonic() + cues * CUE_GAP_NS / NS + 1
            while time.monotonic() < until:
                time.sleep(0.2)
                most_mb = max(most_mb, resident_mb(process.pid))
            stop.set()
            if worker is not None:
                worker.join()
            with EngineClient(run) as other:
                records = other.ask("hello")["seq"]
        left = ask(device)
    due = [clock.monotonic_of(begun_ns + (n + 1) * CUE_GAP_NS) + to_wall for n in range(cues)]
    late = np.array([(left[f"/a/{n}"] - at) / 1e6 for n, at in enumerate(due) if f"/a/{n}" in left])
    p50, p99, p999 = np.quantile(late, (0.5, 0.99, 0.999)).round(3).tolist()
    return {"left": len(late), "of": cues, "p50 ms": p50, "p99 ms": p99, "p99.9 ms": p999, "records": records,
            "memory before, at most MB": [before_mb, most_mb]}  # fmt: skip


def flood(client: EngineClient, _run: Path, stop: threading.Event) -> None:
    """10,000 commands a second, answers unread."""
    began, given = time.monotonic(), 0
    while not stop.is_set():
        while given < (time.monotonic() - began) * 10_000:
            try:
                client.post({"kind": "answer"})
            except NoEngine:
                break  # it takes no more just now
            given += 1
        time.sleep(0.001)
    flood.given = given  # type: ignore[attr-defined]


def changes(client: EngineClient, _run: Path, stop: threading.Event) -> None:
    """The show is changed twice a second, in the item of 2,000 cues that is on."""
    given = 0
    while not stop.wait(0.5):
        cue = {
            "do": "set",
            "at": ["items", "s", "cues", f"a{given % 7 + 1990}"],
            "fields": {"label": f"{given}"},
        }
        client.ask("change", change=cue, words=f"label {given}", by="bench")
        given += 1
    changes.given = given  # type: ignore[attr-defined]


def large(client: EngineClient, run: Path, stop: threading.Event) -> None:
    """4,000 records of 60 kB while a desk that never reads has joined."""
    sleeper = EngineClient(run)
    for n in range(4000):
        if stop.is_set():
            break
        client.ask("note", text=f"{n} " + "x" * 60_000)
    sleeper.close()


def _posted(client: EngineClient, command: dict[str, Any]) -> None:
    """Sent, as soon as there is room."""
    while True:
        try:
            client.post(command)
        except NoEngine:
            list(client.answers())
            time.sleep(0.001)
        else:
            return


def long_night(folder: Path, records: int) -> dict[str, Any]:
    """The sample with ``records`` records, its engine killed every 10,000."""
    run = new_run_folder(folder, SAMPLE.read_text(encoding="utf-8"))
    process = start_engine(run)
    ready, lost, most_mb, kills = [], 0, 0.0, 0
    with EngineClient(run) as client:
        client.ask("start", caller="bench")
    total = 0
    while total < records:
        with EngineClient(run) as client:
            for _ in range(10):
                for n in range(999):
                    if n % 40 == 39:
                        client.ask("hello")  # so that no answer is dropped unread
                    _posted(client, {"kind": "note", "text": "a word for afterwards, as long as a night's"})
                _posted(client, {"kind": "note", "text": "and one that waits"})
                client.ask("hello", timeout_s=10)
            total = client.ask("hello", timeout_s=10)["seq"]
            most_mb = max(most_mb, resident_mb(process.pid))
        process.kill()
        process.wait()
        kills += 1
        began = time.monotonic()
        process = start_engine(run)
        ready.append(round(time.monotonic() - began, 2))
        with EngineClient(run) as client:
            now = client.ask("hello", timeout_s=10)["seq"]
            lost += max(0, total - now)
    process.kill()
    process.wait()
    return {"records": total, "kills": kills, "lost": lost, "engine at most MB": most_mb,
            "taken up again s, first and last": [ready[0], ready[-1]],
            "journal MB": round((run / "journal").stat().st_size / 1e6, 1)}  # fmt: skip


def burst(folder: Path) -> dict[str, Any]:
    """500 messages on one go beside a bare loop of ``sendto``; first to last, by the system's stamps."""
    count, ours, bare = 500, [], []
    for _ in range(15):
        with helper(receive) as device:
            port = device.recv()
            show = json.loads(make_show(port, 1, 0))
            show["items"][0]["cues"][0]["messages"] = [
                {"kind": "osc", "outlet": "u", "address": f"/m/{n}", "args": [n]} for n in range(count)
            ]
            with engine(folder, json.dumps(show)) as (client, _, _run):
                client.ask("go", go="s:start")
                client.ask("go", go="s:g0")
                time.sleep(0.1)
            left = ask(device)
            ours.append((left[f"/m/{count - 1}"] - left["/m/0"]) / 1e6)
            with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
                ready = [b"/n/%d\0\0" % n + b"\0" * 12 for n in range(count)]
                for body in ready:
                    sock.sendto(body, ("127.0.0.1", port))
            time.sleep(0.05)
            left = ask(device)
            bare.append((left[f"/n/{count - 1}"] - left["/n/0"]) / 1e6)
    ratio = statistics.median(ours) / statistics.median(bare)
    return {"engine ms p50": round(statistics.median(ours), 2), "bare loop ms p50": round(statistics.median(bare), 2),
            "times as long": round(ratio, 2)}  # fmt: skip


def main() -> None:
    """Measure all, keep it."""
    options = argparse.ArgumentParser()
    options.add_argument("--records", type=int, default=200_000)
    options.add_argument("--cues", type=int, default=2000)
    options.add_argument("--night", action="store_true", help="the long night alone")
    given = options.parse_args()
    if given.night:
        with tempfile.TemporaryDirectory() as name:
            night = long_night(Path(name), given.records)
        keep_part("load", "a long night", night)
        print(json.dumps(night, indent=1))
        return
    found: dict[str, Any] = {}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        found["500 messages on one go"] = burst(folder)
        found["cues without load"] = lateness(folder, given.cues, None)
        found["cues with 10,000 commands a second"] = lateness(folder, given.cues, flood)
        found["cues with 10,000 commands a second"]["given"] = getattr(flood, "given", 0)
        found["cues while the show is changed twice a second"] = lateness(folder, given.cues, changes)
        found["cues while the show is changed twice a second"]["changes"] = getattr(changes, "given", 0)
        found["cues with 4,000 records of 60 kB and a desk that never reads"] = lateness(
            folder, given.cues, large
        )
        found["a long night"] = long_night(folder, given.records)
    keep("load", found)
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main()
