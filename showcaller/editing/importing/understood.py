"""What an import found: the change it would make, and where it could not follow."""

from collections.abc import Sequence
from dataclasses import dataclass

from showcaller.editing.changes import Change

KINDS = ".csv .xlsx .ods .mid .midi .otio .lrc .txt"
"""The files that can be taken in, by the end of their names."""


UNTOUCHED = "New song"
"""The name of the item that a new show begins with; an import takes its place."""


class FileError(ValueError):
    """A file that cannot be taken in; one sentence."""


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence on a place in the file; ``row`` counts from 1, 0 stands for none.

    Where it is ``wrong`` the row stays out; where it is ``harmless`` nobody needs to look.
    """

    row: int
    column: str
    sentence: str
    wrong: bool = True
    harmless: bool = False

    def __str__(self) -> str:
        places = (f"row {self.row}" if self.row else "", f"column {self.column}" if self.column else "")
        where = ", ".join(place for place in places if place)
        return f"{where}: {self.sentence}" if where else self.sentence


def sorted_remarks(remarks: Sequence[Remark]) -> tuple[Remark, ...]:
    """What is wrong first, then what is doubtful, then what is harmless; each by row."""
    return tuple(sorted(remarks, key=lambda r: (not r.wrong, r.harmless, r.row)))


def rows_out(remarks: Sequence[Remark]) -> str:
    """How many rows stay out, as the end of a summary; empty if none."""
    rows = len({r.row for r in remarks if r.wrong})
    return f"; {rows} row{'s stay' if rows > 1 else ' stays'} out" if rows else ""


@dataclass(frozen=True, slots=True)
class Understood:
    """A file as it was understood.

    Args:
        title: what it is, in a few words.
        summary: what importing does, in a sentence.
        columns: (column letter, its heading in the file, what it was taken for or '') for each column.
        rows: what each good row becomes, in words, at most a few hundred of them.
        remarks: what was wrong or doubtful, by row.
        change: what importing does to the show; None where there is nothing to import.
    """

    title: str
    summary: str
    columns: tuple[tuple[str, str, str], ...]
    rows: tuple[tuple[str, ...], ...]
    remarks: tuple[Remark, ...]
    change: Change | None
