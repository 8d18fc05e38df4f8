"""What the book asks in one line at the foot: a new cue or item, a number to find, taps."""

from collections.abc import Callable
from typing import TYPE_CHECKING

from showcaller.desk.areas.book.acts import Taps
from showcaller.desk.ask import Suggest
from showcaller.editing import ChangeError
from showcaller.editing.finding import find_in_book

if TYPE_CHECKING:
    from showcaller.desk.areas.book.area import BookArea


class Asking:
    """Opens the prompt for one question at a time."""

    def __init__(self, area: "BookArea") -> None:
        self._area = area

    def new_cue(self) -> None:
        """A new cue, typed in a line."""

        def suggest(text: str) -> str:
            try:
                department, place, label = self._area.acts.read_new_cue(text)
            except ChangeError as error:
                return str(error)
            return f"{self._area.show_now.department(department).name} at {place}: {label or 'new cue'}"

        self._do("New cue: who, when, what", self._area.acts.new_cue_typed, suggest=suggest)

    def new_item(self) -> None:
        """A new item after the chosen one."""
        hint = "a name, and a length if known: Iron Gulls 4:36. Or first: talk, walk-on, changeover, interval"
        self._do("New item after this one", self._area.acts.new_item_typed, hint)

    def renumber(self) -> None:
        """A range of cues numbered anew."""
        hint = "lights 12 to 40 from 100 by 10. What follows a cue goes on following it"
        self._do("Number cues anew: who, first, last, new first, step", self._area.acts.renumber_typed, hint)

    def find(self) -> None:
        """An item or a cue by number or word."""

        def suggest(text: str) -> str:
            found = find_in_book(self._area.show_now, text)
            if not text.strip():
                return "an item's name, a cue such as 'lights 12.5', or a word of what happens"
            return (
                "\n".join(f"{'Enter: ' if n == 0 else '           '}{f.words}" for n, f in enumerate(found))
                or "nothing matches"
            )

        def done(text: str) -> str | None:
            found = find_in_book(self._area.show_now, text, 1)
            if not found:
                return "nothing matches; Escape leaves"
            self._area.go_to(found[0].item, found[0].cue)
            return None

        self._area.ask("Find in the book", done, suggest=suggest)

    def tempo(self) -> None:
        """The tempo, tapped on any letter."""

        def words(taps: Taps) -> str | None:
            bpm = taps.tempo()
            return None if bpm is None else f"{bpm:g} beats a minute, {len(taps.taps_s)} taps"

        self._tap("tempo", "on the beat", words, lambda taps: self._area.acts.take_tempo(taps.taps_s))

    def length(self) -> None:
        """The length, tapped at its start and its end."""

        def words(taps: Taps) -> str | None:
            length_s = taps.length_s()
            return None if length_s is None else f"{float(length_s):.1f} s"

        self._tap("length", "at the start and at the end", words, self._area.acts.take_length)

    def _tap(
        self, what: str, when: str, words: Callable[[Taps], str | None], take: Callable[[Taps], str]
    ) -> None:
        taps = Taps()

        def suggest(text: str) -> str:
            taps.typed(text)
            return words(taps) or f"tap any letter {when}, Enter takes it"

        def done(_: str) -> str | None:
            if words(taps) is None:
                return f"tap {when}: twice at the least"
            self._area.attempt(lambda: take(taps))
            return None

        self._area.ask(f"Tap the {what}", done, suggest=suggest)

    def _do(
        self, question: str, act: Callable[[str], str], hint: str = "", suggest: Suggest | None = None
    ) -> None:
        def done(text: str) -> str | None:
            try:
                words = act(text)
            except ChangeError as error:
                return str(error)
            self._area.refresh()
            self._area.say(words)
            return None

        self._area.ask(question, done, hint, suggest)
