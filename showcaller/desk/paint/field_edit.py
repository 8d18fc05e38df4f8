"""The line that opens over a field of an area, to type in place; under it what may be typed or is wrong."""

from collections.abc import Callable, Sequence

from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import font
from showcaller.desk.qt import (
    QCompleter,
    QEvent,
    QKeyEvent,
    QLabel,
    QLineEdit,
    QPalette,
    QRectF,
    Qt,
    QVBoxLayout,
    QWidget,
    Signal,
)

Commit = Callable[[str], str | None]
"""Takes what was typed; returns a sentence if it will not do, else None."""


class FieldEdit(QWidget):
    """One field at a time. Enter takes it, Tab goes on to the next, Escape leaves it as it was.

    ``turned`` when it opens or closes.
    """

    turned = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self._line = _Line(self)
        self._hint = QLabel(self)
        self._hint.setWordWrap(True)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 4)
        layout.setSpacing(2)
        layout.addWidget(self._line)
        layout.addWidget(self._hint)
        self.setAutoFillBackground(True)
        self._commit: Commit | None = None
        self._live: Callable[[str], str] | None = None
        self._step: Callable[[int], None] = lambda _: None
        self._line.owner = self
        self._line.textEdited.connect(self._typed)
        self.hide()

    def open(
        self,
        rect: QRectF,
        name: str,
        text: str,
        commit: Commit,
        step: Callable[[int], None],
        live: Callable[[str], str],
        complete: Sequence[str] = (),
    ) -> None:
        """Edit ``text`` in ``rect``. ``live`` gives the hint for what is typed; ``step`` goes on by Tab;
        one of ``complete`` that begins as what is typed stands there already."""
        self._commit, self._step, self._live = commit, step, live
        k = max(0.6, min(self.window().width() / 1920, self.window().height() / 1080))
        self._line.setFont(font(18 * k))
        self._hint.setFont(font(16 * k))
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.Window, colour("raised"))
        self.setPalette(palette)
        palette = self._line.palette()
        palette.setColor(QPalette.ColorRole.Base, colour("ground"))
        palette.setColor(QPalette.ColorRole.Text, colour("strong"))
        self._line.setPalette(palette)
        self._line.setText(text)
        completer = QCompleter(list(complete), self._line) if complete else None
        if completer is not None:
            completer.setCompletionMode(QCompleter.CompletionMode.InlineCompletion)
        self._line.setCompleter(completer)  # type: ignore[arg-type]
        self._line.selectAll()
        self._line.setAccessibleName(name)
        self._line.setAccessibleDescription(live(text))
        self._say(live(text), "quiet")
        self.setFixedWidth(int(rect.width()))
        self._line.setFixedHeight(int(rect.height()))
        self._hint.setFixedWidth(int(rect.width()))
        self.adjustSize()
        parent = self.parentWidget()
        assert parent is not None
        top = min(int(rect.top()), parent.height() - self.sizeHint().height() - 2)
        self.move(int(rect.left()), max(0, top))
        self.show()
        self.raise_()
        self._line.setFocus()
        self.turned.emit()

    def is_open(self) -> bool:
        """Whether a field is being typed into."""
        return self._commit is not None

    def leave(self) -> None:
        """Close; the field stays as it was."""
        self._commit = None
        self.hide()
        self.window().setFocus()
        self.turned.emit()

    def take(self) -> bool:
        """Take what was typed; False if it will not do, and then it stays open with the reason."""
        if self._commit is None:
            return True
        wrong = self._commit(self._line.text())
        if wrong is not None:
            self._say(wrong, "caution")
            self._line.setFocus()  # a click elsewhere may have taken it
            return False
        self.leave()
        return True

    def go_on(self, by: int) -> None:
        """Take what was typed and open the next field, or the one before."""
        step = self._step
        if self.take():
            step(by)

    def _typed(self, text: str) -> None:
        if self._live is not None:
            self._say(self._live(text), "quiet")

    def _say(self, words: str, tone: str) -> None:
        palette = self._hint.palette()
        palette.setColor(QPalette.ColorRole.WindowText, colour(tone))
        self._hint.setPalette(palette)
        self._hint.setText(words)
        self.adjustSize()


class _Line(QLineEdit):
    """A line whose Tab, Enter and Escape belong to the field."""

    owner: FieldEdit

    def event(self, event: QEvent) -> bool:
        if event.type() == QEvent.Type.KeyPress:
            assert isinstance(event, QKeyEvent)
            if event.key() in (Qt.Key.Key_Tab, Qt.Key.Key_Backtab):
                self.owner.go_on(1 if event.key() == Qt.Key.Key_Tab else -1)
                return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.owner.take()
        elif event.key() == Qt.Key.Key_Escape:
            self.owner.leave()
        elif event.key() in (Qt.Key.Key_Up, Qt.Key.Key_Down):
            self.owner.go_on(1 if event.key() == Qt.Key.Key_Down else -1)
        else:
            super().keyPressEvent(event)
            event.accept()
