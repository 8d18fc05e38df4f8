"""The chosen layer in the hand: dragged, let go, faded by the wheel; on the plan, or on the wall of a run."""

from collections.abc import Callable, Mapping
from typing import Any

from showcaller.desk.areas.wall.layer_edits import LayerEdits
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.said import FootWords


class Dragging:
    """``attempt`` does something and says why not where it cannot be."""

    def __init__(
        self,
        state: WallState,
        said: FootWords,
        edits: LayerEdits,
        attempt: Callable[[Callable[[], object]], str | None],
    ) -> None:
        self._state = state
        self._said = said
        self._edits = edits
        self._attempt = attempt
        self._number = 0
        """The look in which the drag began, in a run; 0 while nothing is dragged."""

    def over(self, surface: str) -> None:
        """A surface was clicked: what is put on the wall next goes there."""
        self._state.surface = surface

    def drag(self, fields: Mapping[str, Any]) -> None:
        """The chosen layer is held by the mouse, and is there now; in a run it is there on the wall."""
        if not self._played(fields, last=False):
            self._state.drag = fields

    def drop(self, fields: Mapping[str, Any] | None) -> None:
        """It was let go there; None if it was not moved."""
        self._state.drag = None
        if fields is not None and not self._played(fields, last=True):
            self._attempt(lambda: self._edits.drop(fields))

    def fade(self, steps: int) -> None:
        """The wheel was turned over the chosen layer."""
        self._attempt(lambda: self._edits.fade(steps))

    def _played(self, fields: Mapping[str, Any], last: bool) -> bool:
        """In a run, what the mouse holds is played. A drag ends where another look comes."""
        scene, key = self._state.scene, self._state.chosen
        if scene is None or not scene.live or scene.on is None or self._state.hand.side == "next":
            self._number = 0
            return False
        self._number = self._number or scene.on.number
        if self._number != scene.on.number:
            self._said.say(f"“{scene.standing.look.name}” is on the wall now: the drag ended", "caution")
        elif key is not None:
            self._attempt(lambda: self._state.hand.play(key, fields, last))
        self._number = 0 if last else self._number
        return True
