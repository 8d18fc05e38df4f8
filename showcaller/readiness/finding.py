"""One line of the check."""

from typing import Literal

from showcaller.values import Struct

State = Literal["good", "look", "wrong"]


class Finding(Struct, frozen=True):
    """What was looked at, how it is, in words, and what to do about it (empty where it is good)."""

    what: str
    state: State
    words: str
    do: str = ""
