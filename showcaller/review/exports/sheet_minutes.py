"""Tables as people read them: lengths of items in minutes and seconds, on paper and on the page."""

from showcaller.model.clockwords import m_ss
from showcaller.review.exports.sheets import Cell, Sheet


class Minutes(str):
    """A length in minutes and seconds, written; it stands at the right like a number."""

    __slots__ = ()


_SIGNED = ("Over, s", "Mean over, s", "Total, s", "s")
_LENGTHS = ("Planned, s", "Actual, s", "Held, s", *_SIGNED)
_IN_MINUTES = ("Items", "Sections", "Where the time went", "Walk-ons", "What drifts most")


def for_people(sheet: Sheet) -> Sheet:
    """A table with its lengths as ``m:ss``; whatever counts with them (spreadsheet, CSV) has seconds."""
    if sheet.name not in _IN_MINUTES:
        return sheet
    at = {n: heading in _SIGNED for n, heading in enumerate(sheet.headings) if heading in _LENGTHS}
    headings = tuple(
        "m:ss" if h == "s" else h.removesuffix(", s") if h in _LENGTHS else h for h in sheet.headings
    )
    rows = tuple(
        tuple(_written(cell, at[n]) if n in at else cell for n, cell in enumerate(row)) for row in sheet.rows
    )
    return Sheet(sheet.name, headings, rows, sheet.wide)


def at_right(cell: Cell) -> bool:
    """Whether a cell stands at the right of its column."""
    return isinstance(cell, int | float | Minutes)


def _written(cell: Cell, signed: bool) -> Cell:
    if not isinstance(cell, int | float):
        return cell
    whole = round(abs(cell))
    sign = "" if not whole else "−" if cell < 0 else "+" if signed else ""
    return Minutes(f"{sign}{m_ss(whole)}")
