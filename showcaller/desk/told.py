"""What the desk tells an area in words, made outside it: a walk-on's rows, something asked or said. Pure."""

from showcaller.calling.pages_aloud import OpenedPage, PageChoice
from showcaller.values import Struct


class Walk(Struct, frozen=True):
    """The next walk-on: its name, how long until they must leave, its steps and which have been seen."""

    name: str
    leave: str
    steps: tuple[tuple[str, bool], ...]
    urgent: bool = False
    beside: str = ""
    """What the next leg needs, who is where, the radio channel."""
    clear: bool = True
    needs: tuple[str, ...] = ()
    """Of every step what its leg needs, where that does not stand in ``beside``; empty for the others."""


class Prompted(Struct, frozen=True):
    """Something the desk asks or says in the line's place: a heading, words, and how loud."""

    heading: str
    words: str
    tone: str = "caution"
    instead: bool = False
    """In the place of the line to say now, not above it."""


class Paged(Struct, frozen=True):
    """A page that is read aloud, or (``page`` is None) the list of them; ``at`` is the chosen one, from 0."""

    page: OpenedPage | None
    choices: tuple[PageChoice, ...]
    at: int
