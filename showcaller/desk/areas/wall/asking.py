"""The wall area's questions: each opens the prompt, and what is typed becomes an edit."""

from __future__ import annotations

from collections.abc import Callable

from showcaller.archive import TourError
from showcaller.calling.wording import span
from showcaller.desk.areas.wall.look_changes import change_from_text
from showcaller.desk.areas.wall.look_line import (
    LAYER_HINT,
    LOOK_HINT,
    SEVERAL,
    layers_words,
    read_layers,
)
from showcaller.desk.areas.wall.making import SOURCE_HINT, WALL_HINT, sources_words
from showcaller.desk.areas.wall.named import suggestions
from showcaller.desk.areas.wall.state import PANELS, WallState
from showcaller.desk.areas.wall.templates import SEND_HINT
from showcaller.desk.areas.wall.wall_edits import WallEdits
from showcaller.desk.ask import Ask, Done
from showcaller.desk.keys import Keys
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.run import commands as c
from showcaller.screen.picture import change_words
from showcaller.screen.testcards import HINT as TEST_HINT
from showcaller.screen.testcards import ON_HINT, meant_on


class WallAsking:
    """``typed`` makes an act of what is typed; ``ask`` opens the window's prompt."""

    def __init__(
        self,
        state: WallState,
        said: FootWords,
        edits: WallEdits,
        typed: Callable[[Callable[[str], object]], Done],
        keys: Keys,
        ask: Ask,
        read: Callable[..., None],
        write_tests: Callable[[str], str],
    ) -> None:
        self._read = read
        self._write_tests = write_tests
        self._state = state
        self._said = said
        self._edits = edits
        self._typed = typed
        self._keys = keys
        self._prompt = ask
        self._table: dict[str, Callable[[], None]] = {
            "new_layer": self._layer,
            "new_source": self._source,
            "new_look": self._look,
            "change": self._change,
            "try": self._try,
            "compare": self._compare,
            "test": self._test,
        }

    def ask(self, name: str) -> None:
        """Ask what an act needs to know; what was said of the one before is over."""
        self._said.say("")
        if name in ("new_layer", "new_look") and self._state.scene is not None:
            try:
                self._edits.look.scene()
            except ChangeError as error:  # said at once, and not when all of it was typed
                self._said.say(str(error), "caution")
                return
        if name == "new_layer" and self._state.show_now.wall is None:
            self._prompt("The wall: how large, how many pixels, inputs and channels?",
                         self._typed(self._edits.show.new_wall), WALL_HINT)  # fmt: skip
        elif name == "new_layer" and PANELS[self._state.panel] == "messages":
            hint = SEND_HINT
            self._prompt("A new template of messages", self._typed(self._edits.show.new_send), hint)
        else:
            self._table[name]()

    def _layer(self) -> None:
        sources = self._state.show_now.sources

        def suggest(text: str) -> str:
            scene, show = self._state.scene, self._state.show_now
            if scene is None or not SEVERAL.split(text)[-1].strip():
                return f"{suggestions(sources, '')}   {LAYER_HINT}"
            wall = scene.surface(self._state.chosen, self._state.surface)
            try:
                return layers_words(show, read_layers(show, wall, text, scene.standing.look.layers))
            except ChangeError as error:
                return str(error)

        self._prompt(
            "Put which source on this look?", self._said_when(self._edits.layer.add), suggest=suggest
        )

    def _said_when(self, act: Callable[[str], str]) -> Done:
        """Do it, and say what it did."""
        return self._typed(lambda text: self._said.say(act(text)))

    def _source(self) -> None:
        def suggest(text: str) -> str:
            try:
                return sources_words(self._state.show_now, text) if text.strip() else SOURCE_HINT
            except ChangeError as error:
                return str(error)

        self._prompt("New sources", self._typed(self._new_source), suggest=suggest)

    def _new_source(self, text: str) -> None:
        made = self._edits.show.new_sources(text)
        if made and self._state.store.folder is not None:
            self._read(*made)

    def _test(self) -> None:
        others = self._state.show_now.surfaces[1:]
        hint = TEST_HINT + (ON_HINT.format(others[0].name) if others else "")
        self._prompt("Which test picture?", self._typed(self._test_picture), hint)

    def _test_picture(self, text: str) -> None:
        which = meant_on(self._state.show_now, text)[0].lower()
        if which in ("files", "all", "pixel map") or "movie" in which:
            self._said.say(self._write_tests(text))
        else:
            self._said.say(f"“{self._edits.look.test_look(text)}” is in the show, and previewed here")

    def _look(self) -> None:
        scene = self._state.scene
        where = "" if scene is None else f" In {scene.plan.items[scene.item].item.name}:"

        def suggest(text: str) -> str:
            return self._edits.look.understood(text) if text.strip() else LOOK_HINT

        done = self._said_when(self._edits.look.new_look)
        self._prompt(f"A new look.{where}", done, suggest=suggest)

    def _change(self) -> None:
        scene = self._state.scene
        if scene is None:
            return
        now = scene.standing
        words = f"now: {change_words(now.change)}. cut; or mix, move, wipe over 8; even, slow start, slow end"

        def suggest(text: str) -> str:
            try:
                change = change_from_text(now.look.id, text) if text.strip() else None
            except ChangeError as error:
                return str(error)
            return words if change is None else f"{change_words(change)}, {change.ease}"

        done = self._typed(self._edits.look.how_it_comes)
        self._prompt(f"Transition into “{now.look.name}”?", done, suggest=suggest)

    def _try(self) -> None:
        scene = self._state.scene
        if scene is not None and scene.live:
            self._put_on()
            return
        looks = self._state.show_now.looks
        where = "" if scene is None else f"{scene.plan.items[scene.item].item.name} at {span(scene.at_s)}"
        self._prompt(f"Preview which look? {where}", self._typed(self._edits.look.try_look),
                     suggest=lambda text: suggestions(looks, text))  # fmt: skip

    def _put_on(self) -> None:
        """In a run a look that is tried goes on the wall, and on the log."""
        host, scene = self._state.host, self._state.scene
        if host is None or host.session is None or scene is None:
            self._said.say("this desk only watches: ask for the calls first", "caution")
            return
        session, looks = host.session, scene.show.looks
        sent = "its messages will be sent" if not host.book.state.all_muted else "outputs are muted"

        def done(text: str) -> str | None:
            name, _, by = text.partition(",")
            found = [k for k in looks if name.strip().lower() in k.name.lower()] if name.strip() else []
            exact = [k for k in found if k.name.lower() == name.strip().lower()]
            if not found:
                return f"no look is named '{name.strip()}'; {suggestions(looks, '')[:200]}"
            if len(found) > 1 and not exact:
                return f"which one: {', '.join(k.name for k in found[:6])}?"
            words = by.split()
            beats = next((float(w) for w in words[1:] if w.replace(".", "", 1).isdigit()), 0.0)
            session.send(c.PutLook(look=(exact or found)[0].id, by=words[0] if words else "cut", beats=beats))
            return None

        def suggest(text: str) -> str:
            return f"{suggestions(looks, text.partition(',')[0])}   (or: its name, mix 8)"

        self._prompt(f"Put up which look NOW? ({sent})", done, suggest=suggest)

    def _compare(self) -> None:
        state = self._state
        if state.other is not None:
            state.shows_other = not state.shows_other
            return
        host = state.host
        if host is None:
            return
        try:
            editions = {e.number: e for e in host.tour.editions()}
        except TourError as error:
            self._said.say(str(error), "caution")
            return

        def done(text: str) -> str | None:
            if not text.strip().isdecimal() or int(text) not in editions:
                return f"type the number of an edition: {', '.join(map(str, list(editions)[-12:]))}"
            try:
                state.other = (f"edition {int(text)}", host.tour.show_of(int(text)))
                state.shows_other = True
            except TourError as error:
                return str(error)
            return None

        listed = "; ".join(f"{n} {e.name}" for n, e in list(editions.items())[-8:])
        self._prompt(
            "Compare with which edition?", done, f"{listed}. {self._keys['wall.compare']} then switches"
        )
