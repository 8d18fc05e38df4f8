"""Keeping what was played: as a look, as a cue here, or as a variation of this place. One question."""

import re

from showcaller.desk.areas.wall.here import anchor, bar_now
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.state import WallState
from showcaller.desk.ask import Ask
from showcaller.desk.keys import Keys
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.run.kept_changes import as_cue, as_look, as_variation
from showcaller.run.state import OnWall

_BAR = re.compile(r"bar\s+(\d{1,4})(?:\s*/\s*(\d{1,2}))?", re.IGNORECASE)


class KeepingPlayed:
    """It goes to the book, or while changes are for tonight to the show that is on: the store decides."""

    def __init__(self, state: WallState, said: FootWords, keys: Keys, ask: Ask) -> None:
        self._state = state
        self._said = said
        self._keys = keys
        self._prompt = ask

    def ask(self) -> None:
        """Ask how to keep what stands on the wall.

        Raises:
            ChangeError: nothing does.
        """
        scene = self._state.scene
        if scene is None or scene.on is None:
            raise ChangeError("nothing is on the wall yet, so there is nothing to keep")
        on, bar = scene.on, bar_now(scene)
        now = f"bar {bar}" if bar is not None else "here"
        away = scene.away or "as planned"
        where = "tonight's show" if self._state.store.tonight is not None else "the book"

        def done(text: str) -> str | None:
            try:
                self._said.say(f"{self._keep(scene, on, text.strip())}, in {where}{self._undo()}")
            except ChangeError as error:
                return str(error)
            self._state.look_again()
            return None

        hint = f"“{now}”: a cue there · “variation”: this place only, by its cue · or the name of a new look"
        self._prompt(f"Keep what is on the wall ({away}) in {where}?", done, hint)

    def _undo(self) -> str:
        return f"; {self._keys['undo']} in the Book takes it back"

    def _keep(self, scene: Scene, on: OnWall, text: str) -> str:
        store, show = self._state.store, self._state.show_now
        song = scene.plan.items[scene.item].item.name
        if not text:
            raise ChangeError("type bar and its number, variation, or a name")
        if text.lower().startswith("variation"):
            name = scene.standing.look.name
            store.do(f"“{name}” as played, in {song} only", as_variation(show, on, scene.show))
            return "kept in this place only: its cue brings it so"
        match = _BAR.fullmatch(text)
        if match is None and text.lower() != "here":
            change, _ = as_look(show, on, scene.show, text)
            store.do(f"kept as the look “{text}”", change)
            only_book = scene.live and store.tonight is None
            later = " (on the grid from the next show on)" if only_book else ""
            return f"kept as the look “{text}”{later}"
        place, at_s, words = anchor(scene, match)
        item = scene.plan.items[scene.item].item.id
        store.do(f"kept as a cue at {words} of {song}", as_cue(show, on, scene.show, item, place, at_s))
        return f"kept as a cue at {words}"
