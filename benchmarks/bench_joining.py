"""What other machines cost the engine: how late automatic cues are, alone and with the door and who comes by it.

``python benchmarks/bench_joining.py [--keep]``; a minute and a half. A real engine fires an automatic cue every
20 ms, first alone, then with the door open, a second machine that follows and two desks that do, all of them
processes on this same machine, then alone again. Beside it: how soon a note from a joined desk is in the engine's
log and back on another joined desk, and how well the clocks agree.
"""

import argparse
import json
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from bench_crew import BLOCK_S, CUE_GAP_S, NS, make_show, percentiles
from bench_engine import Stamps, helper, receive
from results import keep

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))

from boxes import Box, wait

NOTES = 60


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
            time.sleep(BLOCK_S / NOTES / 2)
    return answered, shown


def main() -> None:
    """Measure and keep."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--keep", action="store_true", help="keep the figures in results/")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory(dir="/tmp") as root, helper(receive) as device:
        front, back, side, stage = (Box(root, name) for name in ("front", "back", "side", "stage"))
        front.open_show(json.loads(make_show(device.recv())))
        marks = []
        try:
            with front.client() as client:
                client.ask("start")
                client.ask("go", go="s:start")
                clock = client.clock()
                begun = next(r.t_ns for r in client.log() for e in r.events if e.kind == "item_started")
                zero_ns = clock.monotonic_of(begun) + time.time_ns() - time.monotonic_ns()
                marks.append(time.time_ns())
                time.sleep(BLOCK_S)
                marks.append(time.time_ns())
                front.open_door()
                for box, seat in ((back, "engine"), (side, "caller"), (stage, "stage")):
                    front.let_in(box, seat)
                for box in (back, side, stage):
                    wait(lambda box=box: follows(box), f"{box.name} does not follow", 20)
                wait(back.door, "", 20)
                time.sleep(2)
                marks.append(time.time_ns())
                answered, shown = notes(side, stage)
                rest_s = BLOCK_S - (time.time_ns() - marks[-1]) / NS
                time.sleep(max(0.0, rest_s))
                marks.append(time.time_ns())
                errors = [box.link()["error_ms"] for box in (back, side, stage)]
                for box in (back, side, stage):
                    box.kill()
                front.kill("showcaller.joining")
                marks.append(time.time_ns())
                time.sleep(BLOCK_S)
                marks.append(time.time_ns())
            device.send("all")
            stamps: Stamps = device.recv()
        finally:
            for box in (front, back, side, stage):
                box.close()
    late: dict[str, list[float]] = {"alone": [], "with": []}
    for name, at_ns in stamps.items():
        due_ns = zero_ns + round((int(name.rpartition("/")[2]) + 1) * CUE_GAP_S * NS)
        where = {1: "alone", 3: "with", 5: "alone"}.get(sum(due_ns >= mark for mark in marks))
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
        "clocks' error at most, ms": statistics.fmean(errors),
    }
    print(json.dumps(found, indent=1))
    if given.keep:
        keep("joining", found)


if __name__ == "__main__":
    main()
