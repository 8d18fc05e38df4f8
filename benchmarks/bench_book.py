"""The book with a very large show: opening, editing, scrolling, in a real window.

``python benchmarks/bench_book.py``; about a minute. Where there is no screen it brings its own (Xvfb). Bars:
a show of 10,000 cues is open within 1.5 s; no edit holds up the event loop for more than 50 ms; a strip with
2,000 cues in view is painted 60 times a second. Beside each a bare baseline from the same run: an empty Qt
window that has read the same file with the JSON library alone; a timer that does nothing.
"""

import json
import os
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "support"))

from virtual_screen import virtual_screen  # noqa: E402

OPEN_S = 1.5
BLOCK_MS = 50.0
FRAME_MS = 1000 / 60


def large_show(songs: int, cues: int, last: int = 0) -> dict[str, Any]:
    """A document of ``songs`` songs with ``cues`` cues each, and if wanted a song with ``last`` cues."""
    data = json.loads((ROOT / "sample_shows" / "breakwater.json").read_text(encoding="utf-8"))
    departments = [d["id"] for d in data["departments"]]
    outlet = next(o["id"] for o in data["outlets"] if o["kind"] == "osc_udp")
    number = dict.fromkeys(departments, 0)

    def cue(song: int, n: int, bars: int) -> dict[str, Any]:
        department = departments[n % len(departments)]
        number[department] += 1
        return {
            "id": f"s{song}-c{n}", "department": department, "number": str(number[department]),
            "label": f"cue {n}", "anchor": {"at": "bar", "bar": 1 + n * bars // 100, "beat": 1 + n % 4},
            "fires": "called" if n % 3 else "by itself", "standby_s": 4,
            "messages": [{"kind": "osc", "outlet": outlet, "address": "/desk/go", "args": [n, 1.5]}],
        }  # fmt: skip

    sections = [{"name": "verse", "bar": 1}, {"name": "chorus", "bar": 30}]
    items = [
        {
            "kind": "song", "id": f"song-{s}", "name": f"Song {s}", "length_s": 240,
            "tempo": [{"bar": 1, "bpm": 120}], "sections": sections,
            "cues": [cue(s, n, 100) for n in range(cues)],
        }
        for s in range(songs)
    ]  # fmt: skip
    if last:
        items.append(
            {
                "kind": "song", "id": "long", "name": "Long", "length_s": 2400, "sections": sections,
                "tempo": [{"bar": 1, "bpm": 120}], "cues": [cue(songs, n, 50) for n in range(last)],
            }
        )  # fmt: skip
    data["items"] = items
    return data


@contextmanager
def screen() -> Iterator[None]:
    """A screen: the one that is there, or a virtual one for the block."""
    if os.environ.get("DISPLAY"):
        yield
        return
    with virtual_screen(size="1920x1080") as display:
        os.environ["DISPLAY"] = display
        yield


def bare(path: Path, began_s: float) -> None:
    """What opening is measured against."""
    from PySide6.QtWidgets import QApplication, QMainWindow

    app = QApplication([])
    json.loads(path.read_text(encoding="utf-8"))
    window = QMainWindow()
    window.resize(1920, 1080)
    window.show()
    while not window.isVisible() or not window.windowHandle().isExposed():
        app.processEvents()
    print(json.dumps({"opened_s": time.time() - began_s}))


def desk(path: Path, began_s: float, only_open: bool) -> None:
    """The real thing: opened, edited, scrolled; prints what was measured."""
    from showcaller.archive import Tour
    from showcaller.desk.app import application
    from showcaller.desk.keys import Keys
    from showcaller.desk.qt import QTimer
    from showcaller.desk.window import DeskWindow
    from showcaller.editing.keeping import Keeper

    loaded_s = time.time() - began_s
    app = application()
    keeper = Keeper(path)
    tour = Tour.open(path.with_suffix(".tour"))
    keys = Keys()
    window = DeskWindow(keeper.show, tour, path.with_suffix(".runs"), keys, keeper=keeper)
    window.resize(1920, 1080)
    window.show_area("Book")
    window.show()
    while not window.windowHandle().isExposed():
        app.processEvents()
    window.book.repaint()
    opened_s = time.time() - began_s
    if only_open:
        print(json.dumps({"opened_s": opened_s, "loaded_s": loaded_s}), flush=True)
        os._exit(0)
    beats: list[float] = []
    timer = QTimer()
    timer.timeout.connect(lambda: beats.append(time.perf_counter()))
    timer.start(1)

    def blocked_ms(since: int) -> float:
        return max((b - a for a, b in zip(beats[since:], beats[since + 1 :], strict=False)), default=0) * 1000

    def wait(seconds: float) -> None:
        end = time.perf_counter() + seconds
        while time.perf_counter() < end:
            app.processEvents()
            time.sleep(0.0005)

    wait(0.2)
    while window.host.preparation.busy:
        wait(0.1)
    prepared_ms = blocked_ms(0)
    rng, edit_ms, acts = random.Random(1), [], window.book.controller
    book = window.book
    for _ in range(120):
        song = f"song-{rng.randrange(90)}"
        mark = len(beats)
        book.state.go_to(song, f"s{song[5:]}-c{rng.randrange(100)}")
        wait(0.01)
        what = rng.randrange(4)
        if what == 0:
            book.controller.attempts.attempt(lambda: acts.cues.nudge(1))
        elif what == 1:
            book.controller.typing.take("label", f"renamed {rng.random()}")
        elif what == 2:
            book.controller.attempts.attempt(lambda: acts.cues.new_cue_typed("lights 7/2 new"))
        else:
            window.store.undo()
        wait(0.05)
        edit_ms.append(blocked_ms(mark))
    mark = len(beats)
    wait(3)
    quiet_ms = blocked_ms(mark)
    book.state.go_to("long", None)
    wait(3)
    frames = []
    book.state.zoom.closer(1.05, 0.0)
    for n in range(150):
        begun = time.perf_counter()
        if n % 3 == 0:
            book.state.zoom.closer(1.02 if n % 2 else 1 / 1.02, 300.0)
        else:
            book.state.zoom.scroll(5 if n % 2 else -3)
        book.repaint()
        frames.append((time.perf_counter() - begun) * 1000)
    keeper.close()
    result = {
        "opened_s": opened_s, "prepared_ms": prepared_ms, "edit_ms": sorted(edit_ms), "quiet_ms": quiet_ms,
        "frame_ms": sorted(frames),
    }  # fmt: skip
    print(json.dumps(result))
    sys.stdout.flush()
    os._exit(0)


def run(what: str, path: Path) -> dict[str, Any]:
    """One of the two in a process of its own; the tour is there, as on every evening but the first."""
    from showcaller.archive import Tour

    if not path.with_suffix(".tour").exists():
        Tour.create(path.with_suffix(".tour"), "Large").close()
    args = [sys.executable, __file__, what, str(path), repr(time.time())]
    done = subprocess.run(args, capture_output=True, text=True, check=True, cwd=ROOT)
    return dict(json.loads(done.stdout.splitlines()[-1]))


def main() -> None:
    """Measure and print."""
    with screen(), tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.json"
        plain = []
        for n in range(3):
            path.write_text(json.dumps(large_show(100, 100)), encoding="utf-8")
            plain.append(run("bare", path)["opened_s"])
            if n == 0:
                run("open", path)  # the first of all reads the libraries from disk
        opened: list[float] = []
        loaded: list[float] = []
        for n in range(3):
            where = Path(folder) / f"{n}" / "large.json"
            where.parent.mkdir()
            where.write_text(json.dumps(large_show(100, 100)), encoding="utf-8")
            found = run("open", where)
            opened.append(found["opened_s"])
            loaded.append(found["loaded_s"])
        base, ours = sorted(plain)[1], sorted(opened)[1]
        print(
            f"open 10,000 cues: {ours:.2f} s = {ours / base:.1f} x a bare window's {base:.2f}; bar {OPEN_S} s"
        )
        program = sorted(loaded)[1]
        print(f"  of which the program's own loading {program:.2f} s, show and window {ours - program:.2f} s")
        long = Path(folder) / "long" / "large.json"
        long.parent.mkdir()
        long.write_text(json.dumps(large_show(90, 100, 2000)), encoding="utf-8")
        found = run("desk", long)
        edits, frames = found["edit_ms"], found["frame_ms"]
        print(
            f"edit: the event loop was held up {middle(edits):.0f} ms in the median, {edits[-1]:.0f} at most;"
        )
        print(
            f"  while calls were worked out {found['prepared_ms']:.0f}, then at rest {found['quiet_ms']:.0f}"
        )
        print(f"  bar {BLOCK_MS:.0f} ms")
        late = frames[round(len(frames) * 0.99) - 1]
        print(f"2,000 cues in view: {middle(frames):.1f} ms a frame, {late:.1f} at p99; bar {FRAME_MS:.1f}")


def middle(ordered: list[float]) -> float:
    """The median of what is in order already."""
    return ordered[len(ordered) // 2]


if __name__ == "__main__":
    if len(sys.argv) > 1:
        what, where, began = sys.argv[1:]
        if what == "bare":
            bare(Path(where), float(began))
        else:
            desk(Path(where), float(began), what == "open")
    else:
        main()
