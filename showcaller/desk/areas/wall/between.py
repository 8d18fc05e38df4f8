"""What is written between the widgets of the wall area: whether it is another than it was. No Qt."""

from typing import Any

from showcaller.desk.areas.wall.heads_words import away_line, next_head, on_head
from showcaller.desk.areas.wall.state import COUNTS_A_SECOND, WallState
from showcaller.desk.areas.wall.status import status_words
from showcaller.desk.keys import Keys
from showcaller.desk.projector import Counters
from showcaller.model.base import ById

AWAY_A_SECOND = 4
"""How often it is written anew how far the wall is from the plan, which a fader changes with every step."""


class Between:
    """``status`` are the facts and counters under the picture. Its figures run twice a second at most: while
    a fader moves all is looked at many times a second."""

    def __init__(self) -> None:
        self.status = ""
        self._counted: Any = None
        self._seen: Any = None
        self._away, self._quarter = "", -1

    def look(self, state: WallState, keys: Keys, counted: Counters, trouble: str, now_s: float) -> bool:
        """Whether anything that is written is another now."""
        scene, view = state.scene, state.view
        if scene is None or view is None:
            return True
        count = int(now_s * COUNTS_A_SECOND), view.facts, scene.moving, scene.live, trouble
        if count != self._counted:
            self._counted = count
            self.status = status_words(view.facts, scene, counted, trouble)
        quarter = int(now_s * AWAY_A_SECOND)
        if not scene.moving or quarter != self._quarter:  # while it moves all is looked at again soon
            self._quarter, self._away = quarter, away_line(scene, keys)
        heads = (self._away, on_head(scene), next_head(state.hand.next)) if scene.live else ()
        seen = (
            view.title, view.place if scene.live else view.line, heads, state.hand.side, self.status,
            scene.other,
            state.seat, state.seat_words, state.seat_lines, state.store.tonight is None,
            ById(scene.spread),
        )  # fmt: skip
        if seen == self._seen:
            return False
        self._seen = seen
        return True
