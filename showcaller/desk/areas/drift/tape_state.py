"""The tape: the song that is looked at as a strip, and the wall at the moment of it; worked out beside the
window."""

from showcaller.desk.areas.drift.driftview import DriftView
from showcaller.desk.areas.drift.lists import TAPED
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.state import DriftState, pass_to
from showcaller.desk.areas.drift.tape_pictures import TapePictures
from showcaller.desk.background import Background
from showcaller.desk.qt import QObject, Signal
from showcaller.model import Show
from showcaller.review.clock_path import Stretch, place_at
from showcaller.review.strip import TapeStrip, run_ns_at, song_strip
from showcaller.review.verdicts import Judged
from showcaller.review.wall_at import WallAfterwards, WallThen, as_the_book_has_it
from showcaller.screen.spread import WallSpread, spread_of
from showcaller.timing.plan import Plan, PlannedItem, compile_plan
from showcaller.values import Struct


class Taped(Struct, frozen=True):
    """A run as the tape needs it: its clock, and its wall at any instant."""

    view: DriftView
    path: tuple[Stretch, ...]
    wall: WallAfterwards


class TapeState(QObject):
    """``strip`` is the song's, ``then`` the wall at ``t_ns``; both None until they are worked out.

    Attributes:
        shown: the tape stands in the charts' place.
        at_s: where on the song's clock the moment is.
    """

    changed = Signal()

    def __init__(self, state: DriftState, recording: RecordingPlayer, parent: QObject) -> None:
        super().__init__(parent)
        self._state, self._recording = state, recording
        self.pictures = TapePictures(state.store, self)
        self._work = Background("tape", parent, nice=True)
        self._taped: Taped | None = None
        self._strips: dict[int, TapeStrip] = {}
        self._own_ns: int | None = None
        self._asked: tuple[DriftView, int | None, Show] | None = None
        self._book: Plan | None = None
        self.strip: TapeStrip | None = None
        self.then: WallThen | None = None
        self.t_ns: int | None = None
        state.went.connect(self._chosen)
        state.changed.connect(self.look)
        state.store.document_changed.connect(self.look)
        recording.changed.connect(self.look)
        self.pictures.made.connect(self.changed)

    @property
    def shown(self) -> bool:
        """The list that is open is about the wall, and the show has one."""
        view = self._state.view
        return view is not None and self._state.page in TAPED and view.report.plan.show.wall is not None

    @property
    def at_s(self) -> float | None:
        """Where the moment is on the clock of the song that is shown."""
        if self.then is None or self.strip is None or self._taped is None:
            return None
        item = self._taped.view.report.plan.items[self.then.item].item.id
        return self.then.at_s if item == self.strip.item else None

    def item(self) -> PlannedItem | None:
        """The song that is shown."""
        items = () if self._taped is None else self._taped.view.report.plan.items
        return next((p for p in items if self.strip is not None and p.item.id == self.strip.item), None)

    def spread(self) -> WallSpread | None:
        """What it is drawn on: all surfaces together."""
        show = None if self._taped is None else self._taped.view.report.plan.show
        return None if show is None or show.wall is None else spread_of(show)

    def verdicts(self) -> tuple[Judged, ...]:
        """Tonight's on the song that is shown."""
        view, strip = self._state.view, self.strip
        if view is None or strip is None:
            return ()
        return tuple(j for j in view.verdicts if j.run == view.run.number and j.item == strip.item)

    def go_to(self, at_s: float) -> None:
        """To a place of the song that is shown."""
        if self._taped is None or self.strip is None:
            return
        plan = self._taped.view.report.plan
        item = next(n for n, p in enumerate(plan.items) if p.item.id == self.strip.item)
        t_ns = run_ns_at(self._taped.path, item, at_s)
        if t_ns is not None:
            self._own_ns = t_ns
            self._recording.go_to(t_ns)
            pass_to(self._state, t_ns)
            self.look()

    def moment_ns(self) -> int | None:
        """The moment that is looked at: the frame's where the recording leads, else what was clicked or
        chosen."""
        frame = self._recording.playing_ns() if self._recording.leads else None
        if frame is not None:
            return frame
        return self._own_ns if self._own_ns is not None else self._state.moment_ns()

    def look(self) -> None:
        """Work out what is wanted now, if it is another."""
        view, t_ns = self._state.view, self.moment_ns()
        if not self.shown or view is None:
            return
        if self._taped is not None and self._taped.view is not view:
            self._taped, self.strip, self.then, self._strips = None, None, None, {}
        book = self._state.store.document
        asked = self._asked
        if asked is None or (asked[0], asked[1]) != (view, t_ns) or asked[2] is not book:
            self._asked = (view, t_ns, book)
            self._work.newest(lambda: self._find(view, t_ns, book), self._found, lambda _error: None)

    def settle(self) -> None:
        """Wait for it; for pictures and tests."""
        self._work.settle()
        self.pictures.settle()

    def close(self) -> None:
        """Stop the thread and the process that composes."""
        self._work.close()
        self.pictures.close()

    def _chosen(self) -> None:
        self._own_ns = None

    def _find(
        self, view: DriftView, t_ns: int | None, book: Show
    ) -> tuple[Taped, TapeStrip | None, WallThen | None, int]:
        report = view.report
        taped = self._taped
        if taped is None or taped.view is not view:
            taped = Taped(view, view.path, WallAfterwards(report.opened, report.plan, report.records))
        then = None if t_ns is None else taped.wall.at(t_ns)
        if then is not None:
            if self._book is None or self._book.show is not book:
                self._book = compile_plan(book)
            then = as_the_book_has_it(then, report.plan, self._book)
        place = None if t_ns is None else place_at(taped.path, t_ns)
        item = place[0] if place is not None else then.item if then is not None else self._first(taped)
        if item is None:
            return taped, None, then, t_ns or 0
        strip = self._strips.get(item) if taped is self._taped else None
        strip = strip or song_strip(report.plan, taped.path, report.records, item)
        return taped, strip, then, t_ns or 0

    @staticmethod
    def _first(taped: Taped) -> int | None:
        return taped.path[0].item if taped.path else None

    def _found(self, found: tuple[Taped, TapeStrip | None, WallThen | None, int]) -> None:
        self._taped, self.strip, self.then, self.t_ns = found
        if self.strip is not None:
            plan = self._taped.view.report.plan
            item = next(n for n, p in enumerate(plan.items) if p.item.id == self.strip.item)
            self._strips[item] = self.strip
            self.pictures.want_bands(plan.show, self.strip)
        if self.then is not None:
            self.pictures.want_then(self._taped.view.report.plan.show, self.then)
        self.changed.emit()
