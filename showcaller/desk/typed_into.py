"""What is typed into just now: while something is, every key is a letter of it, wherever the focus went."""

from showcaller.calling.caller_view import CallView
from showcaller.desk.areas.call.box_words import locked_words, typing_words
from showcaller.desk.helping import Helping
from showcaller.desk.keys import Keys
from showcaller.desk.lock import Lock
from showcaller.desk.palette import Palette
from showcaller.desk.prompt import Prompt
from showcaller.desk.qt import QKeyEvent


class TypedInto:
    """The prompt, the list of actions, the handbook's field, and the lock."""

    def __init__(self, prompt: Prompt, palette: Palette, helping: Helping, lock: Lock) -> None:
        self._prompt, self._palette, self._helping, self._lock = prompt, palette, helping, lock

    def field(self) -> Prompt | Palette | None:
        """What has the keys, if one of the desk's own fields is open."""
        if self._palette.isVisible():
            return self._palette
        return self._prompt if self._prompt.is_open() else None

    def take(self, event: QKeyEvent, repeated: bool) -> bool:
        """Whether a key went into what is open, or into the lock: then it is no key of the show."""
        field = self.field()
        if field is not None:
            field.take(event)
        elif self._lock.on and not repeated:
            self._lock.lock()
        return field is not None or self._lock.on

    def words(self, view: CallView, keys: Keys) -> str:
        """What stands over the box; empty while keys call."""
        if self._lock.on:
            return locked_words(self._lock.caller)
        typed = self.field() is not None or self._helping.is_typed_in
        return typing_words(view, keys) if typed else ""
