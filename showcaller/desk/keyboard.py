"""From a key event to an action's id, by the keys in use and the area in front."""

import time

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import Keys, heard_in
from showcaller.desk.performing import TELLS
from showcaller.desk.qt import QKeyCombination, QKeyEvent, QKeySequence, Qt

REPEAT_S = 0.06
"""A press this soon after the release of the same key is the keyboard's, not a finger's."""

_AREAS = ("Book", "Wall", "Grid", "Call", "Drift")
_WITH = (
    Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.AltModifier | Qt.KeyboardModifier.MetaModifier
)


def _as_written(chord: str) -> str:
    return QKeySequence(chord).toString() or chord


class Keyboard:
    """Knows which key means what, and whether a press is the keyboard repeating one that is held down."""

    def __init__(self, keys: Keys) -> None:
        self._by_area = {
            area: {_as_written(chord): action.id for chord, action in heard_in(keys, area)} for area in _AREAS
        }
        self._of_run = {_as_written(c): a.id for a in ACTIONS.values() if a.of_run for c in keys.chords(a.id)}
        self._told = {_as_written(c): name for name in TELLS for c in keys.chords(name)}
        self._released: dict[int, float] = {}
        self._alone = False

    def action(self, event: QKeyEvent, area: str) -> tuple[str, str] | None:
        """(action's id, its chord); one of the run's, and some of an area's, also where its key does not act,
        for a word about it."""
        for chord in self._chords(event):
            found = self._by_area[area].get(chord) or self._of_run.get(chord) or self._told.get(chord)
            if found is not None:
                return found, chord
        return None

    @staticmethod
    def _chords(event: QKeyEvent) -> list[str]:
        held, key = event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier, Qt.Key(event.key())
        if key == Qt.Key.Key_Backtab:  # what comes of Tab while Shift is held
            held, key = held | Qt.KeyboardModifier.ShiftModifier, Qt.Key.Key_Tab
        if key == Qt.Key.Key_Enter:
            key = Qt.Key.Key_Return
        chords = [
            QKeySequence(event.keyCombination()).toString(),
            QKeySequence(QKeyCombination(held, key)).toString(),
        ]
        if not event.modifiers() & _WITH and event.text().strip():
            chords.append(event.text().upper())  # signs that need Shift on this keyboard
        return chords

    def released(self, event: QKeyEvent) -> bool:
        """A key was let go; True if it was Alt, and no other key was pressed while it was held."""
        self._released[event.key()] = _happened_s(event)
        return event.key() == Qt.Key.Key_Alt and self._alone

    def is_repeat(self, event: QKeyEvent) -> bool:
        """Whether a press is the keyboard repeating a key held down.

        The X server sends a release and a press for every repeat, and Qt does not always see that they
        belong together; no finger presses a key again within a few hundredths of a second.
        """
        self._alone = event.key() == Qt.Key.Key_Alt and not event.isAutoRepeat()
        since_s = _happened_s(event) - self._released.get(event.key(), -1e9)
        return event.isAutoRepeat() or 0 <= since_s < REPEAT_S


def _happened_s(event: QKeyEvent) -> float:
    """When the key moved: the system's own stamp where it gives one, so that a busy machine, which hands
    events on late, takes no repeat for a press."""
    stamp_ms = event.timestamp()
    return stamp_ms / 1000 if stamp_ms else time.monotonic()
