"""What was done last, or why not: a sentence that stands at the foot of an area for a while."""

from showcaller.calling.wording import plural
from showcaller.desk.qt import QObject, QTimer, Signal


class FootWords(QObject):
    """``words`` and their ``tone`` (a name of the theme); empty once they have stood for ``stays_ms``."""

    changed = Signal()

    def __init__(self, stays_ms: int, parent: QObject) -> None:
        super().__init__(parent)
        self.words = ""
        self.tone = "quiet"
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(stays_ms)
        self._timer.timeout.connect(lambda: self.say(""))

    def copied(self, rows: int) -> None:
        """So many rows of a list were copied."""
        self.say(f"{plural(rows, 'row')} copied as text")

    def say(self, words: str, tone: str = "quiet", keep: bool = False) -> None:
        """Let this stand in the place of what stood there; for good if it is to be kept."""
        self.words, self.tone = words, tone
        if words and not keep:
            self._timer.start()
        else:
            self._timer.stop()
        self.changed.emit()
