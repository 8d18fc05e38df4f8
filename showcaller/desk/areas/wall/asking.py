"""The wall area's questions: each opens the prompt, and what is typed becomes an act."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from showcaller.archive import TourError
from showcaller.calling.wording import span
from showcaller.desk.areas.wall.acts import suggestions
from showcaller.desk.areas.wall.editing import SEND_HINT
from showcaller.desk.areas.wall.making import SOURCE_HINT, WALL_HINT
from showcaller.desk.areas.wall.panels import PANELS
from showcaller.desk.ask import Ask
from showcaller.run import commands as c
from showcaller.screen.picture import change_words

if TYPE_CHECKING:
    from showcaller.desk.areas.wall.area import WallArea


class WallAsking:
    """Belongs to one area; ``ask`` opens the window's prompt."""

    def __init__(self, area: WallArea, ask: Ask) -> None:
        self._area = area
        self._prompt = ask
        self._table: dict[str, Callable[[], None]] = {
            "new_layer": self._layer,
            "new_source": self._source,
            "new_look": self._look,
            "change": self._change,
            "try": self._try,
            "compare": self._compare,
        }

    def ask(self, name: str) -> None:
        """Ask what an act needs to know."""
        if name == "new_layer" and self._area.acts.show.wall is None:
            self._prompt("The wall: how large, how many pixels, inputs and channels?",
                         self._do(self._area.acts.new_wall), WALL_HINT)  # fmt: skip
        elif name == "new_layer" and PANELS[self._area.panel] == "what is sent":
            self._new_send()
        else:
            self._table[name]()

    def _do(self, act: Callable[[str], object]) -> Callable[[str], str | None]:
        return lambda text: self._area.attempt(lambda: act(text))

    def _layer(self) -> None:
        acts = self._area.acts
        self._prompt("Put which source on this look?", self._do(acts.add),
                     suggest=lambda text: suggestions(acts.show.sources, text))  # fmt: skip

    def _source(self) -> None:
        self._prompt("A new source", self._do(self._area.acts.new_source), SOURCE_HINT)

    def _look(self) -> None:
        words = f"it begins as this one and is tried here; {self._area.keys['wall.keep']} keeps it"
        self._prompt("A new look. What is it called?", self._do(self._area.acts.new_look), words)

    def _change(self) -> None:
        scene = self._area.scene
        if scene is None:
            return
        now = scene.standing
        words = f"now: {change_words(now.change)}. cut; or mix, move, wipe over 8; even, slow start, slow end"
        self._prompt(f"How does “{now.look.name}” come?", self._do(self._area.acts.how_it_comes), words)

    def _try(self) -> None:
        scene = self._area.scene
        if scene is not None and scene.live:
            self._put_on()
            return
        acts = self._area.acts
        where = "" if scene is None else f"{scene.plan.items[scene.item].item.name} at {span(scene.at_s)}"
        self._prompt(f"Try which look? {where}", self._do(acts.try_look),
                     suggest=lambda text: suggestions(acts.show.looks, text))  # fmt: skip

    def _put_on(self) -> None:
        """In a run a look that is tried goes on the wall, and on the log."""
        host, scene = self._area.host, self._area.scene
        if host is None or host.session is None or scene is None:
            self._area.say("this run is only looked at", "caution")
            return
        session, looks = host.session, scene.show.looks
        sent = "its messages leave" if not host.book.state.all_muted else "outlets are muted"

        def done(text: str) -> str | None:
            name, _, by = text.partition(",")
            found = [k for k in looks if name.strip().lower() in k.name.lower()] if name.strip() else []
            exact = [k for k in found if k.name.lower() == name.strip().lower()]
            if not found:
                return f"no look is called '{name.strip()}'; {suggestions(looks, '')[:200]}"
            if len(found) > 1 and not exact:
                return f"which one: {', '.join(k.name for k in found[:6])}?"
            words = by.split()
            beats = next((float(w) for w in words[1:] if w.replace(".", "", 1).isdigit()), 0.0)
            session.send(c.PutLook(look=(exact or found)[0].id, by=words[0] if words else "cut", beats=beats))
            return None

        def suggest(text: str) -> str:
            return f"{suggestions(looks, text.partition(',')[0])}   (or: its name, mix 8)"

        self._prompt(f"Put which look on the wall NOW? ({sent})", done, suggest=suggest)

    def _compare(self) -> None:
        area = self._area
        if area.other is not None:
            area.shows_other = not area.shows_other
            return
        host = area.host
        if host is None:
            return
        try:
            editions = {e.number: e for e in host.tour.editions()}
        except TourError as error:
            area.say(str(error), "caution")
            return

        def done(text: str) -> str | None:
            if not text.strip().isdecimal() or int(text) not in editions:
                return f"type the number of an edition: {', '.join(map(str, list(editions)[-12:]))}"
            try:
                area.compare(int(text), host.tour.show_of(int(text)))
            except TourError as error:
                return str(error)
            return None

        listed = "; ".join(f"{n} {e.name}" for n, e in list(editions.items())[-8:])
        self._prompt(
            "Compare with which edition?", done, f"{listed}. {area.keys['wall.compare']} then switches"
        )

    def _new_send(self) -> None:
        self._prompt("A new template of what is sent", self._do(self._area.acts.new_send), SEND_HINT)
