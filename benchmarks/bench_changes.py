"""Automatic cues while the show is changed for tonight, each kind of change in turn, at life's own speed.

``python benchmarks/bench_changes.py [--rounds 6]``; a minute a round. The sample show with a count-in of 200
automatic cues before its first song: one run with three changes a second, one without, in turn; lateness is what
the system's stamps of leaving say, and the ratio is of the two in the same minute.
"""

import argparse
import json
import statistics
import tempfile
import threading
import time
from collections import Counter
from pathlib import Path
from typing import Any

import numpy as np
from bench_engine import NS, ask, helper, receive
from bench_load import SAMPLE, engine
from results import keep

from showcaller.engine.client import EngineClient

CUES, GAP_NS = 200, 100_000_000
GIVEN_EVERY_S = 1 / 3


def show_text(port: int) -> str:
    """The sample, the count-in before it, one output that is heard."""
    show = json.loads(SAMPLE.read_text(encoding="utf-8"))
    for outlet in show["outlets"]:
        outlet.pop("length", None)
    show["outlets"] = [o for o in show["outlets"] if o["kind"] != "midi"]
    gone = {"show-control"}
    for item in show["items"]:
        for cue in item.get("cues", []):
            cue["messages"] = [m for m in cue.get("messages", []) if m["outlet"] not in gone]
    show["outlets"].append({"kind": "osc_udp", "id": "heard", "name": "Heard", "port": port})
    cues = [_cue(n, (n + 1) * GAP_NS / NS) for n in range(CUES)]
    count_in = {"kind": "song", "id": "count-in", "name": "Count-in", "length_s": 90, "cues": cues}
    show["items"].insert(0, count_in)
    return json.dumps(show)


def _cue(n: int, at_s: float) -> dict[str, Any]:
    message = {"kind": "osc", "outlet": "heard", "address": f"/a/{n}", "args": [1]}
    return {
        "id": f"a{n}", "department": "lights", "number": f"{9000 + n}", "label": "tick", "fires": "by itself",
        "anchor": {"at": "time", "seconds": round(at_s, 3)}, "messages": [message],
    }  # fmt: skip


def kinds(n: int) -> list[tuple[str, dict[str, Any]]]:
    """Each kind of change once, the ``n``-th time round; together they leave the show's order as it was."""
    last, song = CUES - 1, ["items", "tideline"]
    spoken = {"id": "cut-in", "kind": "talk", "name": "Word from the harbour", "length_s": 60}
    fresh = _cue(9000, 60 + n * 0.01) | {"fires": "called"}
    return [
        ("words", {"do": "set", "at": ["items", "count-in", "cues", f"a{last}"], "fields": {"label": f"t {n}"}}),
        ("a cue put in", {"do": "put", "at": ["items", "count-in", "cues"], "index": CUES, "part": fresh}),
        ("a cue moved", {"do": "set", "at": ["items", "count-in", "cues", "a9000"],
                         "fields": {"anchor": {"at": "time", "seconds": 70 + n * 0.01}}}),
        ("messages", {"do": "set", "at": ["items", "count-in", "cues", "a9000"],
                      "fields": {"messages": [{"kind": "osc", "outlet": "heard", "address": "/x", "args": [n]}]}}),
        ("a cue taken out", {"do": "take", "at": ["items", "count-in", "cues"], "key": "a9000"}),
        ("a look", {"do": "set", "at": ["looks", "black"], "fields": {"name": f"Black {n}"}}),
        ("an item cut", {"do": "set", "at": song, "fields": {"out": True}}),
        ("an item back", {"do": "set", "at": song, "fields": {"out": False}}),
        ("an item longer", {"do": "set", "at": ["items", "talk-good-evening"], "fields": {"length_s": 120 + n}}),
        ("an item put in", {"do": "put", "at": ["items"], "index": 5, "part": spoken}),
        ("an item moved", {"do": "move", "at": ["items"], "key": "cut-in", "index": 7}),
        ("an item taken out", {"do": "take", "at": ["items"], "key": "cut-in"}),
    ]  # fmt: skip


def change(client: EngineClient, stop: threading.Event, made: Counter[str], refused: list[str]) -> None:
    """Change the show until told to stop."""
    n = 0
    while True:
        n += 1
        for name, body in kinds(n):
            if stop.wait(GIVEN_EVERY_S):
                return
            answer = client.ask("change", change=body, words=f"{name} {n}", by="bench", timeout_s=5)
            if answer["ok"]:
                made[name] += 1
            else:
                refused.append(f"{name}: {answer}")


def lateness_ms(folder: Path, made: Counter[str] | None, refused: list[str]) -> list[float]:
    """How late each automatic cue left, milliseconds."""
    with helper(receive) as device:
        port = device.recv()
        with engine(folder, show_text(port)) as (client, _, run):
            clock, to_wall = client.clock(), time.time_ns() - time.monotonic_ns()
            stop = threading.Event()
            worker = None
            if made is not None:
                worker = threading.Thread(target=change, args=(client, stop, made, refused))
                worker.start()
            with EngineClient(run) as other:
                assert other.ask("go", go="count-in:start")["ok"]
                begun_ns = next(r.t_ns for r in other.log() if r.input.kind == "go")
            time.sleep((CUES + 5) * GAP_NS / NS)
            stop.set()
            if worker is not None:
                worker.join()
        left = ask(device)
    due = [clock.monotonic_of(begun_ns + (n + 1) * GAP_NS) + to_wall for n in range(CUES)]
    return [(left[f"/a/{n}"] - at) / 1e6 for n, at in enumerate(due)]


def main() -> None:
    """Measure, keep."""
    options = argparse.ArgumentParser()
    options.add_argument("--rounds", type=int, default=6)
    rounds = options.parse_args().rounds
    made: Counter[str] = Counter()
    refused: list[str] = []
    quiet: list[float] = []
    changed: list[float] = []
    with tempfile.TemporaryDirectory() as name:
        for _ in range(rounds):
            quiet += lateness_ms(Path(name), None, refused)
            changed += lateness_ms(Path(name), made, refused)
    found: dict[str, Any] = {"changes": dict(made), "refused": len(refused), "first refused": refused[:1]}
    for words, late in (("without changes", quiet), ("with three changes a second", changed)):
        p50, p99 = np.quantile(late, (0.5, 0.99)).round(3).tolist()
        found[words] = {"cues": len(late), "p50 ms": p50, "p99 ms": p99, "worst ms": round(max(late), 3)}
    for share in (0.5, 0.99):
        ratio = float(np.quantile(changed, share) / np.quantile(quiet, share))
        found[f"times as late, p{share * 100:.0f}"] = round(ratio, 2)
    found["median of all, ms"] = round(statistics.median(quiet + changed), 3)
    keep("changes for tonight", found)
    print(json.dumps(found, indent=1, ensure_ascii=False))


if __name__ == "__main__":
    main()
