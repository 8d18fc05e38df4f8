"""The order in which people put names with numbers in them. Pure."""

import re

_NUMBER = re.compile(r"(\d+)")


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A key for sorting: digits count as a number, letters without their case; ``9`` comes before ``10``."""
    parts = _NUMBER.split(text.casefold())
    return tuple((0, int(p), "") if p.isdecimal() else (1, 0, p) for p in parts if p)
