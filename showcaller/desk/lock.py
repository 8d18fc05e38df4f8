"""The desk locked: every key asks for the caller's name; the run goes on."""

from collections.abc import Callable

from showcaller.desk.ask import Ask
from showcaller.desk.run_controller import RunController


class Lock:
    """``on`` while it is locked."""

    def __init__(self, host: Callable[[], RunController], ask: Ask) -> None:
        self._host, self._ask = host, ask
        self.on = False

    def lock(self) -> None:
        """Lock, or ask again for the name that unlocks; only a run that is on can be locked."""
        if self._host().session is None and not self.on:
            return
        self.on = True
        self._ask_name()

    @property
    def caller(self) -> str:
        """Whose name unlocks it."""
        return self._host().book.state.caller

    def _ask_name(self, wrong: str = "") -> None:
        caller = self.caller

        def done(text: str) -> str | None:
            if text.lower() != caller.lower():
                self._ask_name(f"'{text}' is not it. ")  # with nothing to rub out
                return None
            self.on = False
            return None

        hint = f"{wrong}type {caller}; the show goes on meanwhile"
        self._ask("The desk is locked. Who unlocks it?", done, hint)
