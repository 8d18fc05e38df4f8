"""The guide's bar under the header: one step at a time, over the real desk."""

import time
from collections.abc import Iterable, Sequence
from pathlib import Path

from showcaller.desk.guide_steps import Guide, GuideFacts
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import font
from showcaller.desk.qt import QFrame, QHBoxLayout, QLabel, QResizeEvent
from showcaller.desk.theme import theme
from showcaller.run.events import Event, LineSaid
from showcaller.run.runlog import Record

SEEN_FILE = "guide-seen"
_HEIGHT_PX = 40
LEAVE_WITHIN_S = 4.0
"""A second press of the key that leaves counts for so long."""
_ENDS_AFTER_FRAMES = 500
"""So many frames after the last step the bar goes by itself."""


def kind_of(event: Event) -> str:
    """What a guide calls an event: its kind, and of a line that was called which kind of line."""
    return f"said {event.what}" if isinstance(event, LineSaid) else event.kind


class GuideBar(QFrame):
    """Shown while a guide is followed. It takes no key and no focus; leaving is the desk's own key."""

    def __init__(self, keys: Keys, settings: Path | None) -> None:
        super().__init__()
        self._keys, self._settings = keys, settings
        self._guide: Guide | None = None
        self._left = 0
        self._asked_s = -1e9
        self._read = 0
        self._kinds: set[str] = set()
        self.far, self.words, self.out = QLabel(), QLabel(), QLabel()
        row = QHBoxLayout(self)
        row.setContentsMargins(18, 0, 18, 0)
        row.setSpacing(16)
        row.addWidget(self.far)
        row.addWidget(self.words, 1)
        row.addWidget(self.out)
        self.setAccessibleName("Guide")
        self._fit(1.0)
        self.restyle()
        self.hide()

    def _fit(self, k: float) -> None:
        for label, weight in ((self.far, "semibold"), (self.words, "semibold"), (self.out, "regular")):
            label.setFont(font(k * (16 if label is not self.out else 14), weight))
        self.setFixedHeight(round(_HEIGHT_PX * k))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """As large as the desk's own words; at 1280 and below as small as can be read."""
        if event.size().width() != event.oldSize().width():
            self._fit(max(1.0, event.size().width() / 1280))

    def restyle(self) -> None:
        """Take the colours that are in use now."""
        t = theme()
        self.setStyleSheet(f"GuideBar {{ background: {t.raised}; border-bottom: 1px solid {t.line}; }}")
        self.far.setStyleSheet(f"color: {t.accent};")
        self.words.setStyleSheet(f"color: {t.strong};")
        self.out.setStyleSheet(f"color: {t.quiet};")

    def offer(self, seat: str) -> None:
        """Begin the seat's guide if none was ever left or followed to its end on this machine."""
        if self._settings is not None and not (self._settings / SEEN_FILE).exists():
            self.begin(seat)

    def begin(self, seat: str) -> None:
        """Begin a guide from its first step."""
        self._guide, self._left = Guide(seat), _ENDS_AFTER_FRAMES
        self._read, self._kinds = 0, set()
        self._asked_s = -1e9
        self.out.setText(f"{self._keys['leave']} leaves the guide")
        self.show()

    @property
    def is_on(self) -> bool:
        """Whether one is being followed."""
        return self._guide is not None

    def look(self, area: str, is_open: bool, records: Sequence[Record], did: Iterable[str]) -> None:
        """Go on as far as what was done; called at every frame, so only what is new in the log is read."""
        if self._guide is None:
            return
        if len(records) < self._read:  # another log
            self._read, self._kinds = 0, set()
        self._kinds |= {kind_of(event) for record in records[self._read :] for event in record.events}
        self._read = len(records)
        if self._guide.look(GuideFacts(area, is_open, frozenset(self._kinds), frozenset(did))):
            self._left -= 1
            if self._left <= 0:
                self.leave()
                return
        if time.monotonic() - self._asked_s > LEAVE_WITHIN_S and self._asked_s > 0:
            self._asked_s = -1e9
            self.out.setText(f"{self._keys['leave']} leaves the guide")
        far, words = self._guide.words(self._keys)
        if self.words.text() != words:
            self.far.setText(f"Guide {far}")
            self.words.setText(words)
            self.setAccessibleDescription(words)

    def wants_leave(self) -> bool:
        """The key that leaves: it is also pressed for other things, so it asks twice while steps are left.
        False if no guide is on."""
        if self._guide is None:
            return False
        now_s, leaves = time.monotonic(), self._keys["leave"]
        if self._guide.is_done or now_s - self._asked_s < LEAVE_WITHIN_S:
            return self.leave()
        self._asked_s = now_s
        self.out.setText(f"{leaves} again leaves it; {self._keys['palette']}, 'guide' has it again")
        return True

    def leave(self) -> bool:
        """Put it away, and remember that it was seen; False if none was on."""
        if self._guide is None:
            return False
        self._guide = None
        self.hide()
        if self._settings is not None:
            try:
                self._settings.mkdir(parents=True, exist_ok=True)
                (self._settings / SEEN_FILE).touch()
            except OSError:
                return True  # a read-only settings folder only means that it is offered again
        return True
