"""One line of the check."""

from dataclasses import dataclass
from typing import Literal

State = Literal["good", "look", "wrong"]


@dataclass(frozen=True, slots=True)
class Finding:
    """What was looked at, how it is, in words, and what to do about it (empty where it is good)."""

    what: str
    state: State
    words: str
    do: str = ""
