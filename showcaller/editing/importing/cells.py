"""Spreadsheets as plain tables of cells: CSV, XLSX and ODS, whatever state people leave them in."""

import csv
import io
import zipfile
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any, cast

from odf.opendocument import load
from odf.table import CoveredTableCell, TableCell, TableRow
from odf.table import Table as OdfTable
from odf.teletype import extractText
from openpyxl import load_workbook
from openpyxl.utils import get_column_letter
from openpyxl.utils.exceptions import InvalidFileException

MOST_ROWS = 20_000
MOST_COLUMNS = 60

Cell = str | int | float | bool | date | datetime | time | timedelta | None
"""A cell's value as the file has it."""


class TableError(ValueError):
    """A file that cannot be read as a table; one sentence."""


@dataclass(frozen=True, slots=True)
class Table:
    """One sheet. ``rows[0]`` is the file's row 1; empty rows at the end are left off."""

    name: str
    rows: tuple[tuple[Cell, ...], ...]
    remark: str = ""


def letter(column: int) -> str:
    """A column's letter, from 0."""
    return get_column_letter(column + 1)


def read_tables(path: Path) -> tuple[Table, ...]:
    """Every sheet of a CSV, XLSX or ODS file that holds anything.

    Raises:
        TableError: it cannot be read, is of another kind, or is empty.
    """
    kind = path.suffix.lower()
    try:
        if kind in (".csv", ".tsv", ".txt"):
            tables = [_csv(path)]
        elif kind in (".xlsx", ".xlsm"):
            tables = _xlsx(path)
        elif kind == ".ods":
            tables = _ods(path)
        else:
            raise TableError(
                f"{path.name} is not a spreadsheet that can be read; save it as CSV, XLSX or ODS"
            )
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


def _csv(path: Path) -> Table:
    raw = path.read_bytes()
    if raw[:4] == b"PK\x03\x04":
        raise TableError(f"{path.name} is not text but a packed file; is it an XLSX or ODS by another name?")
    remark = ""
    if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
        text = raw.decode("utf-16")
    else:
        try:
            text = raw.decode("utf-8-sig")
        except UnicodeDecodeError:
            # Every byte is a letter in Windows-1252's older brother, so this cannot fail.
            text = raw.decode("cp1252", errors="replace") if b"\x81" not in raw else raw.decode("latin-1")
            remark = "the file is not UTF-8; it was read as Latin-1, look at the accents"
    if "\x00" in text:
        raise TableError(f"{path.name} holds bytes that are not text; save it as CSV again")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=_delimiter(text))
    try:
        rows = tuple(tuple(cell.strip() or None for cell in row[:MOST_COLUMNS]) for row in reader)
    except csv.Error as error:
        raise TableError(f"{path.name} breaks off in the middle of a cell ({error})") from None
    return Table(path.stem, rows, remark)


def _delimiter(text: str) -> str:
    """The delimiter that makes the first lines most alike."""
    head = [line for line in text.splitlines()[:20] if line.strip()]
    counts = {d: [line.count(d) for line in head] for d in ";\t,"}
    best = max(counts, key=lambda d: (sum(1 for n in counts[d] if n), counts[d][0] if counts[d] else 0))
    return best if any(counts[best]) else ","


def _xlsx(path: Path) -> list[Table]:
    try:
        values = load_workbook(path, data_only=True, read_only=False)
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, EOFError) as error:
        raise TableError(f"{path.name} cannot be opened as XLSX ({error}); save it again") from None
    formulas = load_workbook(path, data_only=False, read_only=True)
    tables = []
    for sheet in values.worksheets:
        rows = [[cast("Cell", v) for v in row[:MOST_COLUMNS]] for row in sheet.iter_rows(values_only=True)]
        for area in sheet.merged_cells.ranges:
            # A merged area holds its value once; the rows under it mean the same.
            top = rows[area.min_row - 1][area.min_col - 1] if area.min_col <= MOST_COLUMNS else None
            if area.min_col == area.max_col:
                for n in range(area.min_row, min(area.max_row, len(rows))):
                    rows[n][area.min_col - 1] = top
        _mark_formulas(rows, formulas[sheet.title])
        tables.append(Table(sheet.title, tuple(tuple(row) for row in rows)))
    formulas.close()
    return tables


NO_VALUE = "\x00formula"
"""Stands in a cell with a formula whose value was never worked out."""


def _mark_formulas(rows: list[list[Cell]], sheet: Any) -> None:
    for n, row in enumerate(sheet.iter_rows(values_only=True)):
        for m, value in enumerate(row[:MOST_COLUMNS]):
            if isinstance(value, str) and value.startswith("=") and n < len(rows) and rows[n][m] is None:
                rows[n][m] = NO_VALUE


def _ods(path: Path) -> list[Table]:
    try:
        document = load(str(path))
    except Exception as error:  # odfpy lets through whatever its zip and XML readers raise
        raise TableError(f"{path.name} cannot be opened as ODS ({error}); save it again") from None
    tables = []
    for sheet in document.getElementsByType(OdfTable):
        rows: list[tuple[Cell, ...]] = []
        for row in sheet.getElementsByType(TableRow):
            cells: list[Cell] = []
            for cell in row.childNodes:
                if cell.qname not in (TableCell().qname, CoveredTableCell().qname):
                    continue
                times = min(int(cell.getAttribute("numbercolumnsrepeated") or 1), MOST_COLUMNS - len(cells))
                cells += [_ods_cell(cell)] * max(0, times)
            while cells and cells[-1] is None:
                cells.pop()
            repeated = int(row.getAttribute("numberrowsrepeated") or 1)
            # A sheet ends in a million empty rows written as one.
            rows += [tuple(cells)] * (min(repeated, MOST_ROWS) if cells else min(repeated, 3))
        tables.append(Table(str(sheet.getAttribute("name")), tuple(rows)))
    return tables


def _ods_cell(cell: Any) -> Cell:
    kind = cell.getAttribute("valuetype")
    if kind in ("float", "percentage", "currency"):
        number = float(cell.getAttribute("value"))
        return int(number) if number.is_integer() else number
    if kind == "time":
        return _duration(str(cell.getAttribute("timevalue")))
    if kind == "date":
        text = str(cell.getAttribute("datevalue"))
        return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)
    if kind == "boolean":
        return str(cell.getAttribute("booleanvalue")) == "true"
    text = extractText(cell).strip()
    if not text and cell.getAttribute("formula"):
        return NO_VALUE
    return text or None


def _duration(text: str) -> timedelta:
    """An ISO 8601 duration as ODF writes times: ``PT00H04M36S``."""
    rest = text.removeprefix("PT")
    total, number = 0.0, ""
    for sign in rest:
        if sign in "HMS":
            total += float(number.replace(",", ".") or 0) * {"H": 3600, "M": 60, "S": 1}[sign]
            number = ""
        else:
            number += sign
    return timedelta(seconds=total)
