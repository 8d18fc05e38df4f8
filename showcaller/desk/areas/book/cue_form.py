"""The form under the strip: fields in two tables, the short ones and those that may be long."""

from showcaller.desk.areas.book.form import Form
from showcaller.desk.paint.fields import FieldRow, FieldsView
from showcaller.desk.qt import QRect, QRectF, QWheelEvent, QWidget, Signal


def rows_of(form: Form, places: tuple[int, ...]) -> tuple[FieldRow, ...]:
    """A form's fields at these places, as rows of a table; a row's key is the field's."""
    fields = (form.fields[n] for n in places)
    return tuple(
        FieldRow(f.key, f.label, f.text, f.hint, form.bytes_of.get(f.key, ""),
                 "caution" if f.key == "hazard" else "text")
        for f in fields
    )  # fmt: skip


class CueForm(QWidget):
    """Fields in two columns; ``opened`` tells the key of the one that is to be typed into."""

    opened = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.setAccessibleName("Form")
        self.short = FieldsView("Fields", self)
        self.long = FieldsView("Longer fields", self)
        for view in (self.short, self.long):
            view.opened.connect(self.opened)

    def show_form(self, form: Form, title: str) -> None:
        """Show the form of what is chosen."""
        self.setAccessibleName(f"Form of {title}")
        self.short.show_rows(rows_of(form, form.short))
        self.long.show_rows(rows_of(form, form.long))

    def place(self, box: QRectF, k: float) -> None:
        """Stand here, at scale ``k``; rows get lower where there are many."""
        self.setGeometry(box.toRect())
        most = max(1, self.short.model_.rowCount(), self.long.model_.rowCount())
        step = max(1, int(min(36 * k, box.height() / most)))
        middle, high = int(box.width() * 0.36), self.height()
        size = max(11.0, 18 * k)
        names = [row.label for view in (self.short, self.long) for row in view.model_.rows]
        longest = max(map(len, names), default=0)
        # Half an em a letter is room for any of them; beside it the item's own margins.
        label = int(max(8 * size, min(0.52 * size * longest, 0.5 * middle))) + 16
        self.short.place(QRect(0, 0, middle - int(30 * k), high), label, step, size)
        self.long.place(QRect(middle, 0, self.width() - middle, high), label, step, size)

    def value_box(self, key: str) -> QRectF:
        """Where a field is typed into, px of the parent."""
        box = self.short.value_box(key) or self.long.value_box(key)
        assert box is not None
        return box.translated(self.pos().toPointF())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()  # the wheel moves the strip
