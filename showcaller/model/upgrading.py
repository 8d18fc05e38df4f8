"""Documents of older versions as they are said today. Nothing of them is lost."""

from collections.abc import Mapping
from typing import Any

MAIN = {"id": "main", "name": "Main wall"}
"""What the one wall of a version 1 is called."""


def from_version_1(data: Mapping[str, Any]) -> dict[str, Any]:
    """A document of version 1, which knew one wall, as one of version 2, in which it is the first surface."""
    return {**with_surfaces(data), "version": 2}


def with_surfaces(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Fields of a show with ``wall``, where it is among them, as the list of surfaces it is now."""
    if "wall" not in fields:
        return dict(fields)
    wall = fields["wall"]
    made: Any = [] if wall is None else [{**MAIN, **wall}] if isinstance(wall, Mapping) else [wall]
    return {
        name if name != "wall" else "surfaces": made if name == "wall" else v for name, v in fields.items()
    }
