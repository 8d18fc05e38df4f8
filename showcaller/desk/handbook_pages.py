"""Which pages the handbook has, in their order, and which one is for what is on screen. No Qt."""

import re
from collections.abc import Iterator

from showcaller.resources import resource
from showcaller.values import Struct


class HandbookPart(Struct, frozen=True):
    """A part of the contents."""

    words: str


class HandbookPage(Struct, frozen=True):
    """A page: its name without the ending, and what it is called."""

    words: str
    page: str


_PARTS = (
    ("", ("index", "trouble")),
    ("The show caller", ("caller/first-song", "caller/night")),
    ("The video director", ("director/build-a-wall", "director/surfaces", "director/play", "director/tape")),
    ("The stage manager", ("stage/week", "stage/night")),
    (
        "How to",
        tuple(
            f"howto/{name}"
            for name in (
                "desk",
                "keys",
                "book",
                "wall",
                "drift",
                "timecode",
                "controllers",
                "outputs",
                "crew-pages",
                "two-desks",
                "other-machines",
                "moving",
            )
        ),
    ),
    ("Reference", tuple(f"reference/{name}" for name in ("keys", "commands", "document", "log"))),
)


def contents() -> Iterator[HandbookPart | HandbookPage]:
    """All of it, each part under its heading."""
    for heading, pages in _PARTS:
        if heading:
            yield HandbookPart(heading)
        for page in pages:
            yield HandbookPage(_title(page), page)


def _title(page: str) -> str:
    text = resource("handbook", f"{page}.md").read_text(encoding="utf-8")
    found = re.search(r"^# (.+)$", text, re.MULTILINE)
    return found[1] if found else page


def page_for(area: str, live: bool, set_up: bool = False, seat: str = "director") -> str:
    """The page for an area (Book, Wall, Call, Drift) at a seat; ``live``: a show or rehearsal is open;
    ``set_up``: the Book's page of departments and outputs is."""
    match area:
        case "Call":
            return "caller/night" if live else "caller/first-song"
        case "Wall":
            return "director/play" if live else "director/build-a-wall"
        case "Drift":
            return "director/tape" if seat == "director" else "howto/drift"
        case _:
            return "howto/outputs" if set_up else "stage/week"
