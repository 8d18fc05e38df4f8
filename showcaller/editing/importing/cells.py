"""Spreadsheets as plain tables of cells: CSV, XLSX and ODS, whatever state people leave them in."""

import csv
import io
from collections.abc import Iterator
from pathlib import Path

from showcaller.editing.cellwords import as_written
from showcaller.editing.importing.sheets import (
    MOST_COLUMNS,
    MOST_ROWS,
    NO_VALUE,
    Cell,
    Table,
    TableError,
    letter,
)
from showcaller.outside import Refused, Within, look_at_file

__all__ = ["MOST_COLUMNS", "MOST_ROWS", "NO_VALUE", "Cell", "Table", "TableError", "letter", "read_tables"]

_LONGEST_CELL = 131_072


def read_tables(path: Path, within: Within | None = None) -> tuple[Table, ...]:
    """Every sheet of a CSV, XLSX or ODS file that holds anything.

    Raises:
        TableError: it cannot be read, is of another kind, is empty, or exceeds a limit of ``within``.
    """
    kind = path.suffix.lower()
    within = within or Within()
    if kind not in (".csv", ".tsv", ".txt", ".xlsx", ".xlsm", ".ods"):
        raise TableError(f"{path.name} is not a spreadsheet that can be read; save it as CSV, XLSX or ODS")
    try:
        look_at_file(path, within.limits.file_bytes)
        if kind in (".csv", ".tsv", ".txt"):
            tables = [_csv(path, within)]
        elif kind in (".xlsx", ".xlsm"):
            from showcaller.editing.importing.xlsx import read_xlsx  # noqa: PLC0415 - one of them is enough

            tables = read_xlsx(path, within)
        else:
            from showcaller.editing.importing.ods import read_ods  # noqa: PLC0415 - one of them is enough

            tables = read_ods(path, within)
    except TableError:
        raise
    except Refused as error:
        raise TableError(str(error)) from None
    except OSError as error:
        raise TableError(f"cannot read {path.name}: {(error.strerror or str(error)).lower()}") from None
    full = tuple(t for t in (_trimmed(t) for t in tables) if t.rows)
    if not full:
        raise TableError(f"{path.name} is empty; the first row should name the columns")
    return full


def _trimmed(table: Table) -> Table:
    rows = list(table.rows)
    while rows and all(cell is None or cell == "" for cell in rows[-1]):
        rows.pop()
    if len(rows) > MOST_ROWS:
        rows = rows[:MOST_ROWS]
        return Table(table.name, tuple(rows), f"only the first {MOST_ROWS} rows are read")
    return Table(table.name, tuple(rows), table.remark)


def _csv(path: Path, within: Within) -> Table:
    raw = path.read_bytes()
    if raw[:4] == b"PK\x03\x04":
        raise TableError(f"{path.name} is not text but a packed file; is it an XLSX or ODS by another name?")
    remark = ""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        try:
            text = raw.decode("utf-16")
        except UnicodeDecodeError:
            raise TableError(
                f"{path.name} breaks off in the middle of a letter; save it as CSV again"
            ) from None
    else:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            # Every byte is a letter in Windows-1252's older brother, so this cannot fail.
            text = raw.decode("cp1252", errors="replace") if b"\x81" not in raw else raw.decode("latin-1")
            remark = "the file is not UTF-8; it was read as Latin-1, look at the accents"
    if "\x00" in text:
        raise TableError(f"{path.name} holds bytes that are not text; save it as CSV again")
    del raw
    rows: list[tuple[Cell, ...]] = []
    try:
        for row in csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text)):
            rows.append(tuple(as_written(cell.strip()) or None for cell in row[:MOST_COLUMNS]))
            within.cells(sum(cell is not None for cell in rows[-1]), path.name)
            within.tell(f"rows of {path.name}", len(rows), MOST_ROWS)
            if len(rows) > MOST_ROWS:
                break
    except csv.Error as error:
        raise TableError(
            f"{path.name}, row {len(rows) + 1}, cannot be read ({error}); save it again"
        ) from None
    return Table(path.stem, tuple(rows), remark)


def _delimiter(text: str) -> str:
    """The delimiter that makes the first lines most alike."""
    head = [line for line in _first_lines(text) if line.strip()]
    counts = {d: [line.count(d) for line in head] for d in ";\t,"}
    best = max(counts, key=lambda d: (sum(1 for n in counts[d] if n), counts[d][0] if counts[d] else 0))
    return best if any(counts[best]) else ","


def _first_lines(text: str) -> Iterator[str]:
    # Not the lines of the whole text: there may be millions.
    return iter(text[: 20 * _LONGEST_CELL].splitlines()[:20])
