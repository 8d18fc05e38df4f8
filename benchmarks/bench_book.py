"""The book with a very large show: opening, editing, scrolling, in a real window.

``python benchmarks/bench_book.py``; about a minute. Where there is no screen it brings its own (Xvfb). Bars:
a show of 10,000 cues is open within 4 times as long as a bare window takes that reads the same file with the
JSON library alone; the event loop is held up for at most 16 ms at p95, by an edit and in each tenth of a
second while the calls of the whole show are worked out; a strip with 2,000 cues in view is painted within
twice the time of a bare painter's loop over the same marks.
"""

import gc
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

from results import keep  # noqa: E402
from virtual_screen import virtual_screen  # noqa: E402

OPEN_RATIO = 4.0
BLOCK_MS = 16.0
FRAME_RATIO = 2.0


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


def bare_strip(book: Any, window: Any) -> Any:
    """A widget of the strip's size that puts the same marks there with a painter and nothing to work out.

    For every cue a picture and, where it is called, a line; as many numbers, and as many boxes of what is
    spoken, as there is room for.
    """
    from showcaller.desk.qt import QColor, QLineF, QPainter, QPixmap, QPointF, QRectF, Qt, QWidget

    view, width, height = book.state.view, book.strip.width(), book.strip.height()
    stamp = QPixmap(29, 29)
    stamp.fill(QColor(0, 0, 0, 0))
    painter = QPainter(stamp)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setBrush(QColor("#80a0ff"))
    painter.drawEllipse(QRectF(4, 4, 20, 20))
    painter.end()
    scale = (width - 148) / view.length_s
    marks = [(132 + m.at_s * scale, 112 + 30 * m.lane) for m in view.marks]
    tails = [
        QLineF(132 + m.standby_s * scale, 112 + 30 * m.lane, 132 + m.at_s * scale, 112 + 30 * m.lane)
        for m in view.marks
        if m.standby_s is not None
    ]
    numbers = [
        (132.0 + 40 * n, 108.0 + 30 * lane, "1234") for n in range(28) for lane in range(len(view.lanes))
    ]
    boxes = [
        QRectF(132 + x.starts_s * scale, height - 40, max(2, (x.ends_s - x.starts_s) * scale), 20)
        for x in view.spoken[:: max(1, len(view.spoken) // 700)]
    ]
    ground, line, text = QColor("#101010"), QColor("#406040"), QColor("#d0d0d0")

    class Bare(QWidget):
        def paintEvent(self, _event: object) -> None:  # noqa: N802 - Qt's name
            painter = QPainter(self)
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            painter.fillRect(self.rect(), ground)
            painter.setPen(line)
            painter.drawLines(tails)
            for x, y in marks:
                painter.drawPixmap(QPointF(x - 14, y - 14), stamp)
            painter.setPen(text)
            for x, y, number in numbers:
                painter.drawText(QPointF(x, y), number)
            for box in boxes:
                painter.fillRect(box, line)
            painter.end()

    made = Bare(window)
    made.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)  # as the strip: nothing under it is painted
    made.setGeometry(book.strip.geometry().translated(0, 100))
    made.show()
    made.raise_()
    return made


def desk(path: Path, began_s: float, only_open: bool) -> None:
    """The real thing: opened, edited, scrolled; prints what was measured."""
    gc.disable()  # as the command does; the window turns it on again
    from showcaller.desk.app import application
    from showcaller.desk.keys import Keys
    from showcaller.desk.qt import QTimer
    from showcaller.desk.tourfile import paths_for, tour_for_desk
    from showcaller.desk.window import DeskWindow
    from showcaller.editing.keeping import Keeper

    loaded_s = time.time() - began_s
    app = application()
    keeper = Keeper(path)
    tour = tour_for_desk(paths_for(path), keeper.show.name)
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
    busy_ms: list[float] = []
    while window.host.preparation.busy:
        mark = len(beats)
        wait(0.1)
        busy_ms.append(blocked_ms(max(0, mark - 1)))
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
    book.state.zoom.closer(1.05, 0.0)
    beside = bare_strip(book, window)
    frames, bare_frames = [], []
    for n in range(150):
        if n % 3 == 0:
            book.state.zoom.closer(1.02 if n % 2 else 1 / 1.02, 300.0)
        else:
            book.state.zoom.scroll(5 if n % 2 else -3)
        for widget, found in ((book.strip, frames), (beside, bare_frames)):  # turn by turn
            begun = time.perf_counter()
            widget.repaint()
            found.append((time.perf_counter() - begun) * 1000)
    keeper.close()
    result = {
        "opened_s": opened_s, "prepared_ms": prepared_ms, "edit_ms": sorted(edit_ms), "quiet_ms": quiet_ms,
        "frame_ms": sorted(frames), "bare_ms": sorted(bare_frames), "busy_ms": sorted(busy_ms),
    }  # fmt: skip
    print(json.dumps(result))
    sys.stdout.flush()
    os._exit(0)


def run(what: str, path: Path) -> dict[str, Any]:
    """One of the two in a process of its own; the tour is there, as on every evening but the first."""
    from showcaller.archive.tour import Tour

    if not path.with_suffix(".tour").exists():
        Tour.create(path.with_suffix(".tour"), "Large").close()
    # Both as they are installed, with byte code: what is installed by pip or run.py has it.
    env = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    args = [sys.executable, __file__, what, str(path), repr(time.time())]
    done = subprocess.run(args, capture_output=True, text=True, check=True, cwd=ROOT, env=env)
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
        program = sorted(loaded)[1]
        print(f"open 10,000 cues: {ours:.2f} s, a bare window {base:.2f}")
        print(f"  of which the program's own loading {program:.2f} s, show and window {ours - program:.2f} s")
        verdict("beside a bare window", ours / base, OPEN_RATIO, "x")
        long = Path(folder) / "long" / "large.json"
        long.parent.mkdir()
        long.write_text(json.dumps(large_show(90, 100, 2000)), encoding="utf-8")
        found = run("desk", long)
        edits, busy = found["edit_ms"], found["busy_ms"]
        print(
            f"edit: the event loop was held up {middle(edits):.0f} ms in the median, {edits[-1]:.0f} at most;"
        )
        print(f"  while calls were worked out {busy[-1]:.0f} at most, then at rest {found['quiet_ms']:.0f}")
        verdict("an edit, p95", p95(edits), BLOCK_MS, " ms")
        verdict("while calls are worked out, p95 of tenths of a second", p95(busy), BLOCK_MS, " ms")
        frames, bare_frames = found["frame_ms"], found["bare_ms"]
        print(f"2,000 cues in view: {middle(frames):.1f} ms a frame, a bare loop {middle(bare_frames):.1f}")
        verdict("a frame beside the bare loop", middle(frames) / middle(bare_frames), FRAME_RATIO, "x")
        keep(
            "book",
            {
                "open s": round(ours, 2), "bare window s": round(base, 2), "times": round(ours / base, 1),
                "edit, event loop held up p95 ms": round(p95(edits), 1),
                "while calls are worked out p95 ms": round(p95(busy), 1),
                "a frame of 2,000 cues ms": round(middle(frames), 1),
                "bare loop ms": round(middle(bare_frames), 1),
            },
        )  # fmt: skip


def verdict(words: str, figure: float, bar: float, unit: str) -> None:
    """Print one bar and whether it is met."""
    print(f"  {'met   ' if figure <= bar else 'MISSED'} {words}: {figure:.1f}{unit} (at most {bar:g}{unit})")


def p95(ordered: list[float]) -> float:
    """Below which 95 of 100 lie, of what is in order already."""
    return ordered[max(0, round(len(ordered) * 0.95) - 1)]


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
