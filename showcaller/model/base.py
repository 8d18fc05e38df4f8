"""What every part of a show document has in common: frozen, strict about unknown fields."""

import weakref
from collections.abc import Callable
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, ConfigDict, StringConstraints

Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9][a-z0-9_.-]{0,63}$")]
"""A stable name that outlives renaming and renumbering, e.g. ``lights`` or ``iron-064``."""

Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=400)]
"""Words a person reads or says; never empty."""


class Part(BaseModel):
    """A frozen piece of a show document. Equal parts are equal values."""

    model_config = ConfigDict(frozen=True, extra="forbid", revalidate_instances="never", allow_inf_nan=False)

    def changed(self, **fields: Any) -> "Any":
        """This part with some fields replaced, validated again (pydantic's ``model_copy`` is not)."""
        return type(self).model_validate({**{n: getattr(self, n) for n in type(self).model_fields}, **fields})


class ById:
    """A frozen part hashed by identity, for caches: the same object always gives the same answer.

    pydantic would hash all that is in it, at every look-up.
    """

    __slots__ = ("part",)

    def __init__(self, part: Any) -> None:
        self.part = part

    def __hash__(self) -> int:
        return id(self.part)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, ById) and other.part is self.part


P = TypeVar("P", bound=Part)
R = TypeVar("R")


def kept_with_part(work: Callable[[P], R]) -> Callable[[P], R]:
    """Remembers what was worked out of a part for as long as that very part lives, and no longer.

    A cache of the last few thousand would keep the items of every show that was ever opened or refused. What
    is worked out must not hold the part itself, or neither goes.
    """
    known: dict[int, tuple[weakref.ref[P], R]] = {}

    def forget(key: int, gone: "weakref.ref[P]") -> None:
        if known.get(key, (None,))[0] is gone:  # the number may be another part's by now
            known.pop(key, None)

    def of(part: P) -> R:
        key = id(part)
        found = known.get(key)
        if found is not None and found[0]() is part:
            return found[1]
        said = work(part)
        known[key] = weakref.ref(part, lambda gone: forget(key, gone)), said
        return said

    return of
