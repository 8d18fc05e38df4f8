"""What other machines cost the engine: how late automatic cues are, alone and with the door and who comes by it.

``python benchmarks/bench_joining.py [--keep]``; two minutes. A real engine fires an automatic cue every 20 ms, by
turns alone (all the others are stopped) and with the door open, a second machine that follows and two desks that
do, all of them processes on this same machine. Beside it: how soon a note from a joined desk is in the engine's
log and back on another joined desk, how soon a change of the book is on another machine's, and how well the
clocks agree.
"""

import argparse
import json
import os
import signal
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from bench_crew import CUE_GAP_S, NS, make_show, percentiles
from bench_engine import Stamps, helper, receive
from results import keep

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))

from boxes import Box, wait

NOTES = 60
CHANGES = 40
ROUNDS, PART_S = 4, 10.0
"""So often alone and with the others, so long each."""


def follows(box: Any) -> bool:
    """Whether a machine follows, nothing behind."""
    told = box.link()
    return bool(told) and told["live"] and told["behind"] == 0


def notes(side: Any, stage: Any) -> tuple[list[float], list[float]]:
    """From the key at one joined desk to the engine's answer, and to another joined desk (ms)."""
    answered, shown = [], []
    with side.client(side.desk) as writes, stage.client() as reads:
        list(reads.records(0.1))
        for n in range(NOTES):
            began = time.monotonic()
            assert writes.ask("note", text=f"note {n}")["ok"]
            answered.append((time.monotonic() - began) * 1000)
            while not any(r.input.kind == "note" for r in reads.records(0.5)):
                pass
            shown.append((time.monotonic() - began) * 1000)
            time.sleep(PART_S / NOTES / 2)
    return answered, shown


def changes(front: Any, side: Any, document: str) -> list[float]:
    """From a change at one machine's desk to the book at the other's, there and back (ms)."""
    from showcaller.desk.document_store import DocumentStore
    from showcaller.desk.qt import QApplication
    from showcaller.desk.sharing import Sharing
    from showcaller.editing import SetFields
    from showcaller.editing.keeping import Keeper

    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    app, stores, ends = QApplication([]), [], []
    for box in (front, side):
        path = box.root / "book.json"
        path.write_text(document)
        keeper = Keeper(path, is_copy=box is side)
        stores.append(DocumentStore(keeper.show, keeper))
        ends.append(Sharing(stores[-1], lambda box=box: box.runs, lambda: "a desk", lambda *_: None))
    took = []
    for n in range(CHANGES):
        until_s = time.monotonic() + (5.0 if n == 0 else 0.12)
        while time.monotonic() < until_s:
            app.processEvents()
            time.sleep(0.001)
        length_s, began = 3000 + n, time.monotonic()
        stores[n % 2].do("length", SetFields(at=("items", "s"), fields={"length_s": length_s}))
        while stores[1 - n % 2].document.items[0].length_s != length_s and time.monotonic() < began + 5:
            app.processEvents()
            time.sleep(0.001)
        took.append((time.monotonic() - began) * 1000)
    for store, end in zip(stores, ends, strict=True):
        end.close()
        store.close()
    return took


def main() -> None:
    """Measure and keep."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--keep", action="store_true", help="keep the figures in results/")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(dir="/tmp") as root, helper(receive) as device:
        front, back, side, stage = (Box(root, name) for name in ("front", "back", "side", "stage"))
        show = make_show(device.recv())
        front.open_show(json.loads(show))
        blocks: list[tuple[str, int, int]] = []
        try:
            with front.client() as client:
                client.ask("start")
                client.ask("go", go="s:start")
                clock = client.clock()
                begun = next(r.t_ns for r in client.log() for e in r.events if e.kind == "item_started")
                zero_ns = clock.monotonic_of(begun) + time.time_ns() - time.monotonic_ns()
            front.open_door()
            joined = (back, side, stage)
            for box, seat in zip(joined, ("engine", "caller", "stage"), strict=True):
                front.let_in(box, seat)
            for box in joined:
                wait(lambda box=box: follows(box), f"{box.name} does not follow", 20)
            wait(back.door, "", 20)
            for n in range(2 * ROUNDS):
                alone = n % 2 == 0
                for box in (front, *joined):
                    box.kill("showcaller.joining", sign=signal.SIGSTOP if alone else signal.SIGCONT)
                time.sleep(2.0)  # what waits is caught up with
                began_ns = time.time_ns()
                if n == 1:
                    answered, shown = notes(side, stage)
                time.sleep(max(0.0, PART_S - (time.time_ns() - began_ns) / NS))
                blocks.append(("alone" if alone else "with", began_ns, time.time_ns()))
            changed = changes(front, side, show)
            errors = [box.link()["error_ms"] for box in joined]
            device.send("all")
            stamps: Stamps = device.recv()
        finally:
            for box in (front, back, side, stage):
                box.close()
    late: dict[str, list[float]] = {"alone": [], "with": []}
    for name, at_ns in stamps.items():
        due_ns = zero_ns + round((int(name.rpartition("/")[2]) + 1) * CUE_GAP_S * NS)
        where = next((which for which, from_ns, to_ns in blocks if from_ns <= due_ns < to_ns), None)
        if where:
            late[where].append((at_ns - due_ns) / 1e6)
    alone, beside = np.percentile(late["alone"], 99), np.percentile(late["with"], 99)
    found = {
        "by": "python benchmarks/bench_joining.py",
        "automatic cues late, alone": percentiles(late["alone"]),
        "automatic cues late, with door, second machine and two desks": percentiles(late["with"]),
        "with beside alone, p99": round(float(beside / alone), 2),
        "automatic cues": f"{len(late['alone'])} alone, {len(late['with'])} with",
        "a note from a joined desk, answered": percentiles(answered),
        "the same on another joined desk": percentiles(shown),
        "a change of the book, on another machine's desk": percentiles(changed),
        "clocks' error at most, ms": statistics.fmean(errors),
    }
    print(json.dumps(found, indent=1))
    if given.keep:
        keep("joining", found)


if __name__ == "__main__":
    main()
