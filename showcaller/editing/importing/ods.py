"""ODS (OpenDocument 1.2, part 1, chapter 9), read as it streams by.

The library that writes it builds the whole document in memory, a hundred times its size; this needs a row.
"""

import xml.etree.ElementTree as ET
from datetime import date, datetime, timedelta
from pathlib import Path

from defusedxml.ElementTree import iterparse

from showcaller.editing.importing.packed import opened
from showcaller.editing.importing.sheets import (
    MOST_COLUMNS,
    MOST_ROWS,
    MOST_SHEETS,
    NO_VALUE,
    Cell,
    Table,
    TableError,
)
from showcaller.outside import Within

_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
_EMPTY_ROWS_KEPT = 3


def read_ods(path: Path, within: Within) -> list[Table]:
    """Its sheets, the first rows and columns of each.

    Raises:
        TableError: it cannot be read.
        Refused: it exceeds a limit.
    """
    with opened(path, "ODS") as archive:
        if "content.xml" not in archive.namelist():
            raise TableError(f"{path.name} cannot be opened as ODS (it has no content); save it again")
        tables: list[Table] = []
        rows: list[tuple[Cell, ...]] = []
        with archive.open("content.xml") as source:
            for n, (event, part) in enumerate(iterparse(source, events=("start", "end"))):
                if n % 1000 == 0:
                    within.tell(
                        f"reading {path.name}", source.tell(), archive.getinfo("content.xml").file_size
                    )
                if part.tag == f"{_TABLE}table" and event == "start":
                    rows = []
                elif part.tag == f"{_TABLE}table-row" and event == "end":
                    _take_row(rows, part, path.name, within)
                    part.clear()
                elif part.tag == f"{_TABLE}table" and event == "end":
                    tables.append(Table(part.get(f"{_TABLE}name", "sheet"), tuple(rows)))
                    part.clear()
                    if len(tables) == MOST_SHEETS:
                        break
        return tables


def _take_row(rows: list[tuple[Cell, ...]], row: ET.Element, name: str, within: Within) -> None:
    if len(rows) > MOST_ROWS:
        return
    cells: list[Cell] = []
    for cell in row:
        if cell.tag not in (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell"):
            continue
        times = min(int(cell.get(f"{_TABLE}number-columns-repeated", "1")), MOST_COLUMNS - len(cells))
        cells += [_cell(cell)] * max(0, times)
    while cells and cells[-1] is None:
        cells.pop()
    repeated = int(row.get(f"{_TABLE}number-rows-repeated", "1"))
    # A sheet ends in a million empty rows written as one.
    times = min(repeated, MOST_ROWS + 1 - len(rows) if cells else _EMPTY_ROWS_KEPT)
    within.cells(times * sum(cell is not None for cell in cells), name)
    rows += [tuple(cells)] * times


def _cell(cell: ET.Element) -> Cell:
    kind = cell.get(f"{_OFFICE}value-type")
    if kind in ("float", "percentage", "currency"):
        number = float(cell.get(f"{_OFFICE}value", ""))
        return int(number) if number.is_integer() else number
    if kind == "time":
        return _duration(cell.get(f"{_OFFICE}time-value", ""))
    if kind == "date":
        text = cell.get(f"{_OFFICE}date-value", "")
        return datetime.fromisoformat(text) if "T" in text else date.fromisoformat(text)
    if kind == "boolean":
        return cell.get(f"{_OFFICE}boolean-value") == "true"
    # Each line is a paragraph of its own.
    text = "\n".join(_words(part) for part in cell if part.tag == f"{_TEXT}p").strip()
    if not text and cell.get(f"{_TABLE}formula"):
        return NO_VALUE
    return text or None


def _words(part: ET.Element) -> str:
    """A paragraph's text; spaces, tabs and line breaks are written as parts of their own (section 6.1)."""
    if part.tag == f"{_TEXT}s":
        words = " " * min(int(part.get(f"{_TEXT}c", "1")), 1000)
    elif part.tag == f"{_TEXT}tab":
        words = "\t"
    elif part.tag == f"{_TEXT}line-break":
        words = "\n"
    else:
        words = part.text or ""
    return words + "".join(
        ("" if inner.tag.startswith(_OFFICE) else _words(inner)) + (inner.tail or "") for inner in part
    )


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
