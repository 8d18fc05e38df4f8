"""The form under the strip: two tables of fields, each with its name, its text and a message's bytes."""

from collections.abc import Mapping
from typing import Any

from showcaller.desk.areas.book.form import Form
from showcaller.desk.paint.paper import colour, font
from showcaller.desk.paint.views import TEXT_PX, ListView
from showcaller.desk.qt import (
    QAbstractTableModel,
    QHeaderView,
    QModelIndex,
    QObject,
    QPersistentModelIndex,
    QRect,
    QRectF,
    Qt,
    QWheelEvent,
    QWidget,
    Signal,
)
from showcaller.editing.forms import FieldText

_Index = QModelIndex | QPersistentModelIndex
_NOWHERE = QModelIndex()
COLUMNS = ("field", "value", "bytes")
_LABEL, _VALUE, _BYTES = range(3)
EMPTY = "–"
"""Stands where nothing is typed yet."""


class FieldsModel(QAbstractTableModel):
    """A field a row; ``places`` are the fields' places in the form."""

    def __init__(self, parent: QObject) -> None:
        super().__init__(parent)
        self.places: tuple[int, ...] = ()
        self._fields: tuple[FieldText, ...] = ()
        self._bytes: Mapping[str, str] = {}
        self.type_px = 16.0

    def show_fields(self, form: Form, places: tuple[int, ...]) -> None:
        """Show these of a form."""
        fields = tuple(form.fields[n] for n in places)
        if (places, fields, form.bytes_of) == (self.places, self._fields, self._bytes):
            return
        self.beginResetModel()
        self.places, self._fields, self._bytes = places, fields, form.bytes_of
        self.endResetModel()

    def rowCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(self._fields)

    def columnCount(self, parent: _Index = _NOWHERE) -> int:
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: _Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        field, column = self._fields[index.row()], index.column()
        text = field.text.replace("\n", " / ")
        if role == Qt.ItemDataRole.DisplayRole:
            return (field.label, text or EMPTY, self._bytes.get(field.key, ""))[column]
        if role == Qt.ItemDataRole.AccessibleTextRole:
            return (f"{field.label or 'sends'}: {text or 'empty'}", text, self._bytes.get(field.key, ""))[
                column
            ]
        if role == Qt.ItemDataRole.ToolTipRole:
            return field.hint
        if role == Qt.ItemDataRole.ForegroundRole:
            loud = "caution" if field.key == "hazard" else "text"
            return colour(loud if column == _VALUE and text else "faint" if column == _VALUE else "quiet")
        if role == Qt.ItemDataRole.FontRole and column == _BYTES:
            return font(self.type_px * 0.9)
        if role == Qt.ItemDataRole.TextAlignmentRole and column == _BYTES:
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        across = orientation == Qt.Orientation.Horizontal and role == Qt.ItemDataRole.DisplayRole
        return COLUMNS[section] if across else None


class FieldsView(ListView):
    """One of the form's columns; ``opened`` the field at this place of the form."""

    opened = Signal(int)

    def __init__(self, name: str, parent: QWidget) -> None:
        super().__init__(name, parent)
        self.model_ = FieldsModel(self)
        self.setModel(self.model_)
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus)
        self.header().setStretchLastSection(False)
        self.header().setSectionResizeMode(_VALUE, QHeaderView.ResizeMode.Stretch)
        self.clicked.connect(lambda index: self.opened.emit(self.model_.places[index.row()]))

    def show_fields(self, form: Form, places: tuple[int, ...]) -> None:
        """Show these of a form."""
        self.model_.show_fields(form, places)
        sends = any(form.fields[n].key in form.bytes_of for n in places)
        self.setColumnHidden(_BYTES, not sends)
        self.clearSelection()

    def place(self, box: QRect, label_px: int, step_px: int, type_px: float) -> None:
        """Stand here, the names so wide, the rows so high."""
        self.model_.type_px = type_px
        self.fit(type_px, step_px)
        self.setGeometry(box)
        self.setColumnWidth(_LABEL, label_px)
        self.setColumnWidth(_BYTES, int((box.width() - label_px) * 0.45))

    def value_box(self, place: int) -> QRectF | None:
        """Where a field's text stands, px of the parent; None if it is not in this column."""
        if place not in self.model_.places:
            return None
        index = self.model_.index(self.model_.places.index(place), _VALUE)
        self.scrollTo(index)
        box = QRectF(self.visualRect(index).translated(self.pos()))
        box.setLeft(box.left() + TEXT_PX)
        box.setRight(self.geometry().right())
        return box

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()  # the wheel moves the strip


class CueForm(QWidget):
    """Fields in two columns; ``opened`` tells which one is to be typed into."""

    opened = Signal(int)

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
        self.short.show_fields(form, form.short)
        self.long.show_fields(form, form.long)

    def place(self, box: QRectF, k: float) -> None:
        """Stand here, at scale ``k``; rows get lower where there are many."""
        self.setGeometry(box.toRect())
        most = max(1, self.short.model_.rowCount(), self.long.model_.rowCount())
        step = max(1, int(min(36 * k, box.height() / most)))
        middle, high = int(box.width() * 0.36), self.height()
        label, size = int(116 * k), max(11.0, 18 * k)
        self.short.place(QRect(0, 0, middle - int(30 * k), high), label, step, size)
        self.long.place(QRect(middle, 0, self.width() - middle, high), label, step, size)

    def value_box(self, place: int) -> QRectF:
        """Where a field is typed into, px of the parent."""
        box = self.short.value_box(place) or self.long.value_box(place)
        assert box is not None
        return box.translated(self.pos().toPointF())

    def wheelEvent(self, event: QWheelEvent) -> None:
        event.ignore()
