"""The director's hand in a show that is on: on the look that stands, or on the one that is next. No Qt."""

import time
from typing import Any, Literal

from showcaller.calling.session import RunSession
from showcaller.desk.areas.wall.hands import Hands
from showcaller.desk.areas.wall.prepared import NextLook, PreparedLook, next_look
from showcaller.desk.areas.wall.scene import Scene
from showcaller.editing import ChangeError
from showcaller.model.base import ById
from showcaller.screen.played import Fields, Played, PlayedError, checked, merged, of_each, with_played
from showcaller.values import replace

Side = Literal["on", "next"]

LOOKS_A_SECOND = 4
"""How often it is worked out anew how what is next fits while the wall is played."""


class LiveHand:
    """``side`` says which of the two a key or a field means; ``next`` is what is prepared, None outside a run
    and where nothing comes."""

    def __init__(self) -> None:
        self.hands = Hands()
        self.side: Side = "on"
        self.prepared = PreparedLook()
        self.next: NextLook | None = None
        self.session: RunSession | None = None
        self._scene: Scene | None = None
        self._seen: Any = None

    def look(self, scene: Scene | None, session: RunSession | None, now_s: float) -> None:
        """Follow what is shown: send what waits, work out what is next. Called at every frame."""
        self._scene, self.session = scene, session
        if scene is None or not scene.live:
            self.next, self.side, self._seen = None, "on", None
            if session is None:
                self.prepared = PreparedLook()
            return
        if session is not None:
            self.hands.look(scene.on, now_s, session.send, session.trouble is None)
        self._work_out(scene, now_s)

    def _work_out(self, scene: Scene, now_s: float) -> None:
        coming, on = scene.coming, scene.on
        key = (
            ById(scene.show), ById(scene.planned), scene.item, None if coming is None else coming.at_s,
            ById(self.prepared), 0 if on is None else on.number, int(now_s * LOOKS_A_SECOND),
        )  # fmt: skip
        if key != self._seen:
            self._seen = key
            self.next = next_look(scene, self.prepared)
        if self.next is None:
            self.side = "on"

    def prepare(self, prepared: PreparedLook) -> None:
        """Let this be next."""
        self.prepared = prepared
        if self._scene is not None and self._scene.live:
            self._work_out(self._scene, time.monotonic())

    def edit(self, layer: str, fields: Fields) -> None:
        """Change a layer of what is next. From then on that look is next, whatever the plan brings meanwhile.

        Raises:
            ChangeError: a value will not do; one sentence.
        """
        was, coming = self.prepared, self.next
        if not was.look and coming is not None:
            was = PreparedLook(coming.look.id, coming.change, coming.overrides)
        played = was.played or {}
        for key, own in of_each(layer, fields):
            try:
                played = merged(played, key, checked(key, own))
            except PlayedError as error:
                raise ChangeError(str(error)) from None
        self.prepare(replace(was, played=played))

    def is_out(self, layer: str) -> bool:
        """Whether a hand has taken a layer out of what is on, or of what is next, whichever is meant."""
        if self.side == "next":
            return bool((self.prepared.played or {}).get(layer, {}).get("hidden"))
        return self._scene is not None and self._scene.is_hidden(layer)

    @property
    def ahead(self) -> Played:
        """What was played at this desk and is not yet in the log."""
        return self.hands.ahead if self._scene is not None and self._scene.live else {}

    def move(self, layer: str, fields: Fields) -> None:
        """A fader gives a layer of what is on, or next, these values: as often as is of use, the last always.

        Raises:
            ChangeError: it cannot be; one sentence.
        """
        if self.side == "next":
            self.edit(layer, fields)
        else:
            self.play(layer, fields, last=False)

    def play(self, layer: str, fields: Fields, last: bool = True) -> None:
        """Change a layer of the look that stands, now; ``last`` if the hand lets go of it.

        Raises:
            ChangeError: it cannot be; one sentence.
        """
        scene, session = self._scene, self.session
        if scene is None or scene.on is None or session is None:
            raise ChangeError("nothing is on the wall yet: put up a look first, or wait for its cue")
        look = with_played(scene.standing.look, self.ahead)
        try:
            for key, own in of_each(layer, fields):
                self.hands.play(scene.on, look, key, own, time.monotonic(), session.send, last)
        except PlayedError as error:
            raise ChangeError(str(error)) from None
