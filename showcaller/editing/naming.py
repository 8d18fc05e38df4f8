"""Ids and cue numbers for what is new: readable, and free."""

import re
import unicodedata
from collections.abc import Container, Iterable
from decimal import Decimal

from showcaller.model import Item, Show
from showcaller.model.base import kept_with_part

_FEW = 100


def slug(words: str) -> str:
    """Words as an id: ``Späte Möwen, 2`` becomes ``spate-mowen-2``."""
    plain = unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:48] or "new"


def free_id(words: str, taken: Container[str]) -> str:
    """An id made of these words that is not taken."""
    base = slug(words)
    if base not in taken:
        return base
    n = 2
    # One by one while there are few; of thousands of one name not each looks at all before it.
    while f"{base}-{n}" in taken:
        n = n + 1 if n < _FEW else 2 * n
    low = n // 2
    while n > _FEW and n - low > 1:
        middle = (low + n) // 2
        low, n = (middle, n) if f"{base}-{middle}" in taken else (low, middle)
    return f"{base}-{n}"


def item_ids(show: Show) -> set[str]:
    """All items' ids."""
    return {item.id for item in show.items}


def cue_ids(show: Show) -> set[str]:
    """All cues' ids."""
    return set().union(*[_ids(item) for item in show.items])


class CueIds:
    """The same, to look one up in: for a single new cue nobody puts ten thousand into a set."""

    def __init__(self, show: Show) -> None:
        self._show = show

    def __contains__(self, cue_id: object) -> bool:
        return any(cue_id in _ids(item) for item in self._show.items)


@kept_with_part
def _ids(item: Item) -> frozenset[str]:
    return frozenset([cue.id for cue in item.cues])


def numbers(show: Show, department: str) -> list[Decimal]:
    """A department's cue numbers, item by item."""
    return [n for item in show.items for n in _numbers(item).get(department, ())]


@kept_with_part
def _numbers(item: Item) -> dict[str, list[Decimal]]:
    """An item's cue numbers by department; remembered, as an edit leaves all but one item."""
    found: dict[str, list[Decimal]] = {}
    for cue in item.cues:
        found.setdefault(cue.department, []).append(cue.number)
    return found


def number_between(before: Decimal | None, after: Decimal | None, taken: Iterable[Decimal]) -> Decimal:
    """A free number that sorts after ``before`` and before ``after``, as short as can be.

    The next whole number where there is room, else 12.5, 12.75 and so on. If nothing with three decimals
    is left in between, the next whole number above all that are taken.
    """
    used = set(taken)
    low = before if before is not None else Decimal(0)
    for decimals in range(4):
        step = Decimal(1).scaleb(-decimals)
        first = (low / step).to_integral_value(rounding="ROUND_FLOOR") * step + step
        choices = [first + step * n for n in range(10 if decimals else 1)]
        fits = [c for c in choices if c not in used and c > low and (after is None or c < after)]
        if fits:
            # In the middle of what is free, so that the next one finds room on either side.
            found = fits[(len(fits) - 1) // 2]
            return found.quantize(Decimal(1)) if found == found.to_integral_value() else found.normalize()
    top = max(used, default=Decimal(0))
    return (top + 1).to_integral_value(rounding="ROUND_FLOOR")
