"""A window for a second screen: the clocks, as large as they go, and the line to say now."""

from showcaller.calling.caller_view import CallView
from showcaller.calling.status_view import Figure
from showcaller.calling.wording import span
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QCloseEvent, QKeyEvent, Qt, Signal
from showcaller.desk.told import Prompted


class BigClock(Sheet):
    """Has no keys of its own but Escape: every other is handed on to the desk as if pressed there."""

    closed = Signal()
    pressed = Signal(object)
    released = Signal(object)

    def __init__(self) -> None:
        super().__init__("Clocks for a second screen")
        self.setWindowTitle("Clocks – showcaller")
        self._figures: tuple[Figure, ...] = ()
        self._view = CallView("idle")
        self._asked: Prompted | None = None
        self.resize(960, 540)

    def show_content(
        self, figures: tuple[Figure, ...], view: CallView, asked: Prompted | None = None
    ) -> None:
        """Show these clocks and this line, or what is ``asked`` in its place: keys pressed here act."""
        if (figures, view.now, asked) != (self._figures, self._view.now, self._asked):
            self._figures, self._view, self._asked = figures, view, asked
            self.update()

    def scale(self) -> float:
        return max(0.3, min(self.width() / 1920, self.height() / 1080))

    def draw(self, paper: Paper) -> None:
        k = paper.px
        by_label = {figure.label: figure for figure in self._figures}
        rows = [by_label[name] for name in ("show", "running") if name in by_label]
        rows[1:1] = self._figures[1:3]
        cell_w, cell_h = paper.width / 2, paper.height * 0.38
        for n, figure in enumerate(rows[:4]):
            x, y = (n % 2) * cell_w + k(60), (n // 2) * cell_h
            paper.text(x, y + cell_h * 0.24, figure.label, "line", "quiet")
            tone = figure.tone if figure.tone in ("caution", "missed") else "strong"
            size = self._largest(paper, figure.value, cell_w - k(100), cell_h * 0.52)
            paper.text(x, y + cell_h * 0.78, figure.value, tone=tone, weight="bold", size_px=size)
            paper.text(x, y + cell_h * 0.97, figure.note, "line", "quiet", room=cell_w - k(100))
        top = paper.height * 0.80
        paper.line(0, top, paper.width, top)
        words = self._view.now.text if self._view.now else ""
        if self._view.held_s is not None:
            words = f"On hold {span(self._view.held_s)}"
        if self._asked is not None:
            words = f"{self._asked.heading}: {self._asked.words}"
        size = self._largest(paper, words, paper.width - k(120), k(110))
        paper.text(k(60), top + paper.height * 0.13, words, tone="strong", weight="bold", size_px=size)

    @staticmethod
    def _largest(paper: Paper, words: str, room: float, most: float) -> float:
        wide = paper.width_of(words, most, "bold")
        return most if wide <= room else most * room / wide

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.close()
        else:
            self.pressed.emit(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        self.released.emit(event)

    def closeEvent(self, event: QCloseEvent) -> None:
        self.closed.emit()
        event.accept()
