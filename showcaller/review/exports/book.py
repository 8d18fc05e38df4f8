"""Spreadsheets: one workbook with a sheet for every table, or a folder of CSV files (RFC 4180)."""

import csv
from collections.abc import Sequence
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties

from showcaller.editing.cellwords import harmless, without_controls
from showcaller.review.exports.progress import Steps
from showcaller.review.exports.sheets import Cell, Sheet

_FORMULA = ("=", "+", "-", "@", "\t", "\r")


def write_workbook(title: str, sentence: str, sheets: Sequence[Sheet], path: Path, steps: Steps) -> None:
    """Write ``.xlsx``: the sentence first, then the tables; headings stay in sight and can be filtered."""
    book = Workbook()
    front = book.active
    assert front is not None
    front.title = "Report"
    front.append([_cell(title)])
    front.append([_cell(sentence)])
    front["A1"].font = Font(bold=True, size=14)
    front.column_dimensions["A"].width = 100
    front["A2"].alignment = Alignment(wrap_text=True)
    for sheet in sheets:
        steps.next(sheet.name)
        page = book.create_sheet(sheet.name[:31])
        page.append(list(sheet.headings))
        for row in sheet.rows:
            page.append([_cell(value) for value in row])
        for column, heading in enumerate(sheet.headings, 1):
            cell = page.cell(1, column)
            cell.font = Font(bold=True)
            cell.fill = PatternFill("solid", fgColor="E6EBED")
            longest = max([len(heading), *(len(str(row[column - 1] or "")) for row in sheet.rows)])
            page.column_dimensions[get_column_letter(column)].width = min(60, longest + 3)
        page.freeze_panes = "A2"
        page.print_title_rows = "1:1"
        page.page_setup.orientation = "landscape"
        page.page_setup.fitToHeight = 0  # as many pages as it takes, one wide
        page.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
        if sheet.rows:
            page.auto_filter.ref = f"A1:{get_column_letter(len(sheet.headings))}{len(sheet.rows) + 1}"
    # Words that look like a formula are words: what somebody typed in a note must not be carried out.
    for page in book.worksheets:
        for cells in page.iter_rows():
            for one in cells:
                if isinstance(one.value, str) and one.value.startswith(_FORMULA):
                    one.data_type = "s"
                    one.quotePrefix = True
    steps.next("writing")
    book.save(path)


def _cell(value: Cell) -> Cell:
    return without_controls(value) if isinstance(value, str) else value


def write_csv(sheets: Sequence[Sheet], folder: Path, steps: Steps) -> None:
    """Write a CSV file for every table into ``folder``, which is made."""
    folder.mkdir(parents=True)
    for sheet in sheets:
        steps.next(sheet.name)
        name = sheet.name.lower().replace(" ", "-")
        with (folder / f"{name}.csv").open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(sheet.headings)
            writer.writerows([_plain(value) for value in row] for row in sheet.rows)


def _plain(value: Cell) -> Cell:
    return "" if value is None else harmless(value) if isinstance(value, str) else value
