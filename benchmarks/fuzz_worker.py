"""The process that reads one input after the other, and writes down what should not have happened.

It may die at any input. What it has counted lies in a file mapped into memory, and the input of the moment
beside it, so that neither dies with it.
"""

import hashlib
import json
import mmap
import os
import random
import resource
import struct
import sys
import time
import traceback
from pathlib import Path

from fuzz_parsers import PARSERS

SLOW_S, HANG_S, LARGE_MB, LIMIT_MB = 2.0, 30.0, 100, 480
GUIDE_MB = 320
"""What the guiding takes beside the parser: it keeps every input that led somewhere new."""
KEPT = 40
"""So many slow or large inputs are kept to be looked at again."""
BITS = (b"NaN", b"-1", b"1e308", b"9" * 30, b'"', b"<", b">", b"&a;", b"\0", b"[{")
MODULES = [
    "showcaller.editing.importing", "showcaller.editing.timeline", "showcaller.editing.media",
    "showcaller.outside", "showcaller.timing.midi_tempo", "showcaller.model", "showcaller.screen.clips",
    "showcaller.archive", "showcaller.run.codec", "showcaller.run.runlog", "mido", "openpyxl", "zipfile",
]  # fmt: skip


class Counted:
    """How many inputs were read and the worker's peak, in a file that is whole at every instant."""

    _ROW = struct.Struct("=qd")

    def __init__(self, folder: Path) -> None:
        path = folder / f"tried-{os.getpid()}"
        path.write_bytes(bytes(self._ROW.size))
        with path.open("r+b") as file:
            self._map = mmap.mmap(file.fileno(), self._ROW.size)
        self.inputs = 0

    def one_more(self) -> None:
        """An input is about to be read."""
        self.inputs += 1
        self._ROW.pack_into(self._map, 0, self.inputs, peak_mb())

    @classmethod
    def read(cls, path: Path) -> tuple[int, float]:
        """(inputs, peak in MB) of a worker, alive or not."""
        inputs, peak = cls._ROW.unpack(path.read_bytes())
        return inputs, peak


def peak_mb() -> float:
    """The most memory this process ever had, MB."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


class Watched:
    """Runs a parser on inputs and writes down what it should not have done."""

    def __init__(self, name: str, folder: Path) -> None:
        self.parser = PARSERS[name]()
        self.folder = folder
        self.counted = Counted(folder)
        self.known: dict[str, int] = {}

    def read(self, data: bytes) -> None:
        """One input."""
        (self.folder / "current").write_bytes(data)  # what a death leaves behind
        self.counted.one_more()
        begun, before_mb = time.perf_counter(), peak_mb()
        try:
            self.parser.read(data)
        except self.parser.says:
            pass
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            where = f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}"
            self.found("unforeseen", where, f"{where}: {error}"[:200], data)
        took_s, more_mb = time.perf_counter() - begun, peak_mb() - before_mb
        if took_s > SLOW_S:
            self.found("slow", "", f"{took_s:.1f} s", data)
        if more_mb > LARGE_MB:
            self.found("large", "", f"{more_mb:.0f} MB more", data)

    def found(self, what: str, where: str, words: str, data: bytes) -> None:
        """Keep an input: the first of its kind of what was unforeseen, all that are slow or large."""
        key = f"{what} {where}"
        self.known[key] = self.known.get(key, 0) + 1
        if self.known[key] > (1 if where else KEPT):
            return
        stem = hashlib.sha256(data).hexdigest()[:16]
        (self.folder / f"{stem}.bin").write_bytes(data)
        with (self.folder / "found.txt").open("a") as file:
            line = {"what": what, "where": where, "words": words, "input": f"{stem}.bin"}
            file.write(json.dumps(line) + "\n")


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
    """Read inputs until the time is over, or until one ends this process."""
    try:
        import atheris  # type: ignore[import-not-found]
    except ImportError:
        atheris = None
    if atheris is None:
        watched, dice = Watched(name, folder), random.Random(seed)
        seeds, end_s = watched.parser.seeds(), time.monotonic() + seconds
        while time.monotonic() < end_s:
            watched.read(mutated(dice.choice(seeds), dice))
        return
    with atheris.instrument_imports(include=MODULES):
        watched = Watched(name, folder)
    corpus = folder / "corpus"
    corpus.mkdir(exist_ok=True)
    for n, data in enumerate(watched.parser.seeds()):
        (corpus / f"seed-{n}").write_bytes(data)
    most = (LIMIT_MB + GUIDE_MB) * 1_000_000
    resource.setrlimit(resource.RLIMIT_AS, (most, most))
    options = [
        f"-max_total_time={int(seconds)}", f"-seed={seed}", "-max_len=200000", f"-timeout={HANG_S:g}",
        f"-artifact_prefix={folder}/", "-verbosity=0", "-print_final_stats=0", "-rss_limit_mb=0",
    ]  # fmt: skip
    atheris.Setup([sys.argv[0], *options, str(corpus)], watched.read)
    atheris.Fuzz()
