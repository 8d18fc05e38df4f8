"""What is done to looks: made, tried, kept, discarded, and how they come."""

from showcaller.desk.areas.wall import look_changes as changes
from showcaller.desk.areas.wall.edits import WallChanges, found
from showcaller.editing import ChangeError
from showcaller.model import LookChange
from showcaller.run import commands as c
from showcaller.screen.errors import ClipError
from showcaller.screen.media_check import TEST
from showcaller.screen.testcards import card_named


class LookEdits(WallChanges):
    """A refusal is a ChangeError."""

    def new_look(self, name: str) -> None:
        """A new look like this one, tried here."""
        now = self.scene().standing
        change, ident = changes.new_look(self.state.show_now, name, now.look)
        self.do(f"new look {name}", change)
        self._try(LookChange.model_validate({**now.change.model_dump(), "look": ident, "overrides": ()}))

    def try_look(self, text: str) -> str:
        """Put another look in the place of this one, for the time being."""
        now = self.scene().standing
        look = found(self.state.show_now.looks, text, "look")
        self._try(LookChange.model_validate({**now.change.model_dump(), "look": look.id, "overrides": ()}))
        return str(look.name)

    def test_look(self, text: str) -> str:
        """Preview a test picture over the whole wall; its source and its look are made once."""
        scene = self.scene()
        try:
            card = card_named(text)
        except ClipError as error:
            raise ChangeError(str(error)) from None
        name = f"Test: {card.words}"
        if name not in {k.name for k in self.state.show_now.looks}:
            self.do(name, changes.test_look(self.state.show_now, scene.wall, name, f"{TEST}{card.words}"))
            self.state.look_again()
        return self.try_look(name)

    def back_to_plan(self) -> str:
        """In a run: the planned look again, without what was played or put up by hand."""
        scene, host = self.state.scene, self.state.host
        session = None if host is None else host.session
        if scene is None or not scene.live or session is None:
            raise ChangeError("no show is on: what is shown here is the plan")
        if scene.on is None or scene.on.planned is None:
            raise ChangeError("no cue has brought a look yet, so there is no plan to go back to")
        if not scene.away and not scene.on.played:
            raise ChangeError("the wall is as planned already; nothing to take back")
        session.send(c.BackToPlan())
        return f"back to the plan: {scene.away or 'as it was'} is over"

    def how_it_comes(self, text: str) -> None:
        """Change how this look comes, for the time being if it is tried."""
        scene = self.scene()
        now = scene.standing
        if not now.cue:
            raise ChangeError(
                "this look is carried over from before; give the item a cue with a look in the Book"
            )
        change = changes.change_from_text(now.look.id, text)
        change = LookChange.model_validate({**change.model_dump(), "overrides": now.change.overrides})
        item = scene.plan.items[scene.item].item.id
        if (item, now.cue) in self.state.rehearsal.tried:
            self.state.rehearsal.tried[item, now.cue] = change
        else:
            self.do("the transition", changes.set_change(item, now.cue, change))

    def _try(self, change: LookChange) -> None:
        scene = self.scene()
        item = scene.plan.items[scene.item].item.id
        self.state.rehearsal.tried[item, scene.standing.cue] = change

    def keep(self) -> str:
        """Keep what is tried in this item: its cues bring it from now on."""
        scene = self.scene()
        item = scene.plan.items[scene.item].item.id
        mine = {cue: change for (name, cue), change in self.state.rehearsal.tried.items() if name == item}
        if not mine:
            raise ChangeError(f"nothing is previewed here; {self.keys['wall.try']} previews a look")
        if "" in mine:
            raise ChangeError("the preview stands before the item's first cue; make a cue for it in the Book")
        for cue, change in mine.items():
            self.do("kept the preview", changes.set_change(item, cue, change))
        self.discard()
        return ", ".join(
            sorted({k.name for k in self.state.show_now.looks for c in mine.values() if k.id == c.look})
        )

    def discard(self) -> bool:
        """Drop what is tried in this item; whether there was something."""
        scene = self.state.scene
        if scene is None:
            return False
        item = scene.plan.items[scene.item].item.id
        mine = [key for key in self.state.rehearsal.tried if key[0] == item]
        for key in mine:
            del self.state.rehearsal.tried[key]
        return bool(mine)
