"""Fuzzes one parser of files from outside, from valid seeds: guided by coverage where atheris is installed.

``python benchmarks/fuzz.py PARSER --minutes 10``; ``PARSER`` is one of fuzz_parsers.py, or ``all``, in turn.
Every seed must be read without a complaint, or nothing starts. A worker (fuzz_worker.py) reads one input
after the other; when it dies it is started again and the input is kept. Looked for: an exception that is not
the parser's own sentence (the child's net would still make one of it), a death, an input that takes longer
than 2 s or 100 MB more than any before.

Every input found is then given to the real reader in its own process, three times, beside its seed: what a
person would be told, how long it took, how long nothing was heard of it, the process's peak memory. A busy
machine makes a worker slow; only what is slow there too is. A death there is the reader's own process, made
to be lost; what was told of it must be a sentence. What happened goes into
``benchmarks/outside_results.json`` under ``fuzzing``.

Without atheris (``pip install atheris``; Linux) inputs are mutated without looking at coverage.
"""

import argparse
import itertools
import json
import os
import platform
import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

from fuzz_parsers import PARSERS, SCRATCH, at_path
from fuzz_worker import HANG_S, SLOW_S, Counted, work

RESULTS = Path(__file__).parent / "outside_results.json"
SHOWN = 5
MEMORY_MB = 500


class Workers:
    """Worker after worker in one folder, until the time is over; what they left there."""

    def __init__(self, name: str, folder: Path) -> None:
        self.name = name
        self.folder = folder
        self.deaths: list[str] = []
        """The inputs at which workers died, by name."""
        self.pids: list[int] = []

    def run(self, minutes: float) -> None:
        """Keep one going.

        Raises:
            SystemExit: one ended before it had read anything: then nothing was tried at all.
        """
        end_s, starts = time.monotonic() + minutes * 60, 0
        while (left_s := end_s - time.monotonic()) > 1:
            starts += 1
            words = [sys.executable, __file__, self.name, "--work", str(self.folder)]
            words += ["--minutes", str(left_s / 60), "--seed", str(starts)]
            child = subprocess.Popen(words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE)
            self.pids.append(child.pid)
            try:
                _, said = child.communicate(timeout=left_s + 2 * HANG_S)
            except subprocess.TimeoutExpired:
                child.kill()
                _, said = child.communicate()
            if child.returncode == 0:
                continue
            counted = self.folder / f"tried-{child.pid}"
            if not counted.exists() or not Counted.read(counted)[0]:
                last = (said.decode("utf-8", "replace").splitlines() or ["no word"])[-1]
                raise SystemExit(f"{self.name}: a worker ended before its first input: {last}")
            stem = f"death-{len(self.deaths)}.bin"
            (self.folder / stem).write_bytes((self.folder / "current").read_bytes())
            self.deaths.append(stem)

    def tried(self) -> list[tuple[int, float]]:
        """(inputs, peak in MB) of each worker."""
        return [Counted.read(path) for path in self.folder.glob("tried-*")]

    def found(self) -> list[dict[str, str]]:
        """What they noted, each kind once over all of them."""
        path = self.folder / "found.txt"
        lines = [json.loads(line) for line in path.read_text().splitlines()] if path.exists() else []
        return list({(one["what"], one["where"] or one["input"]): one for one in lines}.values())


def fuzz(name: str, minutes: float) -> dict[str, Any]:
    """Fuzz one parser; what happened."""
    parser = PARSERS[name]()
    for data in (seeds := parser.seeds()):
        parser.read(data)
    begun = time.monotonic()
    kept = Path(tempfile.gettempdir()) / "showcaller-fuzz-found" / name
    kept.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory(prefix="fuzz-", dir=SCRATCH) as place:
        workers = Workers(name, Path(place))
        workers.run(minutes)
        took_min = (time.monotonic() - begun) / 60
        seed = asked(name, seeds[0])
        noted = []
        for one in [*({"what": "death", "input": d} for d in workers.deaths), *workers.found()]:
            data = (workers.folder / one["input"]).read_bytes()
            (kept / one["input"]).write_bytes(data)
            noted.append(one | asked(name, data))
        tried = workers.tried()
    for pid in (os.getpid(), *workers.pids):
        for left in SCRATCH.glob(f"showcaller-fuzz-{pid}.*"):
            left.unlink(missing_ok=True)
    ends = Counter(one["said"] for one in noted if one["what"] == "death" and one["ended"])
    again = [one for one in noted if one["what"] == "death" and not one["ended"]]
    slow = [one for one in noted if one["silence_s"] > SLOW_S or one["peak_mb"] > MEMORY_MB]
    return {
        "parser": name, "minutes": round(took_min, 1), "guided": guided(), "machine": machine(),
        "inputs": sum(t[0] for t in tried), "worker_peak_mb": round(max((t[1] for t in tried), default=0)),
        "seed_through_the_child": seed,
        "unforeseen": [one for one in noted if one["what"] == "unforeseen"],
        "ends_of_the_readers_own_process": sum(ends.values()),
        "what_was_said_of_them": dict(ends),
        "ends_of_the_worker_that_the_child_outlives": again[:SHOWN],
        "slow_or_large_in_the_worker": sum(one["what"] in ("slow", "large") for one in noted),
        "slow_or_large_through_the_child": slow,
        "slowest_of_them_s": max((one["s"] for one in noted), default=0.0),
        "largest_of_them_mb": max((one["peak_mb"] for one in noted), default=0),
    }  # fmt: skip


def asked(name: str, data: bytes) -> dict[str, Any]:
    """What the real way makes of an input, best of three: ``said``, ``s``, ``silence_s``, ``peak_mb``."""
    best: dict[str, Any] = {}
    with tempfile.NamedTemporaryFile(dir=SCRATCH, suffix=".bin") as file:
        file.write(data)
        file.flush()
        words = [sys.executable, __file__, name, "--again", file.name]
        for _ in range(3):
            # By a fresh process: the peak of a child counts what its parent held when it began.
            run = subprocess.run(words, capture_output=True, check=True)
            one = json.loads(run.stdout)
            if not best or one["s"] < best["s"]:
                best = one
    return best


def ask_once(name: str, data: bytes) -> dict[str, Any]:
    """One input through the real child."""
    from showcaller.outside import Limits, Refused
    from showcaller.outside.asking import ask

    os.environ["PYTHONPATH"] = os.pathsep.join([str(Path(__file__).parent), os.environ.get("PYTHONPATH", "")])
    parser = PARSERS[name]()
    path = at_path(parser.whole(data), parser.end)
    begun = time.perf_counter()
    heard, ended = [begun], False
    try:
        ask("fuzz:again", name, str(path), name=f"input{parser.end}", limits=Limits(),
            seen=lambda *_: heard.append(time.perf_counter()))  # fmt: skip
        words = "read"
    except Refused as error:
        words = str(error).replace(path.name, f"input{parser.end}").replace(f"{path.parent}/", "")
        ended = "broke the program that reads it" in words or "ended by the system" in words
    heard.append(time.perf_counter())
    path.unlink()
    return {
        "said": words[:300], "ended": ended, "s": round(heard[-1] - begun, 2),
        "silence_s": round(max(b - a for a, b in itertools.pairwise(heard)), 2),
        "peak_mb": round(resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss / 1024),
    }  # fmt: skip


def again(_within: object, name: str, path: str) -> None:
    """The child's part of :func:`ask_once`."""
    from showcaller.outside import Refused

    parser = PARSERS[name]()
    try:
        parser.read_at(Path(path))
    except parser.says as error:
        raise Refused(" ".join(str(error).split())) from None


def guided() -> bool:
    """Whether atheris is there."""
    from importlib.util import find_spec

    return find_spec("atheris") is not None


def machine() -> str:
    """The machine, in a few words."""
    python = platform.python_version()
    return f"{platform.system()} {platform.machine()}, {os.cpu_count()} processors, Python {python}"


def note(results: dict[str, Any], key: str) -> None:
    """Put results beside the others of the file."""
    there = json.loads(RESULTS.read_text(encoding="utf-8")) if RESULTS.exists() else {}
    there.setdefault(key, {}).update(results)
    RESULTS.write_text(
        json.dumps(there, indent=1, ensure_ascii=False, sort_keys=True) + "\n", encoding="utf-8"
    )


def main() -> None:
    """Drive, or work."""
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("parser", choices=[*PARSERS, "all"])
    parse.add_argument("--minutes", type=float, default=10.0)
    parse.add_argument("--work", type=Path, help=argparse.SUPPRESS)
    parse.add_argument("--again", type=Path, help="what the real reader says of one input that was kept")
    parse.add_argument("--seed", type=int, default=1, help=argparse.SUPPRESS)
    given = parse.parse_args()
    if given.work:
        work(given.parser, given.work, given.minutes * 60, given.seed)
        return
    if given.again:
        print(json.dumps(ask_once(given.parser, given.again.read_bytes()), ensure_ascii=False))
        return
    for name in PARSERS if given.parser == "all" else [given.parser]:
        found = fuzz(name, given.minutes)
        print(json.dumps(found, indent=1, ensure_ascii=False))
        note({name: found}, "fuzzing")


if __name__ == "__main__":
    main()
