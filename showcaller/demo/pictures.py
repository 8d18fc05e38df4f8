"""Pictures of the desk at an instant of a run, replayed from the run's own records."""

from pathlib import Path

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.desk.app import application
from showcaller.desk.keys import Keys
from showcaller.desk.run_controller import RunController
from showcaller.desk.tour_reading import plan_of
from showcaller.desk.window import DeskWindow
from showcaller.editing.keeping import Keeper
from showcaller.run import events as ev
from showcaller.run.commands import Go as GoCommand
from showcaller.run.compiled import NS, compile_show
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import Record
from showcaller.timing.calls.compiling import compile_show_calls

SIZES = ((1280, 720), (1920, 1080), (2560, 1440))


class ReplayHost(RunController):
    """A host whose run stands still at an instant."""

    keeps = False
    _now_ns = 0
    _wall_ns = 0
    _number = 0

    def stand_at(self, book: RunBook, now_ns: int, wall_ns: int, run: int) -> None:
        """Show the run as it was at ``now_ns``."""
        self._preview, self._now_ns, self._wall_ns, self._number = book, now_ns, wall_ns, run

    def now_ns(self) -> int:
        return self._now_ns

    def wall_ns(self) -> int:
        return self._wall_ns

    def poll(self) -> bool:
        return False

    def badge(self) -> tuple[str, str]:
        return "REPLAY", "caution"

    def run_words(self) -> str:
        kind = "rehearsal" if self.book.state.all_muted else "show"
        return f"edition {self.editions.number} · {kind} {self._number}"


def take_pictures(
    tour: Tour, run: Run, folder: Path, document: Path, sizes: tuple[tuple[int, int], ...] = SIZES
) -> list[Path]:
    """A picture of every area at every size; the call area just before a go in the middle of the show.

    ``document`` is the show's, whose media lie beside it.
    """
    app = application()
    records = tour.records(run)
    plan = plan_of(tour, run)
    compiled = compile_show(plan)
    keeper = Keeper(document)
    window = DeskWindow(plan.show, tour, folder, Keys(), host=ReplayHost, keeper=keeper)
    book = RunBook(compiled, compile_show_calls(plan))
    at = telling_instant(records)
    book.take(records[:at])
    now_ns = records[at].t_ns - int(2.6 * NS)
    host = window.host
    assert isinstance(host, ReplayHost)
    host.stand_at(book, now_ns, records[at].wall_ns - int(2.6 * NS), run.number)
    taken = []
    window.show()
    for width, height in sizes:
        window.resize(width, height)
        for area in ("Call", "Book", "Wall", "Drift"):
            window.show_area(area)
            if area == "Drift":
                window.drift.settle()
            if area == "Book":
                window.book.show_book(book, book.state.item)
            app.processEvents()
            window.frame()
            app.processEvents()
            if area == "Wall":
                window.wall.settle(30.0)
                app.processEvents()
            path = folder / f"{area.lower()}-{width}x{height}.png"
            if not window.grab().save(str(path)):
                raise OSError(f"cannot write {path}")
            taken.append(path)
    window.stop()
    keeper.close()
    return taken


def telling_instant(records: list[Record]) -> int:
    """The place of a go worth a picture: late in the show, of several departments, answered."""
    best, at = -1, 0
    goes = [n for n, r in enumerate(records) if isinstance(r.input, GoCommand)]
    middle = len(records) * 0.62
    for n in goes:
        fired = [e for e in records[n].events if isinstance(e, ev.Fired)]
        starts = any(isinstance(e, ev.ItemStarted) for e in records[n].events)
        quiet = n > 0 and records[n].t_ns - records[n - 1].t_ns > 3 * NS
        score = (0 if starts or not quiet else 100 * len(fired)) - int(abs(n - middle) / 8)
        if score > best:
            best, at = score, n
    return at
