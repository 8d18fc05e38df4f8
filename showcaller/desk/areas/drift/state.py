"""What the drift area shows: a run of the tour, a list of its record, and the line that is chosen in it."""

from pathlib import Path

from showcaller.archive import Run, TourAway
from showcaller.archive.tour import Tour
from showcaller.desk.areas.drift.decisions import Decisions, same_line
from showcaller.desk.areas.drift.driftview import DriftView, OpenOffers, drift_view
from showcaller.desk.areas.drift.lists import DECIDE, PAGES, WALL, Row, in_order
from showcaller.desk.areas.drift.stood import StoodList
from showcaller.desk.background import Background
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.qt import QObject, Signal
from showcaller.review.errors import ReviewError

NO_RUN = "Nothing is in the tour yet. Call a show or a rehearsal, and it is here when it ends."


class DriftState(QObject):
    """A run of the tour, the last one first; read on a thread of its own.

    Attributes:
        runs, at: the tour's runs, and the place of the one that is shown.
        view: its record, None until one was read; ``words`` then says why.
        page, chosen: which of ``PAGES``, and the place of the chosen line in ``rows``.
        item: the item whose chart is shown.
        decisions: what is to be decided of the run, for the book as it is.
        stood: the lines of the wall's page, of the part of the run that was asked about.
        offers: which of its offers are not in the book yet.
        order: (column, falling) by which the lines are sorted, None as they happened.
    """

    changed = Signal()
    viewed = Signal(bool)
    """A run was read; whether it is the one that was shown before."""
    went = Signal()
    """Another moment was chosen."""
    refused = Signal(str)
    """Why the tour could not be read."""

    def __init__(self, store: DocumentStore, parent: QObject) -> None:
        super().__init__(parent)
        self.store = store
        self.tour: Tour | None = None
        self.runs: list[Run] = []
        self.at = 0
        self.page = PAGES[0]
        self.chosen = 0
        self.item = ""
        self.order: tuple[int, bool] | None = None
        self.stood = StoodList()
        self.decisions = Decisions()
        self.view: DriftView | None = None
        self.words = NO_RUN
        self._sorted: tuple[tuple[Row, ...], tuple[int, bool] | None, tuple[Row, ...]] = ((), None, ())
        self._deciding = False
        self.offers = OpenOffers()
        self.reading = Background("drift", parent, nice=True)

    @property
    def folder(self) -> Path:
        """Where reports go that are given no folder: beside the show."""
        return self.store.folder or Path()

    def rows(self) -> tuple[Row, ...]:
        """The lines of the list that is shown, in the order in which they are shown."""
        rows = () if self.view is None else self.view.rows[self.page]
        if self.page == WALL and self.view is not None:
            rows = self.stood.rows(self.view.report)
        elif self.page == DECIDE and self.view is not None:
            rows = self.decisions.rows(self.view, self.store.document)
        if self._sorted[0] is not rows or self._sorted[1] != self.order:
            before = self._sorted[2] if self._deciding else ()
            self._sorted = (rows, self.order, in_order(rows, self.order))
            self._deciding = self.page == DECIDE
            if before and self._deciding:  # a line more, or one fewer
                self.chosen = same_line(before, self.chosen, self._sorted[2])
        return self._sorted[2]

    def ask_stood(self, text: str) -> None:
        """Show what stood in a part of the run.

        Raises:
            ReviewError: it names none, or no run is shown.
        """
        view, _ = self.need()
        self.stood.ask(view.report, text)
        self.page, self.order, self.chosen = WALL, None, 0
        if self.rows():
            self.choose(0)  # the recording goes to it too
        else:
            self.changed.emit()

    def moment_ns(self) -> int | None:
        """The moment of the chosen line on the run's clock."""
        rows = self.rows()
        return rows[self.chosen].t_ns if self.chosen < len(rows) else None

    def need(self) -> tuple[DriftView, Tour]:
        """The record that is shown, and its tour.

        Raises:
            ReviewError: none is; one sentence.
        """
        if self.view is None or self.tour is None:
            raise ReviewError(self.words)
        return self.view, self.tour

    # Reading

    def show_tour(self, tour: Tour) -> None:
        """Read the tour's runs and show the last, or the one that was chosen."""
        self.tour = tour
        before = self.view.run.run_id if self.view is not None else ""
        last = self.at >= len(self.runs) - 1

        def read() -> tuple[list[Run], DriftView | None, str]:
            runs = tour.runs()
            chosen = next((r for r in runs if r.run_id == before and not last), runs[-1] if runs else None)
            return (runs, *_view(tour, chosen))

        self.reading.newest(read, self._take_tour, self._away)

    def choose_run(self, by: int) -> None:
        """Another run: so many on."""
        at = max(0, min(len(self.runs) - 1, self.at + by))
        if at == self.at or self.tour is None:
            return
        self.at = at
        tour, run = self.tour, self.runs[at]
        self.reading.newest(lambda: _view(tour, run), self._take_one, self._away)

    def again(self) -> None:
        """Read the run anew: something was added to it."""
        view, tour = self.need()
        self.reading.newest(lambda: _view(tour, view.run), self._take_one, self._away)

    # Choosing

    def choose(self, row: int, go: bool = True) -> None:
        """Choose a line; the chart shows its item and, if asked to ``go``, the recording its moment."""
        rows = self.rows()
        if not rows:
            return
        self.chosen = max(0, min(len(rows) - 1, row))
        if rows[self.chosen].item:
            self.item = rows[self.chosen].item
        if go:
            self.went.emit()
        self.changed.emit()

    def turn(self, by: int) -> None:
        """Another list, so many on, as it happened; it opens at the moment that was chosen."""
        t_ns = self.moment_ns()
        self.page, self.order = PAGES[(PAGES.index(self.page) + by) % len(PAGES)], None
        self.chosen = 0
        if t_ns is not None:
            at = [n for n, r in enumerate(self.rows()) if r.t_ns is not None and r.t_ns <= t_ns]
            self.chosen = at[-1] if at else 0
        self.changed.emit()

    def sort(self, order: tuple[int, bool] | None) -> None:
        """Show the lines in another order; the same line stays chosen."""
        rows = self.rows()
        self.order = order
        if self.chosen < len(rows):
            self.chosen = next(n for n, r in enumerate(self.rows()) if r is rows[self.chosen])
        self.changed.emit()

    def _take_tour(self, found: tuple[list[Run], DriftView | None, str]) -> None:
        self.runs, view, words = found
        if view is not None:
            self.at = next(n for n, r in enumerate(self.runs) if r.run_id == view.run.run_id)
        self._take_one((view, words))

    def _take_one(self, found: tuple[DriftView | None, str]) -> None:
        view, words = found
        self.words = words or self.words
        same = view is not None and self.view is not None and view.run.run_id == self.view.run.run_id
        self.view = view
        self.stood.forget(same)
        if view is not None:
            if self.item not in dict(view.items):
                self.item = view.items[0][0]
            last = max(0, len(self.rows()) - 1)
            self.chosen = min(self.chosen, last) if same else 0
            self.viewed.emit(same)
        self.changed.emit()

    def _away(self, error: Exception) -> None:
        # What was read before stays: it is still what happened.
        if self.view is None:
            self.words = str(error)
        elif not isinstance(error, TourAway):
            self.refused.emit(str(error))
        self.changed.emit()


def pass_to(state: DriftState, t_ns: int) -> None:
    """Choose the last line that was so at a moment; what is looked at is there already."""
    moments = ((r.t_ns, -n) for n, r in enumerate(state.rows()) if r.t_ns is not None)
    passed = max((at for at in moments if at[0] <= t_ns), default=None)
    if passed is not None and -passed[1] != state.chosen:
        state.choose(-passed[1], go=False)


def _view(tour: Tour, run: Run | None) -> tuple[DriftView | None, str]:
    if run is None:
        return None, NO_RUN
    try:
        return drift_view(tour, run), ""
    except ReviewError as error:
        return None, f"Run {run.number}: {error}"
