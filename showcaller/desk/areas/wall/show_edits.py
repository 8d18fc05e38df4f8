"""What is done to the wall itself, its sources, and the templates of what is sent."""

from collections.abc import Mapping
from typing import Any

from showcaller.desk.areas.wall.edits import WallChanges
from showcaller.desk.areas.wall.making import new_sources, new_wall
from showcaller.desk.areas.wall.templates import send_from
from showcaller.editing import Put, SetFields, Take
from showcaller.screen.cameras import shot_change
from showcaller.screen.setup.rows import setup_change


class ShowEdits(WallChanges):
    """A refusal is a ChangeError."""

    def new_wall(self, text: str) -> None:
        """A wall for a show that has none."""
        self.do("the wall", new_wall(self.state.show_now, text))

    def new_sources(self, text: str) -> tuple[str, ...]:
        """New sources; the ids of those that have a file, to be read now."""
        change, ids = new_sources(self.state.show_now, text)
        self.do(
            f"new source {text.partition(',')[0].strip()}" if len(ids) == 1 else f"{len(ids)} new sources",
            change,
        )
        return tuple(s.id for s in self.state.show_now.sources if s.id in ids and s.media)

    def type_setup(self, key: str, text: str) -> str | None:
        """Type into a line of the set-up; the id of the source whose file is to be read now, if one is."""
        self.scene()
        words, change = setup_change(self.state.show_now, key, text)
        self.do(words, change)
        kind, _, ident = key.partition(".")
        return ident if kind == "file" and text.strip() else None

    def type_shot(self, key: str, text: str) -> None:
        """Type into a line of the song's shots."""
        scene = self.scene()
        song = scene.plan.items[scene.item].item.id
        index = int(key.partition(".")[2]) if "." in key else None
        self.do(*shot_change(self.state.show_now, song, index, text))

    def new_send(self, text: str) -> None:
        """A new template of what is sent."""
        self.scene()
        part = send_from(self.state.show_now, text, None)
        self.do(
            f"new template for {self._output(part)}",
            Put(at=("sends",), index=len(self.state.show_now.sends), part=part),
        )

    def change_send(self, n: int, text: str) -> None:
        """Change a template, or take it out with an empty text."""
        self.scene()
        send = self.state.show_now.sends[n]
        ident = send.id
        if not text.strip():
            self.do(
                f"template for {self._output({'outlet': send.outlet})} taken out",
                Take(at=("sends",), key=ident),
            )
            return
        fields = send_from(self.state.show_now, text, ident)
        kept = {k: v for k, v in fields.items() if k != "id"}
        self.do(f"template for {self._output(fields)}", SetFields(at=("sends", ident), fields=kept))

    def _output(self, part: Mapping[str, Any]) -> str:
        names = {o.id: o.name for o in self.state.show_now.outlets}
        return names.get(part["outlet"], str(part["outlet"]))
