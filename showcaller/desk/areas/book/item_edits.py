"""What is done to items in the book: each is one change of the show and says what it was."""

from fractions import Fraction

from showcaller.desk.areas.book.edits import BookEdits
from showcaller.desk.areas.book.taps import Taps
from showcaller.desk.areas.book.typed_lines import read_new_item
from showcaller.editing import ChangeError, SetFields, Take, Together
from showcaller.editing.cues import item_at
from showcaller.editing.importing.understood import UNTOUCHED
from showcaller.editing.running_order import add_item, move_item, place_of, remove_item, set_out, split_item
from showcaller.model.quantities import to_json
from showcaller.timing.tap import tap_tempo


class ItemEdits(BookEdits):
    """BookEdits of the chosen item. Every one returns what to say; a refusal is a ChangeError."""

    def new_item_typed(self, text: str) -> str:
        """A new item after the chosen one from ``talk The ferry 1:30``."""
        kind, name, length, more = read_new_item(text)
        index = place_of(self.show, self.chosen.item) + 1
        change, new = add_item(self.show, kind, name, index, length, more)
        first = self.show.items[0]
        if len(self.show.items) == 1 and first.name == UNTOUCHED and not first.cues:
            change = Together(changes=(change, Take(at=("items",), key=first.id)))
        said = self.do(f"new {kind} {name}", change)
        self.chosen.item, self.chosen.cue = new, None
        return said

    def remove(self) -> str:
        """Take out the chosen item and its cues."""
        item = item_at(self.show, self.chosen.item)
        index = place_of(self.show, item.id)
        words = self.do(f"removed {item.name}", remove_item(self.show, item.id))
        self.chosen.item = self.show.items[min(index, len(self.show.items) - 1)].id
        return f"{words} and its cues; {self.keys['undo']} brings all back"

    def move_item(self, by: int) -> str:
        """The chosen item up or down."""
        item = item_at(self.show, self.chosen.item)
        return self.do(f"moved {item.name}", move_item(self.show, item.id, by))

    def toggle_out(self) -> str:
        """Leave the chosen item out tonight, or put it back."""
        item = item_at(self.show, self.chosen.item)
        words = f"{item.name} {'is in again' if item.out else 'is cut tonight'}"
        return self.do(words, set_out(self.show, item.id, not item.out))

    def split(self) -> str:
        """Split the chosen item where the chosen cue is."""
        planned, cue = self.planned_cue()
        change, new = split_item(self.show, self.chosen.item, cue.at_s)
        words = self.do(f"split {planned.item.name}", change)
        self.chosen.item, self.chosen.cue = new, None
        return words

    def no_reference(self) -> str:
        """The chosen song has no reference file any more."""
        item = item_at(self.show, self.chosen.item)
        return self.do(
            f"no reference for {item.name}", SetFields(at=("items", item.id), fields={"reference": None})
        )

    def take_reference(self, item_id: str, text: str, length_s: Fraction) -> str:
        """Name a song's reference file, and take its length."""
        item = item_at(self.show, item_id)
        fields = {"reference": text, "length_s": to_json(length_s)}
        return self.do(
            f"reference of {item.name}, and its length", SetFields(at=("items", item.id), fields=fields)
        )

    def take_tempo(self, taps_s: list[Fraction]) -> str:
        """Give the chosen song the tempo that was tapped, from bar 1."""
        item = item_at(self.show, self.chosen.item)
        bpm = round(tap_tempo(taps_s).bpm, 1)
        fields = {"tempo": [{"bar": 1, "bpm": to_json(bpm)}]}
        return self.do(
            f"tempo of {item.name}: {float(bpm):g}", SetFields(at=("items", item.id), fields=fields)
        )

    def take_length(self, taps: Taps) -> str:
        """Give the chosen item the length that was tapped, to the tenth."""
        seconds = taps.length_s()
        if seconds is None:
            raise ChangeError("tap once at the start and once at the end")
        item = item_at(self.show, self.chosen.item)
        length = to_json(round(seconds, 1))
        return self.do(
            f"length of {item.name}", SetFields(at=("items", item.id), fields={"length_s": length})
        )
