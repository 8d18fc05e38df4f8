"""Cells as a show has them: lengths out of whatever a spreadsheet made of them, words, yes and no."""

from datetime import date, datetime, time, timedelta
from fractions import Fraction

from showcaller.editing.importing.cells import NO_VALUE, Cell
from showcaller.editing.placing import clock_text
from showcaller.model.quantities import parse_seconds

DOUBTFUL_BELOW = 30
"""A bare number below this may be minutes or seconds: 4.36 has been written for 4:36 too often."""


class CellError(ValueError):
    """A cell that cannot be read; one sentence."""


def text_of(cell: Cell) -> str:
    """A cell as words; a whole number without its point.

    Raises:
        CellError: a formula that was never worked out.
    """
    if cell == NO_VALUE:
        raise CellError("holds a formula without a value; open and save the file in a spreadsheet program")
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, datetime | date):
        raise CellError(
            f"{cell:%Y-%m-%d} is a date; the spreadsheet made one of what was typed: write it as text"
        )
    if isinstance(cell, time):
        return cell.isoformat(timespec="seconds")
    if isinstance(cell, timedelta):
        return clock_text(Fraction(round(cell.total_seconds() * 1000), 1000))
    return str(cell).strip()


def length_of_cell(cell: Cell) -> tuple[Fraction, str]:
    """(seconds, what to say of a doubtful reading or '').

    Raises:
        CellError: it is none.
    """
    if isinstance(cell, time | timedelta):
        total = (
            cell
            if isinstance(cell, timedelta)
            else timedelta(
                hours=cell.hour, minutes=cell.minute, seconds=cell.second, microseconds=cell.microsecond
            )
        )
        seconds = Fraction(round(total.total_seconds() * 1000), 1000)
        if seconds >= 3600 and seconds % 60 == 0:
            # 4:36 typed into a cell becomes four hours and thirty-six minutes.
            return seconds / 60, f"{clock_text(seconds)} hours taken for {clock_text(seconds / 60)} minutes"
        return seconds, ""
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        if not 0 < cell < 1e6:
            raise CellError(f"{cell:g} is not a length; write 4:36")
        if cell < DOUBTFUL_BELOW:
            raise CellError(f"{cell:g} may be minutes or seconds; write 4:36, or seconds from 30 up")
        return Fraction(repr(cell)) if isinstance(cell, float) else Fraction(cell), ""
    words = text_of(cell).replace("′", ":").replace("'", ":").replace("″", "").replace('"', "")
    words = words.replace("min", ":").replace(" ", "").removesuffix("s").removesuffix(":")
    if words and words.replace(".", "").replace(",", "").isdigit() and ":" not in words:
        return length_of_cell(float(words.replace(",", ".")))
    try:
        seconds = parse_seconds(words)
    except ValueError:
        raise CellError(f"'{text_of(cell)}' is not a length; write 4:36") from None
    if seconds <= 0:
        raise CellError(f"'{text_of(cell)}' is not above zero; write 4:36")
    return seconds, ""
