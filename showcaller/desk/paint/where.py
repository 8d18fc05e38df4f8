"""Where what is changed goes while a show is on: into the book, or into the show itself."""

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QPen, QRectF, Qt


def draw_where(paper: Paper, tonight: bool, key: str, middle_px: float | None = None) -> None:
    """Whether what is changed is for the show that is on: it has to be seen before it is typed.

    It stands at the right, at the foot or about ``middle_px`` from the top.
    """
    k, painter, height = paper.px, paper.painter, paper.height
    middle = height - k(23) if middle_px is None else middle_px
    words = "FOR TONIGHT: the show that is on" if tonight else f"for the book, not tonight · {key}"
    room = paper.width_of(words, paper.size("tiny"), "semibold") + k(28)
    box = QRectF(paper.width - k(28) - room, middle - k(15), room, k(30))
    painter.setPen(QPen(colour("caution" if tonight else "line"), k(3)))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if tonight:
        painter.drawRect(QRectF(k(2), k(2), paper.width - k(4), height - k(4)))
        painter.setBrush(colour("caution"))
    painter.drawRoundedRect(box, k(6), k(6))
    tone = "ground" if tonight else "quiet"
    paper.text(box.center().x(), middle + k(6), words, "tiny", tone, "semibold", align="centre")
