"""Pages that are read aloud, with who reads them; and checklists, which are ticked in silence."""

from typing import Literal

from showcaller.model.base import Id, Part, Text
from showcaller.model.quantities import Length

PageKind = Literal[
    "preset", "house open", "clearance call", "show stop", "weather", "evacuation", "checklist",
    "other",
]  # fmt: skip

VENUES_FIRST: frozenset[PageKind] = frozenset({"show stop", "weather", "evacuation"})
"""Kinds above which the venue's own procedure stands, and the people licensed for it."""

ABOVE = (
    "The venue's own procedure, and the people licensed for it, stand above this page. "
    "It is no safety system."
)
"""What stands on every page where somebody may be in danger."""


class PageLine(Part):
    """One line: what is read, who does or answers it, the clearance that is asked for with it.

    ``action`` is what is done at a reading's limit, in words; the limit itself is the clearance's own.
    """

    says: Text
    who: Text | None = None
    clearance: Id | None = None
    action: Text | None = None


class SpokenPage(Part):
    """A page, ``reader`` being who reads it. It fires nothing and holds nothing.

    A checklist is ticked by its ``reader`` before ``item`` begins (any time, if none is named); its lines may
    be ticked without the page being opened. What has to be done between two items (a quick change) names the
    one ``after`` which it begins, and the shortest time in which it is safe, ``takes_s``.
    """

    id: Id
    name: Text
    kind: PageKind = "other"
    reader: Text
    item: Id | None = None
    after: Id | None = None
    takes_s: Length | None = None
    lines: tuple[PageLine, ...] = ()
