"""Lyrics out of a table: one line a row, under the song that each row names."""

from datetime import time, timedelta
from typing import Any

from pydantic import ValidationError

from showcaller.editing.changes import Change, ChangeError, Together
from showcaller.editing.forms.field import one_of
from showcaller.editing.importing.cells import Cell, Table
from showcaller.editing.importing.columns import LYRIC_COLUMNS, Columns, recognise
from showcaller.editing.importing.lyrics import rows_of
from showcaller.editing.importing.understood import Remark, Understood, rows_out, sorted_remarks
from showcaller.editing.importing.values import length_of_cell, text_of
from showcaller.editing.lengths import CellError
from showcaller.editing.lyrics import parse_line, replace_lyrics
from showcaller.editing.placing import clock_text
from showcaller.model import LyricLine, Show, Song
from showcaller.model.document import sentences
from showcaller.model.lyrics import MOST_LINES
from showcaller.model.quantities import fraction_of, to_json


def read_lyric_rows(show: Show, table: Table) -> Understood:
    """What a table says as lyrics: each song that a row names gets the lines of its rows in place of its own.

    Songs that no row names keep theirs. A row whose line cannot be read stays out, with a sentence.

    Raises:
        TableError: no column of songs, or of words.
    """
    columns = recognise(table, LYRIC_COLUMNS, ["item", "words"])
    songs = {item.id: item for item in show.items if isinstance(item, Song)}
    found: dict[str, list[dict[str, Any]]] = {}
    remarks = [Remark(0, "", table.remark, wrong=False)] if table.remark else []
    for n in range(columns.row + 1, len(table.rows)):
        row = table.rows[n]
        cells = {key: row[m] if m < len(row) else None for key, m in columns.at.items()}
        if all(cell in (None, "") for cell in cells.values()):
            continue
        try:
            song = songs[one_of(text_of(cells["item"]), [(i, (s.name,)) for i, s in songs.items()], "song")]
            lines = found.setdefault(song.id, [])
            if len(lines) == MOST_LINES:
                raise CellError(f"{song.name} has {MOST_LINES:,} lines already", "the row stays out")
            line = _line(cells, bool(song.tempo))
            if any(line.get("id", "") == other.get("id") for other in lines):
                del line["id"]  # a row copied in the spreadsheet is a line of its own
            lines.append(line)
        except (ChangeError, CellError) as error:
            remarks.append(Remark(n + 1, columns.letter("words"), str(error)))
        else:
            remarks += _hours(cells, n, columns)
    return _understood(show, table, columns, {i: lines for i, lines in found.items() if lines}, remarks)


def _understood(
    show: Show, table: Table, columns: Columns, found: dict[str, list[dict[str, Any]]], remarks: list[Remark]
) -> Understood:
    changes: list[Change] = []
    rows: list[tuple[str, ...]] = []
    for item in show.items:
        if not isinstance(item, Song) or item.id not in found:
            continue
        change, lost = replace_lyrics(show, item, found[item.id])
        changes.append(change)
        rows += [(item.name, *row) for row in rows_of(found[item.id])]
        if lost:
            remarks.append(Remark(0, "", f"{item.name}: {lost}", wrong=False))
    count = len(rows)
    summary = f"{count} line{'s' * (count != 1)} of lyrics for {len(changes)} song{'s' * (len(changes) != 1)}"
    return Understood(
        f"lyrics, sheet '{table.name}'",
        summary + rows_out(remarks),
        columns.said,
        tuple(rows),
        sorted_remarks(remarks),
        Together(changes=tuple(changes)) if changes else None,
    )


def _line(cells: dict[str, Cell], has_bars: bool) -> dict[str, Any]:
    """A row as a line of the document."""
    place, words = cells.get("anchor"), text_of(cells["words"])
    if isinstance(place, time | timedelta):
        place = clock_text(length_of_cell(place)[0]).replace(" s", "s")
    line = parse_line(f"{text_of(place) or '-'} {words}" if words else "", has_bars)
    if line["text"] != words:
        raise CellError(f"'{text_of(place)}' is not a place", "write a bar (69), bar/beat (69/3) or 1:23.5")
    try:
        times = [to_json(fraction_of(part)) for part in text_of(cells.get("words_s")).split()]
    except (ValueError, ZeroDivisionError):
        raise CellError("the words' times are not seconds", "write one for each word: 0 0.4 1.25") from None
    part = {"id": text_of(cells.get("id")) or "line", **line} | ({"words_s": times} if times else {})
    try:
        LyricLine.model_validate(part)
    except ValidationError as error:
        raise CellError(sentences(error)[0]) from None
    return part if text_of(cells.get("id")) else {k: v for k, v in part.items() if k != "id"}


def _hours(cells: dict[str, Cell], n: int, columns: Columns) -> list[Remark]:
    """That the spreadsheet kept a place's minutes and seconds as hours and minutes."""
    place = cells.get("anchor")
    hours = length_of_cell(place)[1] if isinstance(place, time | timedelta) else ""
    said = f"{hours} was kept as hours and minutes; taken for minutes and seconds"
    return [Remark(n + 1, columns.letter("anchor"), said, wrong=False)] if hours else []
