"""What the book's keys and the mouse do to the show: each makes one change and says what it was."""

import re
import time
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import Keys
from showcaller.editing import Change, ChangeError, Put, SetFields
from showcaller.editing.checking import runs_as_before
from showcaller.editing.cues import (
    add_cue,
    copy_cues,
    cue_of,
    item_at,
    move_cue,
    move_cue_to,
    remove_cue,
    renumber,
)
from showcaller.editing.forms.field import one_of, seconds_of
from showcaller.editing.importing.lengths import CellError, name_and_length
from showcaller.editing.placing import cue_name, parse_anchor
from showcaller.editing.running_order import (
    KINDS,
    add_item,
    move_item,
    place_of,
    remove_item,
    set_out,
    split_item,
)
from showcaller.editing.snapping import moved_anchor, nudged_anchor
from showcaller.model import Show, Song
from showcaller.model.quantities import parse_cue_number, to_json
from showcaller.timing.plan import PlannedItem, compile_item
from showcaller.timing.tap import tap_tempo

_PLACE = re.compile(
    r"^((?:after|follows?)\s+\S+\s+[\d.]+(?:\s*\+\s*[\d.:/]+)?|(?:when|sees)\s+.+?,\s*about\s+[\d:.]+"
    r"|(?:when|sees)\s+.+|\S+)\s*(.*)$",
    re.IGNORECASE,
)
"""When a new cue is, at the head of a line, and what happens, behind it."""


Check = Callable[[Show, Show], None]


def _anything(_before: Show, _after: Show) -> None:
    """No check."""


@dataclass
class Chosen:
    """What is chosen in the book: an item, and in it a cue or none."""

    item: str
    cue: str | None = None


class BookActs:
    """Acts on what is chosen. Every method returns what to say; a refusal is a ChangeError."""

    def __init__(self, store: DocumentStore, chosen: Chosen, keys: Keys) -> None:
        self._book = store
        self._keys = keys
        self.chosen = chosen
        self._copied: tuple[str, ...] = ()
        self._cut = False

    @property
    def show(self) -> Show:
        """The show as it is."""
        return self._book.show_now

    def planned(self) -> PlannedItem:
        """The chosen item, compiled."""
        return compile_item(item_at(self.show, self.chosen.item), self.show.timecode_rate)

    def _do(self, words: str, change: Change, join: str = "", check: Check = _anything) -> str:
        self._book.do(words, change, join, check)
        return words

    # Cues

    def new_cue(
        self, department: str, anchor: dict[str, object], at_s: Fraction, label: str = "new cue"
    ) -> str:
        """Put a new cue there and choose it."""
        change, new = add_cue(self.show, self.chosen.item, department, anchor, at_s, label)
        if anchor["at"] == "after":  # that is what following means, until somebody says otherwise
            assert isinstance(change, Put)
            change = change.model_copy(update={"part": change.part | {"fires": "by itself"}})
        words = self._do("new cue", change, check=runs_as_before(self.chosen.item))
        self.chosen.cue = new
        return f"{words}: {cue_name(self.show, cue_of(self.show, new))}"

    def new_cue_typed(self, text: str) -> str:
        """A new cue from ``lights 69/3 what happens``."""
        department, place, label = self.read_new_cue(text)
        item = item_at(self.show, self.chosen.item)
        anchor = parse_anchor(place, self.show, item)
        return self.new_cue(department, anchor, self.falls(anchor), label or "new cue")

    def read_new_cue(self, text: str) -> tuple[str, str, str]:
        """(department, place, label) of a new cue as it is typed."""
        who, _, rest = text.strip().partition(" ")
        if not who:
            raise ChangeError("who, when, what: lights 69/3 chorus")
        names = [(d.id, (d.name, d.letters)) for d in self.show.departments]
        department = one_of(who, names, "who")
        match = _PLACE.match(rest.strip())
        if match is None:
            raise ChangeError(f"when does {who} go? give a bar and beat 69/3, or a time 1:23.5")
        place, label = match.group(1), match.group(2).strip()
        parse_anchor(place, self.show, item_at(self.show, self.chosen.item))
        return department, place, label

    def falls(self, anchor: dict[str, object]) -> Fraction:
        """Where an anchor falls in the chosen item, for choosing a number; else its start."""
        planned = self.planned()
        if anchor["at"] == "bar" and planned.tempo is not None and isinstance(planned.item, Song):
            beat = Fraction(str(anchor.get("beat", 1)))
            return planned.item.downbeat_s + planned.tempo.seconds(int(str(anchor["bar"])), beat)
        if anchor["at"] == "time":
            return Fraction(str(anchor["seconds"]))
        return Fraction(0)

    def drag(self, cue: int, at_s: float, step: Fraction) -> str:
        """Let go of a dragged cue at ``at_s``."""
        planned = self.planned()
        moved = planned.cues[cue]
        anchor = moved_anchor(planned, moved, at_s, step)
        return self._move(moved.cue.id, anchor)

    def nudge(self, beats: int) -> str:
        """The chosen cue some beats later, or so many tenths of a second."""
        planned = self.planned()
        cue = next(c for c in planned.cues if c.cue.id == self._cue())
        return self._move(cue.cue.id, nudged_anchor(planned, cue, beats), join=f"nudge {cue.cue.id}")

    def bar_beats(self) -> int:
        """Beats in the chosen cue's bar, or ten tenths of a second."""
        planned = self.planned()
        cue = next(c for c in planned.cues if c.cue.id == self._cue())
        bar = planned.bar_at(cue.at_s)
        return 10 if bar is None or planned.tempo is None else int(planned.tempo.beats_in_bar(max(1, bar[0])))

    def _move(self, cue_id: str, anchor: dict[str, object], join: str = "") -> str:
        name = cue_name(self.show, cue_of(self.show, cue_id))
        check = runs_as_before(self.chosen.item)
        return self._do(f"moved {name}", move_cue(self.show, cue_id, anchor), join, check)

    def copy(self, cut: bool = False) -> str:
        """Remember the chosen cue."""
        self._copied, self._cut = (self._cue(),), cut
        name = cue_name(self.show, cue_of(self.show, self._copied[0]))
        words, key = "will move" if cut else "copied", self._keys["book.paste"]
        return f"{name} {words}: {key} puts it into the item that is chosen then"

    def paste(self) -> str:
        """Put what is remembered into the chosen item."""
        if not self._copied:
            raise ChangeError(f"nothing is copied; choose a cue and press {self._keys['book.copy']}")
        if self._cut:
            cue_id, self._copied = self._copied[0], ()
            name = cue_name(self.show, cue_of(self.show, cue_id))
            words = self._do(f"moved {name} here", move_cue_to(self.show, cue_id, self.chosen.item))
            self.chosen.cue = cue_id
            return words
        change, new = copy_cues(self.show, self._copied, self.chosen.item)
        self._do("copied a cue here", change)
        self.chosen.cue = new[0]
        return f"copied here as {cue_name(self.show, cue_of(self.show, new[0]))}"

    def remove(self) -> str:
        """Take out the chosen cue, or the chosen item where no cue is."""
        if self.chosen.cue is not None:
            cue_id = self._cue()
            name = cue_name(self.show, cue_of(self.show, cue_id))
            self.chosen.cue = None
            words = self._do(f"removed {name}", remove_cue(self.show, cue_id))
            return f"{words}; {self._keys['undo']} brings it back"
        item = item_at(self.show, self.chosen.item)
        index = place_of(self.show, item.id)
        words = self._do(f"removed {item.name}", remove_item(self.show, item.id))
        self.chosen.item = self.show.items[min(index, len(self.show.items) - 1)].id
        return f"{words} and its cues; {self._keys['undo']} brings all back"

    def renumber_typed(self, text: str) -> str:
        """Number anew from ``lights 12 to 40 from 100 by 10``."""
        department, numbers = self.read_renumber(text)
        change = renumber(self.show, department, *numbers)
        return self._do(f"renumbered {self.show.department(department).name}", change)

    def read_renumber(self, text: str) -> tuple[str, tuple[Decimal, Decimal, Decimal, Decimal]]:
        """(department, (first, last, start, step)) as typed."""
        words = [w for w in text.replace("-", " ").lower().split() if w not in ("to", "from", "by", "cues")]
        if len(words) < 4:
            raise ChangeError("who, first, last, new first, step: lights 12 to 40 from 100 by 10")
        names = [(d.id, (d.name, d.letters)) for d in self.show.departments]
        department = one_of(words[0], names, "who")
        try:
            first, last, start = (parse_cue_number(w) for w in words[1:4])
            step = Decimal(words[4]) if len(words) > 4 else Decimal(1)
        except (ValueError, InvalidOperation):
            raise ChangeError(
                f"'{text}' has something that is not a number: lights 12 to 40 from 100 by 10"
            ) from None
        return department, (first, last, start, step)

    def _cue(self) -> str:
        if self.chosen.cue is None:
            raise ChangeError("no cue is chosen; left and right choose one")
        return self.chosen.cue

    # Items

    def new_item_typed(self, text: str) -> str:
        """A new item after the chosen one from ``talk The ferry 1:30``; without a kind it is a song.

        The length may have units: ``interval Bar open 20 min``.
        """
        words = text.split()
        kind = "song"
        if words and words[0].lower() in KINDS:
            kind, words = words[0].lower(), words[1:]
        length: Fraction | None = None
        if len(words) > 1 and ":" in words[-1]:
            length, words = Fraction(str(seconds_of(words[-1], "length"))), words[:-1]
        elif words:
            try:
                words, length = name_and_length(words)
            except CellError as error:
                raise ChangeError(str(error)) from None
        if not words:
            raise ChangeError("a name, and a length if it is known: talk The ferry 1:30")
        index = place_of(self.show, self.chosen.item) + 1
        change, new = add_item(self.show, kind, " ".join(words), index, length)
        said = self._do(f"new {kind} {' '.join(words)}", change)
        self.chosen.item, self.chosen.cue = new, None
        return said

    def move_item(self, by: int) -> str:
        """The chosen item up or down."""
        item = item_at(self.show, self.chosen.item)
        return self._do(f"moved {item.name}", move_item(self.show, item.id, by))

    def toggle_out(self) -> str:
        """Leave the chosen item out tonight, or put it back."""
        item = item_at(self.show, self.chosen.item)
        words = f"{item.name} {'is in again' if item.out else 'is out tonight'}"
        return self._do(words, set_out(self.show, item.id, not item.out))

    def split(self) -> str:
        """Split the chosen item where the chosen cue is."""
        planned = self.planned()
        at_s = next(c.at_s for c in planned.cues if c.cue.id == self._cue())
        change, new = split_item(self.show, self.chosen.item, at_s)
        words = self._do(f"split {planned.item.name}", change)
        self.chosen.item, self.chosen.cue = new, None
        return words

    def no_reference(self) -> str:
        """The chosen song has no reference file any more."""
        item = item_at(self.show, self.chosen.item)
        return self._do(
            f"no reference for {item.name}", SetFields(at=("items", item.id), fields={"reference": None})
        )

    def take_reference(self, item_id: str, text: str, length_s: Fraction) -> str:
        """Name a song's reference file, and take its length."""
        item = item_at(self.show, item_id)
        fields = {"reference": text, "length_s": to_json(length_s)}
        return self._do(
            f"reference of {item.name}, and its length", SetFields(at=("items", item.id), fields=fields)
        )

    def take_tempo(self, taps_s: list[Fraction]) -> str:
        """Give the chosen song the tempo that was tapped, from bar 1."""
        item = item_at(self.show, self.chosen.item)
        bpm = round(tap_tempo(taps_s).bpm, 1)
        fields = {"tempo": [{"bar": 1, "bpm": to_json(bpm)}]}
        return self._do(
            f"tempo of {item.name}: {float(bpm):g}", SetFields(at=("items", item.id), fields=fields)
        )

    def take_length(self, taps: "Taps") -> str:
        """Give the chosen item the length that was tapped, to the tenth."""
        seconds = taps.length_s()
        if seconds is None:
            raise ChangeError("tap once at the start and once at the end")
        item = item_at(self.show, self.chosen.item)
        length = to_json(round(seconds, 1))
        return self._do(
            f"length of {item.name}", SetFields(at=("items", item.id), fields={"length_s": length})
        )


class Taps:
    """Instants of taps, heard through the letters typed into a prompt."""

    def __init__(self, now_s: Callable[[], float] = time.monotonic) -> None:
        self._now_s = now_s
        self._count = 0
        self.taps_s: list[Fraction] = []

    def typed(self, text: str) -> None:
        """The prompt's text changed; one more letter is one more tap."""
        if len(text) > self._count:
            self.taps_s.append(Fraction(round(self._now_s() * 1_000_000), 1_000_000))
        self._count = len(text)

    def tempo(self) -> float | None:
        """Beats a minute so far."""
        return float(round(tap_tempo(self.taps_s).bpm, 1)) if len(self.taps_s) > 1 else None

    def length_s(self) -> Fraction | None:
        """From the first tap to the last."""
        return self.taps_s[-1] - self.taps_s[0] if len(self.taps_s) > 1 else None
