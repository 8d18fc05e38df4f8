"""XLSX, read as it streams by: a sheet's farthest cell costs nothing, nor does a merge of millions."""

import zipfile
from itertools import zip_longest
from pathlib import Path
from typing import Any, cast

from defusedxml.ElementTree import iterparse
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries

from showcaller.editing.importing.packed import opened
from showcaller.editing.importing.sheets import MOST_COLUMNS, MOST_ROWS, MOST_SHEETS, NO_VALUE, Cell, Table
from showcaller.outside import Within

_MERGE = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}mergeCell"


def read_xlsx(path: Path, within: Within) -> list[Table]:
    """Its sheets, the first rows and columns of each.

    Raises:
        TableError: it cannot be read.
        Refused: it exceeds a limit.
    """
    with opened(path, "XLSX") as archive:
        within.tell(f"opening {path.name}", 0, 0)
        values = load_workbook(path, data_only=True, read_only=True)
        formulas = load_workbook(path, data_only=False, read_only=True)
        try:
            return [
                _sheet(sheet, formulas[sheet.title], archive, path.name, within)
                for sheet in values.worksheets[:MOST_SHEETS]
            ]
        finally:
            values.close()
            formulas.close()


def _sheet(values: Any, formulas: Any, archive: zipfile.ZipFile, name: str, within: Within) -> Table:
    rows: list[list[Cell]] = []
    both = [
        book.iter_rows(max_row=MOST_ROWS + 1, max_col=MOST_COLUMNS, values_only=True)
        for book in (values, formulas)
    ]
    for row, typed in zip_longest(*both, fillvalue=()):
        cells = [cast("Cell", value) for value in row]
        for n, formula in enumerate(typed[: len(cells)]):
            if cells[n] is None and isinstance(formula, str) and formula.startswith("="):
                cells[n] = NO_VALUE
        while cells and cells[-1] is None:
            cells.pop()
        rows.append(cells)
        within.cells(sum(cell is not None for cell in cells), name)
        within.tell(f"rows of {values.title}", len(rows), MOST_ROWS)
    while rows and not rows[-1]:
        rows.pop()
    _fill_merged(rows, values, archive, within)
    return Table(values.title, tuple(tuple(row) for row in rows))


def _fill_merged(rows: list[list[Cell]], sheet: Any, archive: zipfile.ZipFile, within: Within) -> None:
    """A merged area holds its value once; the rows under it mean the same. Only areas one column wide."""
    with archive.open(sheet._worksheet_path) as source:
        for n, (_, part) in enumerate(iterparse(source)):
            if part.tag == _MERGE:
                left, top, right, bottom = range_boundaries(part.get("ref", ""))
                if left and top and bottom and left == right and left <= MOST_COLUMNS:
                    _fill(rows, left - 1, top - 1, bottom)
            elif part.tag.endswith("}row"):
                within.tell(f"merged cells of {sheet.title}", n, 0)
                part.clear()


def _fill(rows: list[list[Cell]], column: int, top: int, bottom: int) -> None:
    if top >= len(rows) or column >= len(rows[top]):
        return
    value = rows[top][column]
    for row in rows[top + 1 : bottom]:
        row.extend([None] * (column + 1 - len(row)))
        row[column] = value
