"""What the foot of the book says, and at its head where changes go while a show is on."""

from showcaller.desk.keys import Keys
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QPen, QRectF, Qt


def foot_words(
    words: str, tone: str, read_only: str | None, running: bool, tonight: bool, typing: bool, keys: Keys
) -> tuple[str, str]:
    """(what stands at the foot, its tone): what was said last, else how things are, else what can be done."""
    if running and typing:
        return "A show is in progress and you are typing: Escape gives the keys back to it.", "caution"
    if words:
        return words, tone if tone != "quiet" else "text"
    if read_only:
        return read_only, "caution"
    if tonight:
        words = "What is changed here changes the show that is on."
        return f"{words} {keys['book.tonight']}: back to the book.", "caution"
    if running:
        words = "A show is in progress: changes here are for the next one."
        return f"{words} {keys['book.tonight']}: for tonight.", "text"
    words = (
        f"{keys['book.edit']}: type into the fields · drag a cue · double-click a lane: new cue · "
        f"{keys['help']} all keys · {keys['palette']} find an action"
    )
    return words, "quiet"


def draw_where(paper: Paper, tonight: bool, key: str) -> None:
    """Whether what is changed is for the show that is on: it has to be seen before it is typed."""
    k, painter, height = paper.px, paper.painter, paper.height
    words = "FOR TONIGHT: the show that is on" if tonight else f"for the book, not tonight · {key}"
    room = paper.width_of(words, paper.size("tiny"), "semibold") + k(28)
    box = QRectF(paper.width - k(28) - room, height - k(38), room, k(30))
    painter.setPen(QPen(colour("caution" if tonight else "line"), k(3)))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if tonight:
        painter.drawRect(QRectF(k(2), k(2), paper.width - k(4), height - k(4)))
        painter.setBrush(colour("caution"))
    painter.drawRoundedRect(box, k(6), k(6))
    tone = "ground" if tonight else "quiet"
    paper.text(box.center().x(), height - k(17), words, "tiny", tone, "semibold", align="centre")
