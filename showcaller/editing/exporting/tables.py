"""The running order and the cues as tables that read back as the same show: CSV, XLSX, ODS."""

import csv
from collections.abc import Sequence
from pathlib import Path
from typing import cast

from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table as OdfTable
from odf.table import TableCell, TableRow
from odf.teletype import addTextToElement
from odf.text import P
from openpyxl import Workbook
from openpyxl.styles import Alignment, Font
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.worksheet import Worksheet

from showcaller.editing.cellwords import harmless, without_controls
from showcaller.editing.forms import cue_fields, item_fields
from showcaller.editing.importing.columns import CUE_COLUMNS, HEADINGS, ITEM_COLUMNS, LYRIC_COLUMNS
from showcaller.editing.importing.cues import SEVERAL
from showcaller.editing.lyrics import place_text
from showcaller.model import Show, Song
from showcaller.model.quantities import to_json
from showcaller.model.whole import whole
from showcaller.values import Struct


class Sheet(Struct, frozen=True):
    """A table to write: its name, headings, and rows of texts."""

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def running_order_sheet(show: Show) -> Sheet:
    """One item a row."""
    rows = []
    for item in show.items:
        texts = {f.key: f.text for f in item_fields(show, item.id)} | {"id": item.id, "kind": item.kind}
        rows.append(tuple(texts.get(key, "") for key in ITEM_COLUMNS))
    return Sheet("Running order", tuple(HEADINGS[key][0] for key in ITEM_COLUMNS), tuple(rows))


def cues_sheet(show: Show) -> Sheet:
    """One cue a row, with the id of its item."""
    rows = []
    for item in show.items:
        for cue in item.cues:
            texts = {f.key: f.text for f in cue_fields(show, cue.id)} | {"id": cue.id, "item": item.id}
            sends = [text for key, text in texts.items() if key.startswith("message:") and text]
            texts["messages"] = SEVERAL.join(sends)
            rows.append(tuple(texts[key] for key in CUE_COLUMNS))
    return Sheet("Cues", tuple(HEADINGS[key][0] for key in CUE_COLUMNS), tuple(rows))


def lyrics_sheet(show: Show) -> Sheet:
    """One line of a song's words a row, with the id of its song."""
    rows = [
        (line.id, song.id, place_text(line), line.text, " ".join(str(to_json(at_s)) for at_s in line.words_s))
        for song in show.items
        if isinstance(song, Song)
        for line in song.lyrics
    ]
    return Sheet("Lyrics", tuple(HEADINGS[key][0] for key in LYRIC_COLUMNS), tuple(rows))


def all_sheets(show: Show) -> list[Sheet]:
    """Running order, lyrics where there are any, cues: in the order in which they can be taken in."""
    lyrics = lyrics_sheet(show)
    return [running_order_sheet(show), *([lyrics] if lyrics.rows else []), cues_sheet(show)]


def write_csv(sheet: Sheet, path: Path) -> None:
    """UTF-8 with the mark that spreadsheet programs know it by; CRLF between rows (RFC 4180)."""

    def write(where: Path) -> None:
        with where.open("w", encoding="utf-8-sig", newline="") as file:
            writer = csv.writer(file)
            writer.writerow(sheet.head)
            writer.writerows([harmless(text) for text in row] for row in sheet.rows)

    whole(path, write)


def write_xlsx(sheets: Sequence[Sheet], path: Path) -> None:
    """One sheet each; the headings stay in view."""
    book = Workbook()
    book.remove(cast("Worksheet", book.active))
    for sheet in sheets:
        made = book.create_sheet(sheet.name)
        made.append(list(sheet.head))
        for row in sheet.rows:
            made.append([None if text == "" else without_controls(text) for text in row])
        for cells in made.iter_rows():
            for cell in cells:
                if isinstance(cell.value, str):
                    cell.data_type = "s"  # a text that begins with = is still a text
                    cell.number_format = "@"  # and 4:36 stays what was typed
                cell.alignment = Alignment(vertical="top", wrap_text=True)
        for n, heading in enumerate(sheet.head):
            made[f"{get_column_letter(n + 1)}1"].font = Font(bold=True)
            longest = max([len(heading), *(len(row[n]) for row in sheet.rows)])
            made.column_dimensions[get_column_letter(n + 1)].width = min(46, max(8, longest + 2))
        made.freeze_panes = "A2"
    whole(path, book.save)


def write_ods(sheets: Sequence[Sheet], path: Path) -> None:
    """One sheet each, every cell a text."""
    document = OpenDocumentSpreadsheet()
    for sheet in sheets:
        table = OdfTable(name=sheet.name)
        for row in (sheet.head, *sheet.rows):
            line = TableRow()
            for text in row:
                cell = TableCell(valuetype="string") if text else TableCell()
                for part in text.split("\n") if text else ():
                    line_of = P()
                    # Two spaces, or one at an end, would be one or none to whoever reads them as text.
                    addTextToElement(line_of, without_controls(part))
                    cell.addElement(line_of)
                line.addElement(cell)
            table.addElement(line)
        document.spreadsheet.addElement(table)
    whole(path, lambda where: document.save(str(where)))
