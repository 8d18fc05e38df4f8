"""A line at the foot of the window to type into; while it is open, letters are letters and never keys."""

from collections.abc import Callable

from showcaller.desk.ask import Done, Suggest
from showcaller.desk.paint.colours import colour
from showcaller.desk.paint.paper import font
from showcaller.desk.qt import QKeyEvent, QLabel, QLineEdit, QPalette, QRectF, Qt, QVBoxLayout, QWidget


class Prompt(QWidget):
    """One question at a time. Enter answers, Escape leaves without."""

    def __init__(self, parent: QWidget, grown: Callable[[], None]) -> None:
        super().__init__(parent)
        self._grown = grown
        self._label = QLabel(self)
        self._edit = _Line(self)
        self._edit.returnPressed.connect(self._enter)
        self._edit.left.append(self.leave)
        self._edit.textEdited.connect(self._typed)
        self._hint = QLabel(self)
        layout = QVBoxLayout(self)
        for part in (self._label, self._edit, self._hint):
            layout.addWidget(part)
        self.setAutoFillBackground(True)
        for label in (self._label, self._hint):
            label.setWordWrap(True)
        self._done: Done | None = None
        self._suggest: Suggest | None = None
        self.hide()

    def ask(
        self, question: str, done: Done, hint: str = "", suggest: Suggest | None = None, typed: str = ""
    ) -> None:
        """Open with this question. ``suggest`` turns what is typed so far into a hint; ``typed`` stands there
        already."""
        self._done, self._suggest = done, suggest
        self._label.setText(question)
        self._hint.setText(suggest(typed) if suggest else hint)
        self._edit.setText(typed)
        self._edit.setAccessibleName(question)
        self._restyle()
        self.show()
        self.raise_()
        self._edit.setFocus()

    def place(self, area: QRectF) -> None:
        """Lie at the foot of this part of the window."""
        self._restyle()  # the window may be another size since it was opened
        height = self.sizeHint().height()
        self.setGeometry(int(area.left()), int(area.bottom() - height), int(area.width()), height)

    def leave(self) -> None:
        """Close without an answer."""
        self._done = None
        self.hide()
        self.window().setFocus()

    def take(self, event: QKeyEvent) -> None:
        """A key that was pressed while it is open, wherever the focus was."""
        self._edit.setFocus()
        self._edit.keyPressEvent(event)

    def is_open(self) -> bool:
        """Whether it waits for an answer."""
        return self._done is not None

    def _restyle(self) -> None:
        k = max(0.6, min(self.window().width() / 1920, self.window().height() / 1080))
        self._label.setFont(font(20 * k, "semibold"))
        self._edit.setFont(font(28 * k))
        self._hint.setFont(font(18 * k))
        palette = self.palette()
        palette.setColor(QPalette.ColorRole.Window, colour("raised"))
        self.setPalette(palette)
        for label, tone in ((self._label, "strong"), (self._hint, "quiet")):
            palette = label.palette()
            palette.setColor(QPalette.ColorRole.WindowText, colour(tone))
            label.setPalette(palette)
        palette = self._edit.palette()
        palette.setColor(QPalette.ColorRole.Base, colour("ground"))
        palette.setColor(QPalette.ColorRole.Text, colour("strong"))
        self._edit.setPalette(palette)

    def _typed(self, text: str) -> None:
        if self._suggest is not None:
            self._hint.setText(self._suggest(text))
            self._grown()

    def _enter(self) -> None:
        if self._done is None:
            return
        done, text = self._done, self._edit.text().strip()
        wrong = done(text)
        if wrong is not None:
            self._hint.setText(wrong)
            self._grown()
        elif self._done is done:  # the answer may have asked the next question
            self.leave()


class _Line(QLineEdit):
    def __init__(self, parent: QWidget) -> None:
        super().__init__(parent)
        self.left: list[Callable[[], None]] = []

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            for leave in self.left:
                leave()
            return
        super().keyPressEvent(event)
        event.accept()  # what is typed here is never a key of the desk
