"""What is done to looks: made, tried, kept, discarded, and how they come."""

import time

from showcaller.desk.areas.wall import look_changes as changes
from showcaller.desk.areas.wall.edits import WallChanges
from showcaller.desk.areas.wall.here import anchor, complete_s, long_since
from showcaller.desk.areas.wall.named import found
from showcaller.desk.areas.wall.new_look import NewLook, new_look
from showcaller.editing import ChangeError
from showcaller.model import LookChange
from showcaller.run import commands as c
from showcaller.run.kept_changes import cue_for
from showcaller.screen.errors import ClipError
from showcaller.screen.media_check import media_of_test
from showcaller.screen.testcards import card_named, meant_on
from showcaller.values import replace


class LookEdits(WallChanges):
    """A refusal is a ChangeError."""

    def new_look(self, text: str) -> str:
        """A new look as it is typed, like this one where nothing is listed. With a bar behind its name a cue
        brings it there; without one it is previewed here. What was done, in words."""
        made = self._read(text)
        self.state.chosen = None
        if made.at_s is None:
            self.do(f"new look “{made.name}”", made.change)
            self._try(made.how)
            keep = self.keys["wall.keep"]
            return f"“{made.name}” is in the show, and previewed here; {keep}: a cue here brings it"
        scene, rehearsal = self.scene(), self.state.rehearsal
        self.do(f"new look “{made.name}” at {made.where}", made.change)
        if made.cue:  # what was previewed in its place is over
            rehearsal.tried.pop((scene.plan.items[scene.item].item.id, made.cue), None)
        rehearsal.seek(float(made.at_s), time.monotonic())
        self.state.look_again()
        now = self.scene().looks
        rehearsal.seek(complete_s(now, now.index_at(float(made.at_s))), time.monotonic())
        return f"“{made.name}” is in the show; {made.brought}"

    def understood(self, text: str) -> str:
        """What a line for a new look would make, in words; or why it would not."""
        try:
            return self._read(text).words
        except ChangeError as error:
            return str(error)

    def _read(self, text: str) -> NewLook:
        scene = self.scene()
        return new_look(self.state.show_now, scene, scene.wall, text)

    def try_look(self, text: str) -> str:
        """Put another look in the place of this one, for the time being."""
        now = self.scene().standing
        look = found(self.state.show_now.looks, text, "look")
        self._try(LookChange.model_validate({**now.change.model_dump(), "look": look.id, "overrides": ()}))
        return str(look.name)

    def test_look(self, text: str) -> str:
        """Preview a test picture over a whole surface, the first if none is named behind it; its source and
        its look are made once."""
        scene, show = self.scene(), self.state.show_now
        which, on = meant_on(show, text)
        try:
            card = card_named(which)
        except ClipError as error:
            raise ChangeError(str(error)) from None
        wall = on or scene.wall
        other = "" if wall.id == show.surfaces[0].id else wall.id
        name = f"Test: {card.words}" + (f", {wall.name}" if other else "")
        if name not in {k.name for k in self.state.show_now.looks}:
            self.do(
                f"test picture “{name}”",
                changes.test_look(show, wall, name, media_of_test(card.words, other)),
            )
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
            self.do(f"the transition into “{now.look.name}”", changes.set_change(item, now.cue, change))

    def _try(self, change: LookChange) -> None:
        scene = self.scene()
        item = scene.plan.items[scene.item].item.id
        self.state.rehearsal.tried[item, scene.standing.cue] = change

    def keep(self) -> str:
        """Put what is previewed in this item into the book: into the cue it stands in for, or where there is
        none right here into a new one: a cue that brought its look long before keeps it. What was done, in
        words.

        Raises:
            ChangeError: nothing is previewed.
        """
        scene = self.scene()
        item, mine = scene.plan.items[scene.item].item, self._previewed()
        if not mine:
            raise ChangeError(f"nothing is previewed here; {self.keys['wall.try']} previews a look")
        said, names = [], self._names()
        for cue, change in mine.items():
            name = names[change.look]
            if cue and not (cue == scene.standing.cue and long_since(scene)):
                words = f"cue {next(c.number for c in item.cues if c.id == cue)} brings “{name}”"
                self.do(words, changes.set_change(item.id, cue, change))
            else:
                here = replace(scene, at_s=0.0) if not cue and scene.standing.cue else scene
                place, at_s, where = anchor(here)
                words = f"a new cue at {where} brings “{name}”"
                self.do(words, cue_for(self.state.show_now, item.id, place, at_s, change, name))
            said.append(words)
        self._drop()
        return f"{', '.join(said)}; {self.keys['undo']} takes it back"

    def discard(self) -> str:
        """Show what the book has in this item again; what was done, in words, empty where nothing was
        previewed. The looks themselves stay in the show."""
        mine, names = self._previewed(), self._names()
        if not mine:
            return ""
        self._drop()
        looks = ", ".join(dict.fromkeys(f"“{names[c.look]}”" for c in mine.values()))
        return f"here it is as in the book again; {looks} stays among the looks"

    def _names(self) -> dict[str, str]:
        return {k.id: k.name for k in self.state.show_now.looks}

    def _previewed(self) -> dict[str, LookChange]:
        """What is previewed in this item, by the cue it stands in for; of looks that are still there."""
        scene, names = self.state.scene, self._names()
        item = "" if scene is None else scene.plan.items[scene.item].item.id
        tried = self.state.rehearsal.tried
        return {cue: change for (name, cue), change in tried.items() if name == item and change.look in names}

    def _drop(self) -> None:
        scene, tried = self.state.scene, self.state.rehearsal.tried
        if scene is not None:
            for key in [key for key in tried if key[0] == scene.plan.items[scene.item].item.id]:
                del tried[key]
