"""What is chosen in the book."""

from dataclasses import dataclass


@dataclass
class Chosen:
    """An item, and in it a cue or none; or the show itself."""

    item: str
    cue: str | None = None
    of_show: bool = False
