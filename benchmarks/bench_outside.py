"""What reading files from outside costs, and what files that were made to do harm cost.

``python benchmarks/bench_outside.py [--quick]``; two minutes. The start of the child beside the bare start of
the interpreter in the same run; then each hostile file through the real child: what was said, how long it
took, the child's peak memory, the longest silence without a line of progress, and how late a thread that
ticks every 5 ms in the asking process was meanwhile (that stands for the window). Written to
``outside_results.json`` as ``starting`` and ``hostile``.
"""

import argparse
import itertools
import json
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

from fuzz import machine, note

ROOT = Path(__file__).resolve().parent.parent
sys.path[:0] = [str(ROOT / "tests" / "support")]


def timed(words: list[str], times: int) -> list[float]:
    """Seconds that a process took, each time."""
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        subprocess.run(words, input=b"", capture_output=True, check=False)
        took.append(time.perf_counter() - begun)
    return took


def starting(times: int) -> dict[str, Any]:
    """The child that reads nothing, beside the bare interpreter."""
    from showcaller.outside.asking import ask

    bare, ours = [], []
    os.environ["PYTHONPATH"] = str(Path(__file__).parent)
    for _ in range(times):  # in turns, so that both meet the same machine
        bare += timed([sys.executable, "-c", "pass"], 1)
        begun = time.perf_counter()
        ask("bench_outside_child:nothing", name="x")
        ours.append(time.perf_counter() - begun)
    medians = statistics.median(bare), statistics.median(ours)
    return {
        "times": times, "bare_ms": round(1000 * medians[0], 1), "child_ms": round(1000 * medians[1], 1),
        "ratio": round(medians[1] / medians[0], 2), "machine": machine(),
    }  # fmt: skip


class Ticking:
    """How late a thread that wants to run every 5 ms was, ms."""

    def __enter__(self) -> "Ticking":
        self.late_ms: list[float] = []
        self._over = threading.Event()
        self._thread = threading.Thread(target=self._tick)
        self._thread.start()
        return self

    def _tick(self) -> None:
        due = time.perf_counter()
        while not self._over.is_set():
            due += 0.005
            time.sleep(max(0.0, due - time.perf_counter()))
            self.late_ms.append(1000 * (time.perf_counter() - due))
            due = max(due, time.perf_counter() - 0.005)

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()


def hostile(folder: Path) -> dict[str, Callable[[], Path]]:
    """What was made to do harm, by what it is."""
    from openpyxl import Workbook

    def xlsx(cell: str = "", merge: str = "") -> Path:
        path = folder / f"x{cell}{merge.replace(':', '-')}.xlsx"
        made = Workbook()
        made.active.append(["Song", "Length"])
        made.active.append(["Low Water", "5:10"])
        if cell:
            made.active[cell] = "far"
        made.save(path)
        if merge:
            with zipfile.ZipFile(path) as archive:
                parts = {n: archive.read(n) for n in archive.namelist()}
            sheet = "xl/worksheets/sheet1.xml"
            merged = f'<mergeCells count="1"><mergeCell ref="{merge}"/></mergeCells>'.encode()
            parts[sheet] = parts[sheet].replace(b"</sheetData>", b"</sheetData>" + merged)
            with zipfile.ZipFile(path, "w") as archive:
                for name, data in parts.items():
                    archive.writestr(name, data)
        return path

    def packed(name: str, part: str, data: bytes) -> Path:
        path = xlsx() if name.endswith("xlsx") else folder / name
        if name.endswith("xlsx"):
            with zipfile.ZipFile(path) as archive:
                parts = {n: archive.read(n) for n in archive.namelist()}
        else:
            parts = {}
        if part == "xl/sharedStrings.xml":
            kinds = parts["[Content_Types].xml"].decode()
            if part not in kinds:
                kind = "application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"
                one = f'<Override PartName="/{part}" ContentType="{kind}"/></Types>'
                parts["[Content_Types].xml"] = kinds.replace("</Types>", one).encode()
        with zipfile.ZipFile(folder / name, "w", zipfile.ZIP_DEFLATED) as archive:
            for other, content in {**parts, part: data}.items():
                archive.writestr(other, content)
        return folder / name

    def text(name: str, words: str) -> Path:
        (folder / name).write_text(words, encoding="utf-8")
        return folder / name

    def ods(body: bytes) -> bytes:
        return (
            b'<o:d xmlns:o="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
            b'xmlns:t="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
            b'xmlns:x="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><t:table t:name="a">'
            + body + b"</t:table></o:d>"
        )  # fmt: skip

    shared = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
    row = b'<row r="%d"><c r="A%d" t="inlineStr"><is><t>Low Water</t></is></c></row>'
    sheet = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
    full = sheet + b"".join(row % (n, n) for n in range(1, 1_000_001)) + b"</sheetData></worksheet>"
    cell = b"<t:table-cell><x:p>Low Water</x:p></t:table-cell>"
    deadly = ROOT / "tests" / "editing" / "importing" / "damaged" / "deadly.otio"
    return {
        "xlsx: one cell at XFD1048576": lambda: xlsx("XFD1048576"),
        "xlsx: merge of 17 thousand million cells": lambda: xlsx(merge="A3:XFD1048576"),
        "xlsx: a million rows": lambda: packed("rows.xlsx", "xl/worksheets/sheet1.xml", full),
        "xlsx: 200 MB of shared texts": lambda: packed(
            "shared.xlsx", "xl/sharedStrings.xml", shared + b"<si><t>x</t></si>" * 11_000_000 + b"</sst>"
        ),
        "xlsx: unpacks to 300 MB": lambda: packed("bomb.xlsx", "xl/sharedStrings.xml", b" " * 300_000_000),
        "ods: a million rows": lambda: packed(
            "rows.ods", "content.xml", ods((b"<t:table-row>" + cell * 2 + b"</t:table-row>") * 1_000_000)
        ),
        "ods: a row of a million cells": lambda: packed(
            "wide.ods", "content.xml", ods(b"<t:table-row>" + cell * 1_000_000 + b"</t:table-row>")
        ),
        "ods: a hundred thousand elements in each other": lambda: packed(
            "deep.ods", "content.xml", ods(b"<x:p>" * 100_000 + b"</x:p>" * 100_000)
        ),
        "csv: a million rows": lambda: text("rows.csv", "Song,Length\n" + "Low Water,5:10\n" * 1_000_000),
        "csv: a line of 60 MB": lambda: text("line.csv", "x," * 30_000_000),
        "json: 100 MB as a timeline": lambda: text("big.otio", '{"a": "' + "x" * 100_000_000 + '"}'),
        "otio: nested a million deep": lambda: text("deep.otio", '{"a":' * 1_000_000),
        "otio: found by fuzzing, would end its library": lambda: deadly,
        "otio: 16 MB of objects": lambda: text("many.otio", "[" + "{}," * 5_000_000 + "{}]"),
        "midi: 4 MB of events": lambda: midi(folder / "many.mid"),
    }


def midi(path: Path) -> Path:
    """Two million running-status events."""
    track = b"\x00\x90\x40\x40" + b"\x00\x40\x40" * 1_300_000 + b"\x00\xff\x2f\x00"
    head = b"MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0"
    path.write_bytes(head + b"MTrk" + len(track).to_bytes(4, "big") + track)
    return path


def tried(path: Path) -> dict[str, Any]:
    """One hostile file through the real child."""
    from small_shows import item, show

    from showcaller.editing.importing import FileError
    from showcaller.editing.importing.taking_in import understand_outside

    book = show([item("one", 120, [], tempo=[{"bar": 1, "bpm": 120}])])
    heard = [time.perf_counter()]
    begun = time.perf_counter()
    with Ticking() as ticking:
        try:
            found = understand_outside(book, path, "one", seen=lambda *_: heard.append(time.perf_counter()))
            words = found[0].summary
        except FileError as error:
            words = str(error)
    heard.append(time.perf_counter())
    silence = max(b - a for a, b in itertools.pairwise(heard))
    peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
    late = sorted(ticking.late_ms)
    return {
        "said": words, "s": round(time.perf_counter() - begun, 2), "longest_silence_s": round(silence, 2),
        "child_peak_mb": round(peak / 1024), "ticks": len(late),
        "late_ms_p99": round(late[int(len(late) * 0.99)], 2), "late_ms_worst": round(late[-1], 2),
    }  # fmt: skip


def main() -> None:
    """Measure, tell, write down."""
    parse = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parse.add_argument("--quick", action="store_true", help="fewer starts")
    parse.add_argument("--one", type=Path, help=argparse.SUPPRESS)
    given = parse.parse_args()
    if given.one:
        sys.stdout.write(json.dumps(tried(given.one)))
        return
    begun = starting(10 if given.quick else 50)
    print(json.dumps(begun, indent=1))
    note(begun, "starting")
    with tempfile.TemporaryDirectory() as place:
        for what, make in hostile(Path(place)).items():
            # Asked by a fresh process: the peak of a child counts what its parent held when it began.
            words = [sys.executable, __file__, "--one", str(make())]
            found = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)
            print(f"{what}: {found}", flush=True)
            note({what: found}, "hostile")


if __name__ == "__main__":
    main()
