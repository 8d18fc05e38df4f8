"""A run of the tour as the drift area holds it: read on a thread of its own, its moments, its recording."""

from pathlib import Path

from showcaller.archive import Run, Tour, TourAway
from showcaller.desk.areas.drift.acts import Exporting
from showcaller.desk.areas.drift.driftview import DriftView, drift_view
from showcaller.desk.areas.drift.lists import PAGES, Row
from showcaller.desk.areas.drift.player import Player
from showcaller.desk.background import Background
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QTimer
from showcaller.review import ReviewError
from showcaller.review.aligning import file_seconds, run_ns

PLAY_MS = 15
SAID_MS = 9_000
"""How long what was done, or why not, stays at the foot."""


class DriftRecord(Sheet):
    """A run of the tour, the last one first. ``folder`` is where files are named from."""

    def __init__(self, store: DocumentStore, keys: Keys) -> None:
        super().__init__("Drift: what happened")
        self.store = store
        self.keys = keys
        self._tour: Tour | None = None
        self.runs: list[Run] = []
        self._at = 0
        self.page = PAGES[0]
        self.chosen = 0
        self.item = ""
        self.view: DriftView | None = None
        self.words = "No run is in the tour yet. Call a show, and it is here when it ends."
        self.said = ""
        self.reading = Background("drift", self, nice=True)
        self.writing = Background("reports", self, nice=True)
        self.exporting: Exporting | None = None
        self.player = Player(self)
        self.player.frame_shown.connect(self._shown)
        self._quiet = QTimer(self)
        self._quiet.setSingleShot(True)
        self._quiet.timeout.connect(lambda: self.say(""))
        self._play = QTimer(self)
        self._play.timeout.connect(self._tick)

    @property
    def folder(self) -> Path:
        """Where reports go that are given no folder: beside the show."""
        return self.store.folder or Path()

    # What is shown

    def show_tour(self, tour: Tour) -> None:
        """Read the tour's runs and show the last, or the one that was chosen."""
        self._tour = tour
        before = self.view.run.run_id if self.view is not None else ""
        last = self._at >= len(self.runs) - 1

        def read() -> tuple[list[Run], DriftView | None, str]:
            runs = tour.runs()
            chosen = next((r for r in runs if r.run_id == before and not last), runs[-1] if runs else None)
            return (runs, *_view(tour, chosen))

        self.reading.newest(read, self._take_tour, self._away)

    def _take_tour(self, found: tuple[list[Run], DriftView | None, str]) -> None:
        self.runs, view, words = found
        self.words = words or self.words
        if view is not None:
            self._at = next(n for n, r in enumerate(self.runs) if r.run_id == view.run.run_id)
        self._take_view(view)

    def _away(self, error: Exception) -> None:
        # What was read before stays: it is still what happened.
        if self.view is None:
            self.words = str(error)
        elif not isinstance(error, TourAway):
            self.say(str(error))
        self.update()

    def _take_view(self, view: DriftView | None) -> None:
        same = view is not None and self.view is not None and view.run.run_id == self.view.run.run_id
        self.view = view
        if view is not None:
            self.setAccessibleDescription(f"{view.title}: {view.sentence}")
            if self.item not in dict(view.items):
                self.item = view.items[0][0]
            self.chosen = min(self.chosen, max(0, len(self.rows()) - 1)) if same else 0
            recording = view.report.recordings[0] if view.report.recordings else None
            self.player.open(recording.path if recording is not None else "")
            if recording is not None and (not same or self.player.image is None):
                self._go()
        self.update()

    def choose_run(self, by: int) -> None:
        """Another run: so many on."""
        at = max(0, min(len(self.runs) - 1, self._at + by))
        if at == self._at or self._tour is None:
            return
        self._at = at
        tour, run = self._tour, self.runs[at]
        self.reading.newest(lambda: _view(tour, run), self._take_one, self._away)

    def _take_one(self, found: tuple[DriftView | None, str]) -> None:
        view, words = found
        self.words = words or self.words
        self._take_view(view)

    def rows(self) -> tuple[Row, ...]:
        """The lines of the list that is shown."""
        return () if self.view is None else self.view.rows[self.page]

    def choose(self, row: int, go: bool = True) -> None:
        """Choose a line; the chart shows its item and the recording goes to its moment."""
        rows = self.rows()
        if not rows:
            return
        self.chosen = max(0, min(len(rows) - 1, row))
        if rows[self.chosen].item:
            self.item = rows[self.chosen].item
        if go:
            self._go()
        self.update()

    def turn(self, by: int) -> None:
        """Another list, so many on; it opens at the moment that was chosen."""
        t_ns = self.moment_ns()
        self.page = PAGES[(PAGES.index(self.page) + by) % len(PAGES)]
        self.chosen = 0
        if t_ns is not None:
            at = [n for n, r in enumerate(self.rows()) if r.t_ns is not None and r.t_ns <= t_ns]
            self.chosen = at[-1] if at else 0
        self.update()

    def moment_ns(self) -> int | None:
        """The moment of the chosen line on the run's clock."""
        rows = self.rows()
        return rows[self.chosen].t_ns if self.chosen < len(rows) else None

    def playing_ns(self) -> int | None:
        """The moment of the frame that is shown."""
        zero_ns = self._zero_ns()
        return None if zero_ns is None or self.player.image is None else run_ns(self.player.at_s, zero_ns)

    def _zero_ns(self) -> int | None:
        recordings = () if self.view is None else self.view.report.recordings
        return recordings[0].zero_ns if recordings else None

    def _go(self) -> None:
        t_ns, zero_ns = self.moment_ns(), self._zero_ns()
        if t_ns is not None and zero_ns is not None:
            playing = self.player.playing
            self.player.pause()
            self.player.seek(file_seconds(t_ns, zero_ns))
            if playing:
                self._play.stop()

    def settle(self) -> None:
        """Wait until everything that was asked for is there; for pictures and tests."""
        self.reading.settle()
        self.player.settle()

    # The recording

    def play(self) -> None:
        """Play from here, or pause."""
        if self.player.playing:
            self.player.pause()
            self._play.stop()
        elif self.player.image is not None:
            self.player.play()
            self._play.start(PLAY_MS)
        else:
            self.say(f"no recording to play; {self.keys['drift.recording']} points at one")
        self.update()

    def _tick(self) -> None:
        self.player.tick()
        if not self.player.playing:
            self._play.stop()

    def _step(self, frames: int) -> None:
        self._play.stop()
        self.player.step(frames)

    def _second(self) -> int:
        return round(self.player.facts.rate) if self.player.facts is not None else 25

    def _shown(self) -> None:
        t_ns = self.playing_ns()
        if self.player.playing and t_ns is not None:
            # While it plays the list goes along.
            rows = [(n, r.t_ns) for n, r in enumerate(self.rows()) if r.t_ns is not None]
            at = [n for n, row_ns in rows if row_ns <= t_ns]
            if at and at[-1] != self.chosen:
                self.choose(at[-1], go=False)
        self.update()

    def _need(self) -> tuple[DriftView, Tour]:
        if self.view is None or self._tour is None:
            raise ReviewError(self.words)
        return self.view, self._tour

    def _again(self) -> None:
        """Read the run anew: something was added to it."""
        view, tour = self._need()
        self.reading.newest(lambda: _view(tour, view.run), self._take_one, self._away)

    def say(self, words: str, keep: bool = False) -> None:
        """A word at the foot; it goes after a while unless it is to be kept."""
        self.said = words
        self._quiet.stop()
        if words and not keep:
            self._quiet.start(SAID_MS)
        self.update()

    def close_down(self) -> None:
        """Stop every thread."""
        self._play.stop()
        self.player.close()
        if self.exporting is not None:
            self.exporting.stop()
        self.reading.close()
        self.writing.close()


def _view(tour: Tour, run: Run | None) -> tuple[DriftView | None, str]:
    if run is None:
        return None, "No run is in the tour yet. Call a show, and it is here when it ends."
    try:
        return drift_view(tour, run), ""
    except ReviewError as error:
        return None, f"Run {run.number}: {error}"
