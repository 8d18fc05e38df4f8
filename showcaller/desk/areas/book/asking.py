"""What the book asks in one line at the foot: a new cue or item, a number to find, taps."""

from collections.abc import Callable

from showcaller.calling.wording import span
from showcaller.desk.areas.book.attempts import Attempts
from showcaller.desk.areas.book.cue_edits import CueEdits
from showcaller.desk.areas.book.item_edits import ItemEdits
from showcaller.desk.areas.book.state import BookState
from showcaller.desk.areas.book.taps import Taps
from showcaller.desk.areas.book.typed_lines import read_new_cue, read_new_item
from showcaller.desk.ask import Ask
from showcaller.editing import ChangeError
from showcaller.editing.cues import item_at
from showcaller.editing.finding import find_in_book
from showcaller.editing.forms.look_change import look_change_text
from showcaller.model import LookChange


class Asking:
    """Opens the prompt for one question at a time."""

    def __init__(
        self, state: BookState, attempts: Attempts, cues: CueEdits, items: ItemEdits, ask: Ask
    ) -> None:
        self._state = state
        self._attempts = attempts
        self._cues = cues
        self._items = items
        self._ask = ask

    def new_cue(self) -> None:
        """A new cue, typed in a line."""

        def suggest(text: str) -> str:
            try:
                item = item_at(self._state.show_now, self._state.chosen.item)
                cue = read_new_cue(show := self._state.show_now, item, text)
            except ChangeError as error:
                return str(error)
            look = ""
            if cue.look is not None:
                look = f"; look: {look_change_text(show, LookChange.model_validate(cue.look))}"
            return f"{show.department(cue.department).name} at {cue.place}: {cue.label or 'new cue'}{look}"

        done = self._attempts.typed(self._cues.new_cue_typed)
        self._ask("New cue: who, when, what", done, suggest=suggest)

    def new_item(self) -> None:
        """A new item after the chosen one."""
        hint = (
            "a name, its length, tempo and time signature if known: Iron Gulls 4:36, 124, 4/4. Or first: "
            "talk, walk-on, changeover, interval"
        )

        def suggest(text: str) -> str:
            try:
                kind, name, length_s, more = read_new_item(text) if text.strip() else ("", "", None, {})
            except ChangeError as error:
                return str(error)
            tempo = [f"{mark['bpm']} beats a minute" for mark in more.get("tempo", ())]
            said = [f"{kind} {name}", "" if length_s is None else span(float(length_s)), *tempo]
            said += [mark["meter"] for mark in more.get("meters", ())]
            return ", ".join(s for s in said if s) if name else hint

        done = self._attempts.typed(self._items.new_item_typed)
        self._ask("New item after this one", done, suggest=suggest)

    def renumber(self) -> None:
        """A range of cues numbered anew."""
        hint = "lights 12 to 40 from 100 by 10. A cue that follows another still follows it"
        done = self._attempts.typed(self._cues.renumber_typed)
        self._ask("Number cues anew: who, first, last, new first, step", done, hint)

    def find(self) -> None:
        """An item or a cue by number or word."""

        def suggest(text: str) -> str:
            found = find_in_book(self._state.show_now, text)
            if not text.strip():
                return "an item's name, a cue such as 'lights 12.5', or a word of what happens"
            return (
                "\n".join(f"{'Enter: ' if n == 0 else '           '}{f.words}" for n, f in enumerate(found))
                or "nothing matches"
            )

        def done(text: str) -> str | None:
            found = find_in_book(self._state.show_now, text, 1)
            if not found:
                return "nothing matches; type another word, or press Escape"
            self._state.go_to(found[0].item, found[0].cue)
            return None

        self._ask("Find in the book", done, suggest=suggest)

    def tempo(self) -> None:
        """The tempo, tapped on any letter."""

        def words(taps: Taps) -> str | None:
            bpm = taps.tempo()
            return None if bpm is None else f"{bpm:g} beats a minute, {len(taps.taps_s)} taps"

        self._tap("tempo", "on the beat", words, lambda taps: self._items.take_tempo(taps.taps_s))

    def length(self) -> None:
        """The length, tapped at its start and its end."""

        def words(taps: Taps) -> str | None:
            length_s = taps.length_s()
            return None if length_s is None else f"{float(length_s):.1f} s"

        self._tap("length", "at the start and at the end", words, self._items.take_length)

    def _tap(
        self, what: str, when: str, words: Callable[[Taps], str | None], take: Callable[[Taps], str]
    ) -> None:
        taps = Taps()

        def suggest(text: str) -> str:
            taps.typed(text)
            return words(taps) or f"tap any letter {when}, Enter takes it"

        def done(_: str) -> str | None:
            if words(taps) is None:
                return f"tap {when}: at least twice"
            self._attempts.attempt(lambda: take(taps))
            return None

        self._ask(f"Tap the {what}", done, suggest=suggest)
