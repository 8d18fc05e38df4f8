"""What the keys of a run say back: a question in the prompt, or a few words in the line's place."""

import time

from showcaller.calling.keys import Guard
from showcaller.desk.ask import Ask, Done, Suggest
from showcaller.desk.told import Prompted


class CallWords:
    """Holds the words until they fade, and remembers a first press that waits for its second."""

    def __init__(self, ask: Ask, guard: Guard) -> None:
        self._ask = ask
        self._guard = guard
        self._words: Prompted | None = None
        self._until_s = 0.0

    def ask(
        self, question: str, done: Done, hint: str = "", suggest: Suggest | None = None, typed: str = ""
    ) -> None:
        """Open the prompt."""
        self._ask(question, done, hint, suggest, typed)

    def say(
        self, heading: str, words: str, seconds: float, tone: str = "caution", instead: bool = False
    ) -> None:
        """Put words above the line to say, or ``instead`` of it, for so long."""
        self._words = Prompted(heading, words, tone, instead)
        self._until_s = time.monotonic() + seconds

    def now(self) -> Prompted | None:
        """The words, as long as they stand."""
        if self._words is not None and time.monotonic() > self._until_s:
            self._words = None
        return self._words

    def clear(self) -> None:
        """Take the words away."""
        self._words = None

    def twice(self, action: str, about: str) -> bool:
        """Whether this press is the second for the same thing; clears the words if so."""
        second = self._guard.twice(action, about, False, time.monotonic())
        if second:
            self._words = None
        return second
