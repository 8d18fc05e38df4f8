"""Questions about the run that is shown: asked at the foot, a refusal stays there in one sentence."""

from collections.abc import Callable

from showcaller.archive import TourError
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.ask import Ask, Suggest
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError
from showcaller.review.errors import ExportStopped, ReviewError
from showcaller.screen.errors import ClipError

EXPECTED = (TourError, ReviewError, ClipError, ChangeError, ExportStopped, OSError, ValueError)
"""What may go wrong and is one sentence."""


class Questions:
    """``about`` asks; without a run that is shown it says why there is none."""

    def __init__(self, state: DriftState, said: FootWords, ask: Ask) -> None:
        self._state = state
        self._said = said
        self._ask = ask

    def about(
        self,
        question: str,
        done: Callable[[str], str | None],
        hint: str = "",
        suggest: Suggest | None = None,
    ) -> None:
        """Ask this of the run that is shown."""

        def safely(text: str) -> str | None:
            try:
                return done(text)
            except EXPECTED as error:
                return str(error)

        if self._state.view is None:
            self._said.say(self._state.words)
        else:
            self._ask(question, safely, hint, suggest)
