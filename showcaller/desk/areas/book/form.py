"""The form under the strip: fields in two columns, found again under the mouse."""

from dataclasses import dataclass

from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QPointF, QRectF
from showcaller.editing.forms import FieldText

_RIGHT = ("message", "look", "needs", "hazard", "notes", "tempo", "meters", "sections", "reference")
"""What may be long stands in the right column."""


@dataclass(frozen=True, slots=True)
class Row:
    """A field's place: where its words are, and where it is typed into."""

    index: int
    field: FieldText
    label_x: float
    value: QRectF


def lay_out(fields: tuple[FieldText, ...], area: QRectF, k: float) -> tuple[Row, ...]:
    """Rows for fields in an area; ``k`` is the scale."""
    rows: list[Row] = []
    most = max(
        sum(f.key.startswith(_RIGHT) for f in fields), sum(not f.key.startswith(_RIGHT) for f in fields)
    )
    step = min(36 * k, area.height() / max(1, most))
    middle = area.left() + area.width() * 0.36
    columns = ((area.left(), middle - 30 * k), (middle, area.right()))
    used = [0, 0]
    label = 116 * k
    for index, field in enumerate(fields):
        side = 1 if field.key.startswith(_RIGHT) else 0
        left, right = columns[side]
        top = area.top() + step * used[side]
        used[side] += 1
        rows.append(Row(index, field, left, QRectF(left + label, top, right - left - label, step - 2 * k)))
    return tuple(rows)


def draw_form(paper: Paper, rows: tuple[Row, ...], bytes_of: dict[str, str]) -> None:
    """Labels and what they say; under a message its bytes."""
    k = paper.px
    for row in rows:
        box = row.value
        base = box.top() + box.height() * 0.5 + k(7)
        if base > paper.height - k(4):
            continue
        paper.text(row.label_x, base, row.field.label, "small", "quiet", room=k(112))
        tone = "caution" if row.field.key == "hazard" else "text"
        more = bytes_of.get(row.field.key, "")
        room = box.width() - (k(10) if not more else box.width() * 0.42)
        words = row.field.text.replace("\n", " / ")
        if words:
            paper.text(box.left(), base, words, "small", tone, room=room)
        else:
            paper.line(box.left(), base + k(3), box.left() + k(60), base + k(3), "line", 1)
        if more:
            paper.text(box.right(), base, more, "tiny", "quiet", align="right", room=box.width() * 0.4)


def row_at(rows: tuple[Row, ...], at: QPointF) -> Row | None:
    """The row under a point."""
    for row in rows:
        box = QRectF(row.label_x, row.value.top(), row.value.right() - row.label_x, row.value.height())
        if box.contains(at):
            return row
    return None
