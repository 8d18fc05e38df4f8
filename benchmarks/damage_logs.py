"""Damage a run's log in every way, take it up, and look whether anything would be fired twice or believed.

``python benchmarks/damage_logs.py [--each 1000]``; about three minutes. Once with the newest part of the log
still in memory (a killed engine), once without (memory gone too). For each damage: the log is opened as an
engine opens it; what it holds must be records of the undamaged log, the place must not stand before a go that
was fired, and where something is missing the run must be held.
"""

import argparse
import json
import os
import random
import shutil
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

from results import keep

from showcaller.engine.journal.front import forget_front, front_files
from showcaller.engine.launch import new_run_folder
from showcaller.engine.opening import open_run
from showcaller.engine.private import private_folder
from showcaller.engine.runner import Runner
from showcaller.run import commands as c
from showcaller.run.events import Fired
from showcaller.run.runlog import Record

SAMPLE = Path(__file__).parents[1] / "sample_shows" / "breakwater.json"
GOES = 60


def nobody(_: bytes) -> None:
    """No desk listens."""


def make(folder: Path) -> tuple[Path, list[Record]]:
    """A run of the sample's first goes, killed."""
    run = new_run_folder(folder, SAMPLE.read_text(encoding="utf-8"))
    opened = open_run(run, 1.0, None)
    runner = Runner(opened.compiled, opened.clock, opened.journal, nobody, lambda: None)
    runner.take(c.Start("Ada"))
    now_ns = runner.clock.now_ns()
    for n in range(GOES):
        go = runner.compiled.items[runner.state.place.item].go_ids[runner.state.place.go]
        now_ns += 3_000_000_000
        for need in runner.compiled.plan.show.clearances:
            runner.take(c.Clear(need.id, True, 1.0 if need.kind == "reading" else None, "Bo"), now_ns)
        runner.take(c.Go(go, True), now_ns)
        runner.take(c.WriteNote(f"note {n} " + "x" * 200), now_ns)
    until = time.monotonic() + 5
    while not opened.journal.kept and time.monotonic() < until:
        time.sleep(0.02)
    return run, [Record.from_bytes(body) for body in runner.log]


def bits(data: bytearray, r: random.Random) -> None:
    """One bit."""
    at = r.randrange(len(data) * 8)
    data[at // 8] ^= 1 << at % 8


def pages(data: bytearray, r: random.Random) -> None:
    """A page of zeros."""
    at = r.randrange(len(data) // 4096) * 4096
    data[at : at + 4096] = bytes(len(data[at : at + 4096]))


def lengths(data: bytearray, r: random.Random) -> None:
    """Cut at any length."""
    del data[r.randrange(len(data)) :]


def stretches(data: bytearray, r: random.Random) -> None:
    """A stretch doubled, or taken out."""
    a = r.randrange(len(data))
    b = min(len(data), a + r.randrange(1, 6000))
    if r.random() < 0.5:
        data[a:a] = data[a:b]
    else:
        del data[a:b]


DAMAGES: dict[str, tuple[Callable[[bytearray, random.Random], None], float]] = {
    "bits": (bits, 1.0), "lengths": (lengths, 1.0), "pages": (pages, 0.5), "stretches": (stretches, 0.2),
}  # fmt: skip


def judge(run: Path, true: list[Record]) -> tuple[str, str | None]:
    """(what became of it, what is wrong)."""
    try:
        opened = open_run(run, 1.0, None)
    except Exception as error:
        if type(error).__name__ in ("JournalError", "RunFileError", "DocumentError"):
            return "refused in a sentence", None
        return "died", f"{type(error).__name__}: {error}"
    runner = Runner(opened.compiled, opened.clock, opened.journal, nobody, lambda: None)
    if opened.standing is not None:
        runner.go_on_from(opened.standing)
    records = [Record.from_bytes(body) for body in runner.log]
    given = opened.recovered
    heard = () if given is None else given.heard or ()
    if given is not None:
        runner.take(given)
    opened.journal.close(over=False)
    for mine, right in zip(records, true, strict=False):
        if mine != right:
            return "believed", f"record {mine.seq} is not what was kept"
    known = {e.cue for r in records for e in r.events if isinstance(e, Fired)}
    known |= {e.cue for _, events in heard for e in events if isinstance(e, Fired)}
    place, where = runner.state.place, runner.compiled.where
    for cue in known:
        i, k = where[cue]
        gos = runner.compiled.items[i].planned.goes
        g = next((n for n, go in enumerate(gos) if k in go.cues), None)
        if g is not None and (i, g) >= (place.item, place.go):
            return "twice", f"{cue} was fired and its go would be offered again"
    lost = len(true) - len(records) - len(heard)
    if lost > 0 and records:
        if runner.state.phase != "held":
            return "unsaid", f"{lost} records are missing and the run is {runner.state.phase}"
        return "held and said", None
    return "nothing lost" if lost <= 0 else "nothing left of it", None


def main() -> int:
    """Damage, judge, keep; status 1 when something is wrong."""
    options = argparse.ArgumentParser()
    options.add_argument("--each", type=int, default=1000)
    options.add_argument("--seed", type=int, default=int.from_bytes(os.urandom(3)))
    given = options.parse_args()
    r = random.Random(given.seed)
    found: dict[str, object] = {"seed": given.seed}
    wrong: Counter[str] = Counter()
    private = private_folder()
    assert private is not None
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run, true = make(folder / "runs")
        whole = (run / "journal").read_bytes()
        front = private / f"{run.name}.log"
        (file,) = front_files(front)
        fresh = file.read_bytes()
        found |= {"records": len(true), "bytes on disk": len(whole), "bytes in memory": len(fresh)}
        for memory in (True, False):
            for kind, (damage, share) in DAMAGES.items():
                fates: Counter[str] = Counter()
                for _ in range(round(given.each * share)):
                    data = bytearray(whole)
                    damage(data, r)
                    for extra in run.glob("journal*"):
                        extra.unlink(missing_ok=True)
                    (run / "journal").write_bytes(data)
                    forget_front(front)
                    if memory:
                        file.write_bytes(fresh)
                    fate, why = judge(run, true)
                    fates[fate] += 1
                    if why is not None:
                        wrong[f"{kind}: {why}"] += 1
                found[f"{kind}, memory {'there' if memory else 'gone'}"] = dict(fates)
        forget_front(front)
        shutil.rmtree(run)
    found["wrong"] = dict(wrong)
    keep("damaged_logs", found)
    print(json.dumps(found, indent=1))
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
