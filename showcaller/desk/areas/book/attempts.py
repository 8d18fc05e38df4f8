"""An edit is tried: what came of it, or why it was refused, is said at the foot."""

from collections.abc import Callable

from showcaller.desk.areas.book.state import BookState
from showcaller.desk.ask import Done
from showcaller.desk.said import FootWords
from showcaller.editing import Change, ChangeError
from showcaller.editing.forms.field import plain_sentence
from showcaller.model import Show
from showcaller.timing.quick_changes import rushed


class Attempts:
    """Edits may choose another item or cue; the state is told."""

    def __init__(self, state: BookState, said: FootWords) -> None:
        self._state = state
        self._said = said

    def attempt(self, act: Callable[[], object]) -> bool:
        """Do something to the show; False if it was refused."""
        before, was = self._state.chosen.item, self._state.show_now
        try:
            words = act()
        except ChangeError as error:
            self._said.say(plain_sentence(str(error)), "caution")
            return False
        if before != self._state.chosen.item:
            self._state.refresh()
        else:
            self._state.choose_cue(self._state.chosen.cue)
        self._tell(words if isinstance(words, str) else "", was)
        return True

    def _tell(self, words: str, was: Show) -> None:
        """What was done; and what it leaves too little time for, where it did not before."""
        known = rushed(was)
        more = [sentence for sentence in rushed(self._state.show_now) if sentence not in known]
        if more:
            self._said.say(". ".join(filter(None, (words, more[0]))), "caution")
        elif words:
            self._said.say(words)

    def typed(self, act: Callable[[str], str]) -> Done:
        """Do it with what is typed at the foot; a refusal stays there."""

        def done(text: str) -> str | None:
            try:
                words = act(text)
            except ChangeError as error:
                return plain_sentence(str(error))
            self._state.refresh()
            self._said.say(words)
            return None

        return done

    def change(self, words: str, change: Change) -> bool:
        """Make a change; False if it was refused."""
        return self._made(words, lambda: self._state.store.do(words, change))

    def change_document(self, words: str, change: Change) -> bool:
        """Make a change of the document, whatever is shown; False if it was refused."""
        return self._made(words, lambda: self._state.store.do_document(words, change))

    def _made(self, words: str, make: Callable[[], None]) -> bool:
        was = self._state.show_now
        try:
            make()
        except ChangeError as error:
            self._said.say(plain_sentence(str(error)), "caution")
            return False
        self._tell(words, was)
        return True
