"""Cells as a show has them: lengths out of whatever a spreadsheet made of them, words, yes and no."""

from datetime import date, datetime, time, timedelta
from fractions import Fraction

from showcaller.editing.importing.cells import NO_VALUE, Cell
from showcaller.editing.lengths import DOUBTFUL_BELOW, CellError, length_with_units
from showcaller.editing.placing import clock_text
from showcaller.model.quantities import parse_seconds


def text_of(cell: Cell) -> str:
    """A cell as words; a whole number without its point.

    Raises:
        CellError: a formula that was never worked out.
    """
    if cell == NO_VALUE:
        raise CellError("holds a formula without a value", "open and save the file in a spreadsheet program")
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, float) and cell.is_integer():
        return str(int(cell))
    if isinstance(cell, datetime | date):
        raise CellError(
            f"{cell:%Y-%m-%d} is a date", "the spreadsheet made one of what was typed: write it as text"
        )
    if isinstance(cell, time):
        return cell.isoformat(timespec="seconds")
    if isinstance(cell, timedelta):
        return clock_text(Fraction(round(cell.total_seconds() * 1000), 1000))
    return str(cell).strip()


def length_of_cell(cell: Cell) -> tuple[Fraction, str]:
    """(seconds, the hours and minutes ``h:mm`` that were taken for minutes and seconds or '').

    Raises:
        CellError: it is none, or may be minutes or seconds.
    """
    if isinstance(cell, time | timedelta):
        return _length_of_time(cell)
    if isinstance(cell, int | float) and not isinstance(cell, bool):
        if not 0 < cell < 1e6:
            raise CellError(f"{cell:g} is not a length", "write 4:36")
        if cell < DOUBTFUL_BELOW:
            raise CellError(f"{cell:g} may be minutes or seconds", "write 4:36, or seconds from 30 up")
        return Fraction(repr(cell)) if isinstance(cell, float) else Fraction(cell), ""
    words = text_of(cell)
    if words and words.replace(".", "").replace(",", "").isdecimal() and words.count(".") < 2:
        return _length_of_number(words)
    seconds = length_with_units(words)
    if seconds is None:
        try:
            seconds = parse_seconds(words)
        except ValueError:
            raise CellError(f"'{words}' is not a length", "write 4:36") from None
    if seconds <= 0:
        raise CellError(f"'{words}' is not above zero", "write 4:36")
    return seconds, ""


def _length_of_number(words: str) -> tuple[Fraction, str]:
    try:
        number = float(words.replace(",", "."))
    except ValueError:
        raise CellError(f"'{words}' is not a length", "write 4:36") from None
    return length_of_cell(number)


def _length_of_time(cell: time | timedelta) -> tuple[Fraction, str]:
    if isinstance(cell, time):
        cell = timedelta(
            hours=cell.hour, minutes=cell.minute, seconds=cell.second, microseconds=cell.microsecond
        )
    seconds = Fraction(round(cell.total_seconds() * 1000), 1000)
    if seconds <= 0:
        raise CellError(f"{clock_text(seconds)} is not above zero", "write 4:36")
    if seconds >= 3600 and seconds % 60 == 0:
        # 4:36 typed into a cell becomes four hours and thirty-six minutes.
        hours, minutes = divmod(int(seconds) // 60, 60)
        return seconds / 60, f"{hours}:{minutes:02d}"
    return seconds, ""


def minutes_and_seconds(seconds: Fraction) -> str:
    """``2 min 10 s``; without what is nought."""
    minutes, rest = divmod(round(seconds), 60)
    return " ".join(f"{n} {unit}" for n, unit in ((minutes, "min"), (rest, "s")) if n) or "0 s"
