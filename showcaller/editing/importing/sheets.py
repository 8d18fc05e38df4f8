"""A sheet as a plain table of cells, and how much of one is read."""

from datetime import date, datetime, time, timedelta

from showcaller.outside import Refused
from showcaller.values import Struct

MOST_ROWS = 20_000
MOST_COLUMNS = 60
MOST_SHEETS = 100

Cell = str | int | float | bool | date | datetime | time | timedelta | None
"""A cell's value as the file has it."""

NO_VALUE = "\x00formula"
"""Stands in a cell with a formula whose value was never worked out."""


class TableError(Refused):
    """A file that cannot be read as a table; one sentence."""


class Table(Struct, frozen=True):
    """One sheet. ``rows[0]`` is the file's row 1; empty rows at the end are left off."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]
    remark: str = ""


def letter(column: int) -> str:
    """A column's letter, from 0: A to Z, then AA."""
    letters = ""
    column += 1
    while column:
        column, rest = divmod(column - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return letters
