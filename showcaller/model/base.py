"""What every part of a show document has in common: frozen, strict about unknown fields."""

from typing import Annotated, Any

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
