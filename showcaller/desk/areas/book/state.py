"""What the book shows: the item and cue that are chosen, compiled, with the form of what is chosen."""

from dataclasses import replace

from showcaller.calling.status_view import Figure
from showcaller.desk.areas.book.chosen import Chosen
from showcaller.desk.areas.book.form import Form, form_of
from showcaller.desk.areas.book.stripview import StripView
from showcaller.desk.areas.book.workout import AT_ONCE, LOOK_AT_ONCE, Worked, WorkingOut, first_look, work_out
from showcaller.desk.areas.book.zoom import Zoom
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.qt import QObject, Signal
from showcaller.desk.reference_peaks import ReferencePeaks
from showcaller.editing.cues import cue_of
from showcaller.editing.running_order import place_of
from showcaller.model import Cue, Show
from showcaller.model.references import item_with_cue
from showcaller.timing.plan import PlannedItem


class BookState(QObject):
    """Owns what is chosen, the zoom and what is compiled; ``changed`` whenever any of it is another.

    Attributes:
        planned: the chosen item, compiled; of a very full one that which was compiled last.
        view: its strip.
        form: the fields of what is chosen.
    """

    changed = Signal()

    def __init__(self, store: DocumentStore, parent: QObject) -> None:
        super().__init__(parent)
        self.store = store
        self.chosen = Chosen(store.show_now.items[0].id)
        self.zoom = Zoom(self)
        self.planned: PlannedItem | None = None
        self.view: StripView | None = None
        self.form = Form()
        self.ends: tuple[Figure, ...] = ()
        self.peaks = ReferencePeaks(self.zoom.changed.emit, self)
        self._worked: Worked | None = None
        self._told: tuple[Show | None, StripView | None, Chosen] = (None, None, self.chosen)
        self._working = WorkingOut(self._take, self)
        store.changed.connect(self._show_changed)

    @property
    def show_now(self) -> Show:
        """The show as it is edited."""
        return self.store.show_now

    def refresh(self) -> None:
        """Compile the chosen item; the calls of a full one beside the window, all of a very full one."""
        show = self.show_now
        index = place_of(show, self.chosen.item)
        item = show.items[index]
        self._working.forget()
        another = self.planned is None or self.planned.item.id != item.id
        if len(item.cues) <= AT_ONCE:
            self._take(work_out(show, index))
        else:
            self._working.want(show, index)
            if another or len(item.cues) <= LOOK_AT_ONCE:
                self._take(first_look(show, index, self._worked))
            else:
                self.tell()
        self.peaks.want(self.store.folder, getattr(item, "reference", None))

    def tell(self) -> None:
        """Read the form of what is chosen, and tell that it is another."""
        self._told = self.show_now, self.view, replace(self.chosen)
        self.form = form_of(self.show_now, self.chosen)
        self.changed.emit()

    def show_ends(self, ends: tuple[Figure, ...]) -> bool:
        """When the show will end; whether that is another minute, the last second is of no interest here."""
        if [(f.label, f.value[:5]) for f in ends] == [(f.label, f.value[:5]) for f in self.ends]:
            return False
        self.ends = ends
        return True

    def cue(self) -> Cue | None:
        """The chosen cue, as the show has it: the strip of a very full item may still be on its way."""
        return None if self.chosen.cue is None else cue_of(self.show_now, self.chosen.cue)

    def cue_index(self) -> int | None:
        """Its place on the strip."""
        if self.chosen.cue is None:
            return None
        cues = () if self.planned is None else self.planned.cues
        return next((n for n, c in enumerate(cues) if c.cue.id == self.chosen.cue), None)

    def about_s(self) -> float:
        """The second a key zooms about: the chosen cue's, or the middle of what is in view."""
        index, window = self.cue_index(), self.zoom.now
        if index is None or self.planned is None:
            return window.start_s + window.span_s / 2
        return float(self.planned.cues[index].at_s)

    def choose_item(self, item_id: str, cue_id: str | None = None) -> None:
        """Choose an item, and no cue in it or this one."""
        if item_id != self.chosen.item:
            self.zoom.window = None
        self.chosen.item, self.chosen.cue, self.chosen.of_show = item_id, cue_id, False
        self.refresh()

    def choose_cue(self, cue_id: str | None) -> None:
        """Choose a cue of the item, or none; it comes into view."""
        self.chosen.cue, self.chosen.of_show = cue_id, False
        index = self.cue_index()
        if index is not None and self.planned is not None:
            self.zoom.show(float(self.planned.cues[index].at_s))
        # An edit tells what it changed, and what is chosen after it is mostly the same.
        show, view, chosen = self._told
        if show is not self.show_now or view is not self.view or chosen != self.chosen:
            self.tell()

    def choose_show(self) -> None:
        """Choose the show itself."""
        self.chosen.cue, self.chosen.of_show = None, True
        self.tell()

    def go_to(self, item_id: str, cue_id: str | None) -> None:
        """Choose a place in the book: told once, item and cue together."""
        self.choose_item(item_id, cue_id)
        if cue_id is not None:
            self.choose_cue(cue_id)

    def close(self) -> None:
        """End what is being read and compiled."""
        self.peaks.close()
        self._working.close()

    def _show_changed(self) -> None:
        """The show was changed, here or by an undo: what is chosen may be gone."""
        show, chosen = self.show_now, self.chosen
        ids = [item.id for item in show.items]
        if chosen.item not in ids:
            chosen.item, chosen.cue = ids[0], None
        held = None if chosen.cue is None else item_with_cue(show, chosen.cue)
        if held is None or held.id != chosen.item:  # an undo may have put it back into another item
            chosen.cue = None
        self.refresh()

    def _take(self, worked: Worked) -> None:
        if worked.item.id != self.chosen.item:
            return
        self._worked, self.planned, self.view = worked, worked.planned, worked.view
        self.zoom.fit(float(worked.item.length_s))
        self.tell()
