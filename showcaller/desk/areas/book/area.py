"""The book: the running order, the chosen item's strip, the form of what is chosen, all to be changed."""

from showcaller.calling.status_view import Figure
from showcaller.desk.areas.book.controller import BookController
from showcaller.desk.areas.book.cue_form import CueForm
from showcaller.desk.areas.book.foot import foot_words
from showcaller.desk.areas.book.order import FIGURES, TOP, draw_sums
from showcaller.desk.areas.book.order_list import OrderList, order_lines
from showcaller.desk.areas.book.page_view import PageView
from showcaller.desk.areas.book.song_strip import BESIDE, SongStrip
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.buttons import Buttons
from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.paint.field_edit import FieldEdit
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.views import TEXT_PX
from showcaller.desk.paint.where import draw_where
from showcaller.desk.qt import (
    QAccessible,
    QAccessibleEvent,
    QContextMenuEvent,
    QMouseEvent,
    QRect,
    QRectF,
    Qt,
    QWheelEvent,
)
from showcaller.desk.said import FootWords
from showcaller.editing.placing import cue_name
from showcaller.run.runbook import RunBook

SAID_MS = 12_000
"""How long what was done, or why not, stays at the foot."""
LEFT, RIGHT = 352, 28
"""Where strip, form and pages begin, and how far from the right edge they end, px at 1920×1080."""
HEADING = 36
"""Room for the form's heading, px at 1920×1080."""


class BookArea(Sheet):
    """Puts the book's widgets together: state, controller, and what lies between and around them on paper."""

    def __init__(self, store: DocumentStore, around: DeskContext) -> None:
        super().__init__("Book: the plan, item by item")
        self._around = around
        self.state = BookState(store, self)
        self.said = FootWords(SAID_MS, self)
        self.buttons = Buttons(self, "Book", around.keys, self.perform)
        self.order, self.strip = OrderList(self), SongStrip(self.state, self)
        self.form, self.page, self.edit = CueForm(self), PageView(self), FieldEdit(self)
        self.controller = BookController(self.state, self.said, around, self.form, self.page, self.edit, self)
        self._connect()
        self.state.refresh()

    def _connect(self) -> None:
        state, controller = self.state, self.controller
        state.changed.connect(self._told)
        state.zoom.changed.connect(self.strip.update)
        self.said.changed.connect(self.update_between)
        controller.pages.changed.connect(self._told)
        self.edit.turned.connect(self.update_between)
        self.page.chose.connect(controller.pages.take_row)
        self.order.chose.connect(controller.choose_item)
        self.order.typed.connect(lambda _: controller.typing.open(0))
        self.order.moved.connect(controller.move_item)
        self.order.asked.connect(controller.menu_of)
        self.form.opened.connect(controller.open_field)
        for view in (self.order, self.form.short, self.form.long, self.page.list):
            view.copied.connect(self.said.copied)
        self.strip.chose.connect(controller.choose_cue)
        self.strip.opened.connect(lambda: controller.typing.open(0))
        self.strip.dropped.connect(controller.drop_cue)
        self.strip.placed.connect(controller.place_cue)
        self.strip.zoomed.connect(state.zoom.closer)
        self.strip.scrolled.connect(state.zoom.scroll)

    # What the desk asks of it

    def show_book(self, book: RunBook, item: int | None = None) -> None:
        """Follow a run to the item that is on, if one is given."""
        if item is not None and 0 <= item < len(book.compiled.items):
            wanted = book.compiled.items[item].planned.item.id
            if any(i.id == wanted for i in self.state.show_now.items):
                self.state.choose_item(wanted)

    def show_ends(self, ends: tuple[Figure, ...]) -> None:
        """Show when the show will end."""
        if self.state.show_ends(ends):
            self.update_between()

    def perform(self, name: str) -> None:
        """One of the book's actions."""
        self.controller.perform(name)

    def leave(self) -> bool:
        """Stop what is being read, or leave the open page."""
        return self.controller.leave()

    def close_down(self) -> None:
        """The desk closes: end what is being read."""
        self.controller.close()
        self.state.close()

    # What is shown

    def _told(self) -> None:
        """Something else is chosen, or is otherwise now: every widget shows it, a screen reader says it."""
        state, page = self.state, self.controller.pages.now
        assert state.view is not None
        cue = state.cue()
        title = state.view.title if cue is None else cue_name(state.show_now, cue)
        self.order.show_order(order_lines(state.show_now), state.chosen.item)
        self.form.show_form(state.form, "the show" if state.chosen.of_show else title)
        self.strip.setAccessibleDescription(f"{state.view.title}. {state.view.facts}")
        self.page.show_page(page)
        self._lay_out()
        if page is not None:
            words = page.spoken()
        else:
            fields = ", ".join(f"{f.label} {f.text}" for f in state.form.fields if f.text and f.label)
            words = f"{title}. {state.view.facts if cue is None else ''} {fields}"
        self.setAccessibleDescription(words)
        QAccessible.updateAccessibility(QAccessibleEvent(self, QAccessible.Event.DescriptionChanged))
        self.strip.update()
        self.update_between()

    def _lay_out(self) -> None:
        """Where strip, running order and form lie at this size."""
        k, width, height = self.scale(), self.width(), self.height()
        row = int(36 * k)
        self.order.fit(18 * k, row)
        high = max(3 * row, height - int((TOP + FIGURES) * k))
        edge = int(28 * k) - TEXT_PX
        self.order.setGeometry(edge, int(TOP * k), int(318 * k) - edge, high // row * row)
        left, right, top = int((LEFT - 12) * k), int(width - RIGHT * k), int(98 * k)
        self.strip.resize(right - left + int(BESIDE * k), self.strip.height())
        deep = self.strip.lay_out(height - top - 600 * k)
        self.strip.setGeometry(left, top, self.strip.width(), int(deep))
        # Room for two warnings is always kept: fields that jump are missed by the hand.
        form_top = top + deep + HEADING * k
        edge = int(LEFT * k) - TEXT_PX
        self.form.place(QRectF(edge, form_top, right - edge, height - form_top - 40 * k), k)
        open_page = self.controller.pages.now is not None
        if open_page:
            self.page.place(QRect(edge, int(96 * k), right - edge, int(height - 140 * k)), k)
        self.strip.setVisible(not open_page)
        self.form.setVisible(not open_page)

    def draw(self, paper: Paper) -> None:
        state, k = self.state, paper.px
        view = state.view
        if view is None:
            return
        paper.text(k(28), k(44), view.title, "title", "strong", "semibold", room=k(900))
        paper.text(k(28), k(76), view.facts, "small", "quiet", room=paper.width - k(60))
        if self._around.running():
            draw_where(paper, state.store.tonight is not None, self._around.keys["book.tonight"])
        draw_sums(paper, state.show_now, state.ends, self.order.geometry().bottom() + k(30))
        if self.controller.pages.now is None:
            cue = state.cue()
            title = view.title if cue is None else cue_name(state.show_now, cue)
            heading = "the show" if state.chosen.of_show else title
            paper.heading(k(LEFT), self.form.y() - k(16), heading)
        words, tone = self.foot_words()
        size = "tiny" if tone == "quiet" else "small"
        paper.text(k(28), paper.height - k(16), words, size, tone, "medium", room=paper.width - k(56))

    def foot_words(self) -> tuple[str, str]:
        """(what stands at the foot, its tone)."""
        store, said, running = self.state.store, self.said, self._around.running()
        return foot_words(
            said.words, said.tone, store.read_only, running, store.tonight is not None, self.edit.is_open(),
            self.controller.pages.now is not None, self._around.keys,
        )  # fmt: skip

    # Between the widgets

    def wheelEvent(self, event: QWheelEvent) -> None:
        x = event.position().x()
        if x < (LEFT - 80) * self.scale():
            self.controller.step(-1 if event.angleDelta().y() > 0 else 1, 0)
        elif self.controller.pages.now is None:
            self.strip.turn(event, x - self.strip.x())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            if self.controller.let_go():
                self.window().setFocus()
            if event.position().x() < (LEFT - 12) * self.scale():
                self.controller.pages.clear()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        if self.controller.pages.now is None:
            self.strip.choose_under(self.strip.mapFrom(self, event.pos()).toPointF())
            self._around.menu("item" if self.state.chosen.cue is None else "cue")

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.buttons.place(self.width(), self.scale())
        self._lay_out()
        if self.edit.is_open():
            self.edit.leave()
