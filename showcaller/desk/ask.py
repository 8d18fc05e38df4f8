"""How anything at the desk asks a question: one signature, whoever answers it."""

from collections.abc import Callable
from typing import Protocol

Done = Callable[[str], str | None]
"""Takes what was typed; returns a sentence if it will not do, else None."""

Suggest = Callable[[str], str]
"""Turns what is typed so far into a hint."""


class Ask(Protocol):
    """Opens the prompt with a question."""

    def __call__(
        self, question: str, done: Done, hint: str = "", suggest: Suggest | None = None, typed: str = ""
    ) -> None:
        """Ask; ``suggest`` takes the place of ``hint`` while one types, ``typed`` stands there already."""
