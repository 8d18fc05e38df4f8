"""A hand on the wall of a show in progress: what it plays, sent as often as is of use, the last value always.

No Qt; ``now_s`` is any clock that only goes on. What was sent and is not yet in the log is drawn as if it
were, so that a layer does not spring back under the mouse.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from showcaller.model import Look
from showcaller.run import commands as c
from showcaller.run.state import OnWall
from showcaller.screen.played import Fields, Played, checked, merged
from showcaller.screen.surfaces import layer_named

A_SECOND = 25
"""Commands a second for one field of one layer; a hand gives sixty. What comes between is drawn here only."""

UNHEARD_AFTER_S = 0.5
"""What the log does not have by then is sent again, ``TRIES`` times in all while the engine answers (it may
have been killed with it in its hands); then it is drawn no longer: the log has the last word."""

TRIES = 3

GESTURE_S = 1.0
"""Changes of the same fields of a layer this soon after each other are taken back as one."""

Send = Callable[[c.Command], None]


@dataclass(slots=True)
class _Gesture:
    """What a layer's fields were before a hand changed them, and when it did last."""

    layer: str
    before: Fields
    last_s: float


class Hands:
    """Knows the look it plays by its number: what is still to be sent when another comes is let go of."""

    def __init__(self) -> None:
        self._number = 0
        self._waiting: dict[str, dict[str, Any]] = {}
        self._sent_s: dict[tuple[str, str], float] = {}
        self._unheard: dict[str, tuple[Fields, float, int]] = {}
        self._gestures: list[_Gesture] = []

    @property
    def ahead(self) -> Played:
        """What was played here and is not yet in the log."""
        found: Played = {layer: fields for layer, (fields, _, _) in self._unheard.items()}
        for layer, fields in self._waiting.items():
            found = merged(found, layer, fields)
        return found

    def play(
        self, on: OnWall, look: Look, layer: str, fields: Fields, now_s: float, send: Send, last: bool
    ) -> None:
        """Change a layer of the ``look`` that stands; ``last`` if the hand lets go: that value is sent now.

        Raises:
            PlayedError: a value that will not do; nothing is sent.
        """
        self._of(on)
        kept = checked(layer, fields)
        self._remember(look, layer, kept, now_s)
        self._waiting[layer] = {**self._waiting.get(layer, {}), **kept}
        self._flush(on, now_s, send, layer if last else None)

    def look(self, on: OnWall | None, now_s: float, send: Send, answers: bool = True) -> None:
        """Send what has waited long enough; forget what the log has, or will not have. ``answers``: the
        engine does."""
        if on is None:
            return
        self._of(on)
        self._flush(on, now_s, send, None)
        for layer, (fields, sent_s, tries) in list(self._unheard.items()):
            there = on.played.get(layer, {})
            if all(there.get(n) == v for n, v in fields.items()):
                del self._unheard[layer]
            elif now_s - sent_s <= UNHEARD_AFTER_S or not answers:
                continue
            elif tries < TRIES:
                send(c.PlayLayer(layer, fields, on.number))
                self._unheard[layer] = fields, now_s, tries + 1
            else:
                del self._unheard[layer]

    def undo(self) -> tuple[str, Fields] | None:
        """The layer that was changed last and what it was before; None if nothing was played here of this
        look. It is not asked for again."""
        if not self._gestures:
            return None
        gesture = self._gestures.pop()
        return gesture.layer, gesture.before

    def forget_gesture(self) -> None:
        """The last change was itself a taking back."""
        if self._gestures:
            self._gestures.pop()

    def _of(self, on: OnWall) -> None:
        if on.number != self._number:
            self._number = on.number
            for kept in (self._waiting, self._sent_s, self._unheard, self._gestures):
                kept.clear()  # type: ignore[attr-defined]

    def _remember(self, look: Look, layer: str, fields: Mapping[str, Any], now_s: float) -> None:
        last = self._gestures[-1] if self._gestures else None
        same = last is not None and last.layer == layer and last.before.keys() == fields.keys()
        if last is not None and same and now_s - last.last_s < GESTURE_S:
            last.last_s = now_s
            return
        found = layer_named(look, layer, "")
        if found is not None:
            now = {**found.model_dump(mode="json"), "hidden": not fields.get("hidden", False)}
            self._gestures.append(_Gesture(layer, {name: now[name] for name in fields}, now_s))

    def _flush(self, on: OnWall, now_s: float, send: Send, at_once: str | None) -> None:
        for layer, fields in list(self._waiting.items()):
            due = {
                name: value
                for name, value in fields.items()
                if layer == at_once or now_s - self._sent_s.get((layer, name), -1e9) >= 1 / A_SECOND
            }
            if not due:
                continue
            send(c.PlayLayer(layer, due, on.number))
            self._sent_s |= {(layer, name): now_s for name in due}
            before = self._unheard[layer][0] if layer in self._unheard else {}
            self._unheard[layer] = {**before, **due}, now_s, 1
            left = {name: value for name, value in fields.items() if name not in due}
            if left:
                self._waiting[layer] = left
            else:
                del self._waiting[layer]
