"""The side of the wall area: the layers of the look, and the fields of the one that is chosen."""

from dataclasses import dataclass

from showcaller.desk.areas.wall.editing import LayerField
from showcaller.desk.areas.wall.wallview import LayerRow, WallView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QRectF


@dataclass(frozen=True, slots=True)
class SidePlaces:
    """Where the mouse finds layers, and fields to type into."""

    layers: tuple[tuple[str, QRectF], ...]
    fields: tuple[tuple[str, QRectF], ...]


def draw_side(
    paper: Paper,
    view: WallView,
    area: QRectF,
    chosen: str | None,
    fields: tuple[LayerField, ...],
    sentence: str,
) -> SidePlaces:
    """Draw both lists; returns where they are."""
    k = paper.px
    left, right, y = area.left(), area.right(), area.top()
    paper.heading(left, y + k(14), "layers, front first")
    tone = "standby" if view.used > view.limit else "quiet"
    paper.text(right, y + k(14), f"{view.used} of {view.limit} ch", "tiny", tone, align="right")
    y += k(28)
    field_height = k(40 + 34 * len(fields) + 60) if fields else 0.0
    high, step = k(60), k(66)
    fitting = max(1, int((area.bottom() - y - field_height) / step))
    layers = []
    shown = _around(view.rows, chosen, fitting)
    for row in shown:
        box = QRectF(left, y, right - left, high)
        _layer(paper, row, box, row.key == chosen)
        layers.append((row.key, box))
        y += step
    if len(shown) < len(view.rows):
        paper.text(left, y + k(12), f"{len(view.rows) - len(shown)} more", "tiny", "quiet")
    if not view.rows:
        paper.text(left, y + k(24), "none: the wall is black", "small", "quiet")
    if not fields:
        words = sentence or ("Click a layer to change it." if view.rows else "")
        paper.wrapped(left, y + k(26), words, right - left, "tiny", "quiet", lines=2)
        return SidePlaces(tuple(layers), ())
    y += k(24)
    name = next((r.name for r in view.rows if r.key == chosen), "")
    paper.heading(left, y + k(14), f"{name}, chosen")
    y += k(26)
    boxes = []
    for field in fields:
        if y + k(34) > area.bottom():
            break
        box = QRectF(left + k(140), y, right - left - k(140), k(32))
        paper.text(left, y + k(22), field.label, "small", "quiet", room=k(132))
        tone = "caution" if "distorted)" in field.text and "un" not in field.text else "text"
        paper.text(box.left(), y + k(22), field.text, "small", tone, room=box.width())
        boxes.append((field.key, box))
        y += k(34)
    paper.wrapped(left, y + k(24), sentence, right - left, "tiny", "quiet", lines=2)
    return SidePlaces(tuple(layers), tuple(boxes))


def _around(rows: tuple[LayerRow, ...], chosen: str | None, count: int) -> tuple[LayerRow, ...]:
    """As many rows as fit, the chosen one among them."""
    at = next((n for n, r in enumerate(rows) if r.key == chosen), 0)
    first = max(0, min(at - count // 2, len(rows) - count))
    return rows[first : first + count]


def _layer(paper: Paper, row: LayerRow, box: QRectF, chosen: bool) -> None:
    k = paper.px
    paper.fill(box.x(), box.y(), box.width(), box.height(), "raised" if chosen else "panel")
    if chosen:
        paper.fill(box.x(), box.y(), k(4), box.height(), "accent")
    x = box.x() + k(14)
    cost = paper.text(box.right() - k(12), box.y() + k(24), row.cost, "small", "quiet", align="right")
    room = box.width() - cost - k(40)
    paper.text(x, box.y() + k(24), row.name, "small", "strong" if chosen else "text", "semibold", room=room)
    words = f"{row.size} · {row.more}"
    tone = "caution" if row.wrong else "quiet"
    paper.text(x, box.y() + k(48), words, "tiny", tone, room=box.width() - k(28))
