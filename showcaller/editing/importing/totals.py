"""Rows that sum up the others: no items."""

import re
from fractions import Fraction

from showcaller.editing.importing.cells import Cell
from showcaller.editing.importing.values import length_of_cell
from showcaller.editing.lengths import CellError
from showcaller.model.clockwords import m_ss

_WHOLE = frozenset({
    "total", "totals", "sum", "total time", "total length", "total duration", "grand total", "gesamt",
    "gesamtzeit", "gesamtdauer", "gesamtlänge", "summe",
})  # fmt: skip
_BEGINS = re.compile(r"(?:(?:grand )?totals?|sum|summe)\b|gesamt")
_NEAR_S = 1


def apart_words(length: Cell, above_s: Fraction) -> str:
    """By how much a sum in the file differs from that of its rows; empty where it does not, or has none."""
    try:
        seconds = length_of_cell(length)[0] if length not in (None, "") else None
    except CellError as error:
        return f"it cannot be compared: {error.reason}"
    if seconds is None or abs(seconds - above_s) <= _NEAR_S:
        return ""
    apart = round(abs(seconds - above_s))
    more = "more" if seconds > above_s else "less"
    above = f"the rows above, which are {m_ss(round(above_s))}"
    return f"it says {m_ss(round(seconds))}, {m_ss(apart)} {more} than {above}"


def is_total(name: str, row: tuple[Cell, ...], length: Cell, above_s: Fraction, known: bool) -> bool:
    """Whether a row is the sum of those above it.

    Args:
        name: its name, maybe empty; then any of its cells may say so.
        length: its length's cell.
        above_s: the sum of the lengths above.
        known: whether the show has an item of that name; then the name alone does not do.
    """
    names = [name] if name else [cell for cell in row if isinstance(cell, str)]
    words = [" ".join(word.lower().replace(":", " ").split()) for word in names]
    try:
        seconds = length_of_cell(length)[0] if length not in (None, "") else None
    except CellError:
        seconds = None
    adds_up = seconds is not None and above_s > 0 and abs(seconds - above_s) <= _NEAR_S
    if adds_up and (not name or any(_BEGINS.match(word) for word in words)):
        return True
    return not known and any(word in _WHOLE for word in words)
