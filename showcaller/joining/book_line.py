"""The shared book, at a joined machine: its desk asks and is told at once what the door said last."""

import time
from collections.abc import Callable
from typing import Any

ANSWERS_WITHIN_S = 2.0

Data = dict[str, Any]
Ask = Callable[[Data, Callable[[Data], None]], bool]


class BookLine:
    """``ask`` sends a request to the door. One is on its way at a time: an answer may be a whole show."""

    def __init__(self, ask: Ask) -> None:
        self._ask = ask
        self._answer: Data = {}
        self._sent_s: float | None = None

    def exchange(self, asked: Data, is_live: bool) -> Data:
        """What the desk has and offers; what came of what it asked before, empty while nothing has."""
        now_s = time.monotonic()
        if self._sent_s is not None and now_s - self._sent_s > ANSWERS_WITHIN_S:
            self._sent_s = None
        answer, self._answer = self._answer, {}
        if is_live and self._sent_s is None and not answer:
            about = {name: asked[name] for name in ("book", "has", "offers")}
            if self._ask({"kind": "book", **about}, self._took):
                self._sent_s = now_s
        return {"heard": is_live, **answer}

    def _took(self, answer: Data) -> None:
        self._sent_s = None
        if answer["ok"]:
            self._answer = answer
