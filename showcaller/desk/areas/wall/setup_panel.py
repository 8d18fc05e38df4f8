"""Set-up: the wall, its inputs and its sources as a form, a line each."""

from collections.abc import Mapping

from showcaller.desk.paint.fields import FieldRow, FieldsView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.views import TEXT_PX
from showcaller.desk.qt import QRect, QRectF, QWidget, Signal
from showcaller.model import Show
from showcaller.screen.setup.rows import setup_rows

ROW_PX = 30
LABEL_PX = 230


class SetupPanel(Sheet):
    """``opened`` a line by its key, to be typed into."""

    opened = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Set-up of the wall", parent)
        self.lines = FieldsView("The wall, its inputs and sources", self)
        self.lines.opened.connect(self._open)

    def show_show(self, show: Show, troubles: Mapping[str, str]) -> None:
        """Show these lines; ``troubles`` are of sources' files, by the sources' ids."""
        rows = setup_rows(show, troubles)
        self.lines.show_rows(
            tuple(FieldRow(r.key, r.label, " " if r.head else r.text, r.hint, tone=r.tone) for r in rows)
        )

    def keys(self) -> tuple[str, ...]:
        """Of the lines that are typed into, from the top."""
        return tuple(row.key for row in self.lines.model_.rows if row.key)

    def chosen(self) -> str:
        """The line a hand chose last; empty for none."""
        rows = sorted({index.row() for index in self.lines.selectedIndexes()})
        return self.lines.model_.rows[rows[0]].key if rows else ""

    def value_box(self, key: str) -> QRectF | None:
        """Where a line is typed into, px of the parent."""
        box = self.lines.value_box(key)
        return None if box is None else box.translated(self.pos().toPointF())

    def _open(self, key: str) -> None:
        if key:
            self.opened.emit(key)

    def draw(self, paper: Paper) -> None:
        """Nothing: the lines fill it."""

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        k = self.scale()
        box = QRect(-TEXT_PX, 0, self.width() + TEXT_PX, self.height())
        self.lines.place(box, int(LABEL_PX * k), int(ROW_PX * k), max(11.0, 17 * k))
