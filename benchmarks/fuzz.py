"""Fuzzes one parser of files from outside, from valid seeds: guided by coverage where atheris is installed.

``python benchmarks/fuzz.py PARSER --minutes 10``; ``PARSER`` is one of fuzz_parsers.py, or ``all``, in turn.
A worker process reads one input after the other within the child's limit on memory; when it dies or hangs it
is started again and the input is kept. Looked for: an exception that is not the parser's own sentence (the
child's net would still make one of it), a death, an input that takes longer than 2 s. Every input found is
then given to the real reader in its own process, whose answer must be a sentence. What happened goes into
``benchmarks/outside_results.json`` under ``fuzzing``.

Without atheris (``pip install atheris``; Linux) inputs are mutated without looking at coverage.
"""

import argparse
import hashlib
import json
import os
import platform
import random
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from pathlib import Path
from typing import Any

from fuzz_parsers import PARSERS, SCRATCH, at_path

RESULTS = Path(__file__).parent / "outside_results.json"
SLOW_S, HANG_S, MEMORY_MB = 2.0, 30.0, 500
GUIDE_MB = 200
"""What the guiding takes beside the parser."""
SHOWN = 5
BITS = (b"NaN", b"-1", b"1e308", b"9" * 30, b'"', b"<", b">", b"&a;", b"\0", b"[{")
MODULES = [
    "showcaller.editing.importing", "showcaller.editing.timeline", "showcaller.editing.media",
    "showcaller.outside", "showcaller.timing.midi_tempo", "showcaller.model", "showcaller.screen.clips",
    "showcaller.archive", "mido", "openpyxl", "zipfile",
]  # fmt: skip


class Watched:
    """Runs a parser on inputs and writes down what it should not have done."""

    def __init__(self, name: str, folder: Path) -> None:
        self.parser = PARSERS[name]()
        self.folder = folder
        self.tried = 0
        self.told_s = time.monotonic()
        self.known: set[str] = set()

    def read(self, data: bytes) -> None:
        (self.folder / "current").write_bytes(data)  # what a death leaves behind
        self.tried += 1
        begun = time.perf_counter()
        try:
            self.parser.read(data)
        except self.parser.says:
            pass
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            self.found(
                f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}: {error}"[:200], data
            )
        took_s = time.perf_counter() - begun
        if took_s > SLOW_S:
            self.found(f"slow: {took_s:.1f} s", data)
        if time.monotonic() - self.told_s > 1:
            self.tell()

    def found(self, words: str, data: bytes) -> None:
        key = words.split(": ", maxsplit=1)[0]
        if key not in self.known:
            self.known.add(key)
            stem = hashlib.sha256(data).hexdigest()[:16]
            (self.folder / f"{stem}.bin").write_bytes(data)
            with (self.folder / "found.txt").open("a") as file:
                file.write(json.dumps({"words": words, "input": f"{stem}.bin"}) + "\n")

    def tell(self) -> None:
        self.told_s = time.monotonic()
        memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
        (self.folder / f"tried-{os.getpid()}").write_text(f"{self.tried} {memory_mb:.0f}")


def mutated(data: bytes, dice: random.Random) -> bytes:
    """A seed with a few things done to it."""
    made = bytearray(data)
    for _ in range(dice.choice((1, 1, 2, 4, 16))):
        at, kind = dice.randrange(len(made) + 1), dice.randrange(7)
        if kind == 0 and made:
            made[at % len(made)] ^= 1 << dice.randrange(8)
        elif kind == 1:
            made[at:at] = dice.randbytes(dice.choice((1, 2, 8)))
        elif kind == 2:
            del made[at : at + dice.choice((1, 4, 64))]
        elif kind == 3:
            made[at:at] = made[at : at + dice.choice((4, 64, 1024))] * dice.choice((1, 2, 50))
        elif kind == 4:
            made[at : at + 4] = dice.choice((b"\xff" * 4, bytes(4), b"\x7f\xff\xff\xff", b"\x80\0\0\0"))
        elif kind == 5:
            made[at:at] = dice.choice(BITS)
        else:
            other = dice.randrange(len(made) + 1)
            made[at : at + 16] = made[other : other + 16]
    return bytes(made[:200_000])


def work(name: str, folder: Path, seconds: float, seed: int) -> None:
    """The worker."""
    try:
        import atheris  # type: ignore[import-not-found]
    except ImportError:
        atheris = None
    if atheris is None:
        watched, dice = Watched(name, folder), random.Random(seed)
        seeds, end_s = watched.parser.seeds(), time.monotonic() + seconds
        while time.monotonic() < end_s:
            watched.read(mutated(dice.choice(seeds), dice))
        watched.tell()
        return
    with atheris.instrument_imports(include=MODULES):
        watched = Watched(name, folder)
    most = (MEMORY_MB + GUIDE_MB) * 1_000_000
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    corpus = folder / "corpus"
    corpus.mkdir(exist_ok=True)
    for n, data in enumerate(watched.parser.seeds()):
        (corpus / f"seed-{n}").write_bytes(data)
    options = [
        f"-max_total_time={int(seconds)}", f"-seed={seed}", "-max_len=200000", f"-timeout={HANG_S:g}",
        f"-artifact_prefix={folder}/", "-verbosity=0", "-print_final_stats=0",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *options, str(corpus)], watched.read)
    atheris.Fuzz()


def fuzz(name: str, minutes: float) -> dict[str, Any]:
    """Fuzz one parser; what happened."""
    begun = time.monotonic()
    end_s = begun + minutes * 60
    deaths: list[dict[str, str]] = []
    with tempfile.TemporaryDirectory(prefix="fuzz-", dir=SCRATCH) as place:
        folder, starts = Path(place), 0
        while (left_s := end_s - time.monotonic()) > 1:
            starts += 1
            words = [sys.executable, __file__, name, "--work", place, "--minutes", str(left_s / 60)]
            child = subprocess.Popen([*words, "--seed", str(starts)], stdout=subprocess.DEVNULL,
                                     stderr=subprocess.PIPE)  # fmt: skip
            try:
                _, said = child.communicate(timeout=left_s + 2 * HANG_S)
            except subprocess.TimeoutExpired:
                child.kill()
                said = b"did not end\n"
            if child.returncode != 0:
                data = (folder / "current").read_bytes() if (folder / "current").exists() else b""
                stem = f"death-{len(deaths)}.bin"
                (folder / stem).write_bytes(data)
                lines = [w for w in said.decode("utf-8", "replace").splitlines() if "ERROR" in w]
                deaths.append({"words": (lines or [f"status {child.returncode}"])[-1][:200], "input": stem})
        tried = [list(map(float, p.read_text().split())) for p in folder.glob("tried-*")]
        lines = (folder / "found.txt").read_text().splitlines() if (folder / "found.txt").exists() else []
        unforeseen = {json.loads(line)["words"].split(": ")[0]: json.loads(line) for line in lines}
        kept = Path(tempfile.gettempdir()) / "showcaller-fuzz-found" / name
        for one in [*deaths[:SHOWN], *unforeseen.values()]:
            kept.mkdir(parents=True, exist_ok=True)
            (kept / one["input"]).write_bytes((folder / one["input"]).read_bytes())
            one["through_the_child"] = asked(name, (folder / one["input"]).read_bytes())
    for left in SCRATCH.glob("showcaller-fuzz-*"):
        left.unlink(missing_ok=True)
    return {
        "parser": name, "minutes": round((time.monotonic() - begun) / 60, 1), "guided": guided(),
        "inputs": int(sum(t[0] for t in tried)), "worker_peak_mb": max((t[1] for t in tried), default=0),

        "deaths_of_the_worker": len(deaths), "deaths": deaths[:SHOWN],
        "unforeseen_or_slow": list(unforeseen.values()), "machine": machine(),
    }  # fmt: skip


def asked(name: str, data: bytes) -> str:
    """What the real way answers to an input: a sentence, or 'read'."""
    from showcaller.outside import Limits, Refused
    from showcaller.outside.asking import ask

    os.environ["PYTHONPATH"] = str(Path(__file__).parent)
    parser = PARSERS[name]()
    path = at_path(parser.whole(data), parser.end)
    begun = time.perf_counter()
    try:
        ask("fuzz:again", name, data, str(path), name=f"input{parser.end}", limits=Limits())
        words = "read"
    except Refused as error:
        words = str(error)
    return f"{words} ({time.perf_counter() - begun:.1f} s)"


def again(_within: object, name: str, data: bytes, path: str) -> None:
    """The child's part of :func:`asked`; the file is there already, and it may write none."""
    import fuzz_parsers

    from showcaller.outside import Refused

    fuzz_parsers.at_path = lambda _data, _end: Path(path)
    parser = PARSERS[name]()
    try:
        parser.read(data)
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
    parse.add_argument("--seed", type=int, default=1, help=argparse.SUPPRESS)
    given = parse.parse_args()
    if given.work:
        work(given.parser, given.work, given.minutes * 60, given.seed)
        return
    for name in PARSERS if given.parser == "all" else [given.parser]:
        found = fuzz(name, given.minutes)
        print(json.dumps(found, indent=1, ensure_ascii=False))
        note({name: found}, "fuzzing")


if __name__ == "__main__":
    main()
