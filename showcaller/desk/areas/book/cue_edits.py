"""What is done to cues in the book: each is one change of the show and says what it was."""

from fractions import Fraction
from typing import Any

from showcaller.desk.areas.book.edits import BookEdits
from showcaller.desk.areas.book.typed_lines import read_new_cue, read_renumber
from showcaller.editing import ChangeError, Put
from showcaller.editing.changes import stored
from showcaller.editing.checking import runs_as_before
from showcaller.editing.cues import (
    add_cue,
    copy_cues,
    cue_of,
    cue_told,
    item_at,
    item_of,
    move_cue,
    move_cue_to,
    remove_cue,
    renumber,
)
from showcaller.editing.placing import cue_name, parse_anchor
from showcaller.editing.snapping import falls_at, moved_anchor, nudged_anchor


class CueEdits(BookEdits):
    """BookEdits of the chosen cue. Every one returns what to say; a refusal is a ChangeError."""

    _copied: tuple[str, ...] = ()
    _cut = False

    def new_cue(
        self,
        department: str,
        anchor: dict[str, object],
        at_s: Fraction,
        label: str = "new cue",
        look: dict[str, Any] | None = None,
    ) -> str:
        """Put a new cue there and choose it; ``look`` is what it brings on the wall."""
        change, new = add_cue(self.show, self.chosen.item, department, anchor, at_s, label)
        assert isinstance(change, Put)
        if anchor["at"] == "after":  # that is what following means, until somebody says otherwise
            change = change.model_copy(update={"part": change.part | {"fires": "by itself"}})
        if look is not None:
            change = change.model_copy(update={"part": change.part | {"look": look}})
        told = cue_told(self.show, item_at(self.show, self.chosen.item), change.part)
        return self.do(f"new cue {told}", change, check=runs_as_before(self.chosen.item), choose=new)

    def new_cue_typed(self, text: str) -> str:
        """A new cue from ``lights 69/3 what happens``."""
        item = item_at(self.show, self.chosen.item)
        cue = read_new_cue(self.show, item, text)
        anchor = parse_anchor(cue.place, self.show, item)
        at_s = falls_at(self.planned(), anchor)
        return self.new_cue(cue.department, anchor, at_s, cue.label or "new cue", cue.look)

    def drag(self, cue_id: str, at_s: float, step: Fraction) -> str:
        """Let go of a dragged cue at ``at_s``; it is chosen then."""
        self.chosen.cue = cue_id
        planned, cue = self.planned_cue()
        return self._move(cue_id, moved_anchor(planned, cue, at_s, step))

    def nudge(self, beats: int) -> str:
        """The chosen cue some beats later, or so many tenths of a second."""
        planned, cue = self.planned_cue()
        return self._move(cue.cue.id, nudged_anchor(planned, cue, beats), join=f"nudge {cue.cue.id}")

    def bar_beats(self) -> int:
        """Beats in the chosen cue's bar, or ten tenths of a second."""
        planned, cue = self.planned_cue()
        bar = planned.bar_at(cue.at_s)
        return 10 if bar is None or planned.tempo is None else int(planned.tempo.beats_in_bar(max(1, bar[0])))

    def _move(self, cue_id: str, anchor: dict[str, object], join: str = "") -> str:
        part = stored(cue_of(self.show, cue_id)) | {"anchor": anchor}
        told = cue_told(self.show, item_of(self.show, cue_id), part)
        check = runs_as_before(self.chosen.item)
        return self.do(f"moved: {told}", move_cue(self.show, cue_id, anchor), join, check)

    def copy(self, cut: bool = False) -> str:
        """Remember the chosen cue."""
        self._copied, self._cut = (self.cue(),), cut
        name = cue_name(self.show, cue_of(self.show, self._copied[0]))
        words, key = "will move" if cut else "copied", self.keys["book.paste"]
        return f"{name} {words}: {key} puts it into the item that is chosen then"

    def paste(self) -> str:
        """Put what is remembered into the chosen item."""
        if not self._copied:
            raise ChangeError(f"nothing is copied; choose a cue and press {self.keys['book.copy']}")
        if self._cut:
            cue_id, self._copied = self._copied[0], ()
            name = cue_name(self.show, cue_of(self.show, cue_id))
            lost = self._word_lost(cue_id)
            target = item_at(self.show, self.chosen.item).name
            change = move_cue_to(self.show, cue_id, self.chosen.item)
            words = self.do(f"moved {name} to {target}", change, choose=cue_id)
            return f"{words}{lost}"
        lost = self._word_lost(self._copied[0])
        change, new = copy_cues(self.show, self._copied, self.chosen.item)
        from_ = cue_name(self.show, cue_of(self.show, self._copied[0]))
        target = item_at(self.show, self.chosen.item).name
        self.do(f"copied {from_} to {target}", change, choose=new[0])
        return f"copied here as {cue_name(self.show, cue_of(self.show, new[0]))}{lost}"

    def _word_lost(self, cue_id: str) -> str:
        """That a cue on a word is on none in another item, to follow what was done."""
        item = item_of(self.show, cue_id)
        on = cue_of(self.show, cue_id).anchor.at == "word" and item.id != self.chosen.item
        return f"; its word is sung in {item.name}, so it is at the word's time here" if on else ""

    def remove(self) -> str:
        """Take out the chosen cue."""
        cue_id = self.cue()
        name = cue_name(self.show, cue_of(self.show, cue_id))
        self.chosen.cue = None
        item = item_of(self.show, cue_id).name
        words = self.do(f"removed {name} from {item}", remove_cue(self.show, cue_id))
        return f"{words}; {self.keys['undo']} brings it back"

    def renumber_typed(self, text: str) -> str:
        """Number anew from ``lights 12 to 40 from 100 by 10``."""
        department, numbers = read_renumber(self.show, text)
        change = renumber(self.show, department, *numbers)
        return self.do(f"renumbered {self.show.department(department).name}", change)

    def _cue(self) -> str:
        if self.chosen.cue is None:
            raise ChangeError("no cue is chosen; left and right choose one")
        return self.chosen.cue
