"""What the house is made of: values, small and frozen, with named fields.

``class Mark(Struct, frozen=True)`` is all that a frozen dataclass with slots is (equal by what is in it,
hashable, matched by ``match``), made in C: a value in an eighth of the time, the class in a fiftieth, and
hundreds of these are made at every start. ``replace(value, field=…)`` makes another with some fields changed;
to the type checker it is that of the dataclasses, which checks the fields by name and type.
"""

from typing import TYPE_CHECKING

from msgspec import Struct, field
from msgspec.structs import asdict

if TYPE_CHECKING:
    from dataclasses import replace
else:
    from msgspec.structs import replace

__all__ = ["Struct", "asdict", "field", "replace"]
