"""A source, a look or another part of the show by what people call it. No Qt."""

from collections.abc import Iterable
from typing import Protocol, TypeVar

from showcaller.editing import ChangeError


class Named(Protocol):
    """A part that goes by a name."""

    @property
    def id(self) -> str:
        """Its id."""

    @property
    def name(self) -> str:
        """Its name."""


Part = TypeVar("Part", bound=Named)


def found(parts: Iterable[Part], text: str, what: str) -> Part:
    """The part somebody means by a name, its beginning or a word of it: never a guess.

    Raises:
        ChangeError: none, or more than one; one sentence.
    """
    parts, wanted = list(parts), text.strip().lower()
    if not wanted:
        raise ChangeError(f"type a {what}'s name")
    for fits in (
        [p for p in parts if wanted == p.name.lower()],
        [p for p in parts if p.name.lower().startswith(wanted) or _has_word(p.name.lower(), wanted)],
        [p for p in parts if wanted in p.name.lower()],
        [p for p in parts if wanted == p.id],  # so that one of two of a name can be typed
    ):
        if len(fits) > 1:
            may = ", ".join(p.name if sum(q.name == p.name for q in fits) == 1 else p.id for p in fits[:6])
            raise ChangeError(f"{what}: '{text.strip()[:30]}' may be {may}; type more of its name")
        if fits:
            return fits[0]
    have = ", ".join(p.name for p in parts[:8]) or "none"
    raise ChangeError(f"no {what} is called '{text.strip()[:40]}'; there are {have}")


def _has_word(name: str, wanted: str) -> bool:
    return f" {wanted} " in f" {name} "


def suggestions(parts: Iterable[Named], text: str) -> str:
    """Names that a text may mean."""
    wanted = text.strip().lower()
    return " · ".join(p.name for p in parts if wanted in p.name.lower()) or "none of that name"
