"""What an import found: the change it would make, and where it could not follow."""

from dataclasses import dataclass

from showcaller.editing.changes import Change

KINDS = ".csv .xlsx .ods .mid .midi .otio"
"""The files that can be taken in, by the end of their names."""


UNTOUCHED = "New song"
"""The name of the item that a new show begins with; an import takes its place."""


class FileError(ValueError):
    """A file that cannot be taken in; one sentence."""


@dataclass(frozen=True, slots=True)
class Remark:
    """A sentence on a place in the file; ``row`` counts from 1; where it is ``wrong`` the row is left out."""

    row: int
    column: str
    sentence: str
    wrong: bool = True

    def __str__(self) -> str:
        where = f"row {self.row}" if self.row else ""
        where += f", column {self.column}" if self.column and where else ""
        return f"{where}: {self.sentence}" if where else self.sentence


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
