"""Any file that can be taken in, by what it is: a spreadsheet, a MIDI file, a timeline, lyrics."""

from fractions import Fraction
from pathlib import Path

from showcaller.editing.changes import SetFields
from showcaller.editing.cues import item_at
from showcaller.editing.importing.cells import Table, TableError, read_tables
from showcaller.editing.importing.columns import CUE_COLUMNS, ITEM_COLUMNS, score
from showcaller.editing.importing.cues import read_cues
from showcaller.editing.importing.lyric_rows import read_lyric_rows
from showcaller.editing.importing.lyrics import MOST_BYTES as MOST_BYTES_OF_LYRICS
from showcaller.editing.importing.lyrics import FoundLyrics, read_lrc, read_plain, rows_of, text_of
from showcaller.editing.importing.midi_lyrics import lines_of
from showcaller.editing.importing.running_order import read_running_order
from showcaller.editing.importing.understood import FileError, Remark, Understood, rows_out, sorted_remarks
from showcaller.editing.lyrics import replace_lyrics
from showcaller.editing.timeline import TimelineError, sections_of
from showcaller.model import Show, Song
from showcaller.model.document import layout
from showcaller.model.lyrics import MOST_LINES
from showcaller.outside import Refused, Within, look_at_file
from showcaller.timing.midi_tempo import MOST_BYTES, read_midi_syllables, read_midi_tempo

MOST_TIMELINE_BYTES = 16_000_000
_HEADINGS = 2


def understand(show: Show, path: Path, item_id: str, within: Within | None = None) -> tuple[Understood, ...]:
    """What is in a file: one finding for each sheet that is a running order, lyrics or a list of
    cues, else one.

    A MIDI file, a timeline or lyrics are taken for the song ``item_id``; so are cues whose rows name no
    item. This reads the file here and now;
    :func:`showcaller.editing.importing.taking_in.understand_outside` does not.

    Raises:
        FileError: nothing in it can be used.
    """
    kind = path.suffix.lower()
    within = within or Within()
    try:
        if kind in (".mid", ".midi"):
            look_at_file(path, MOST_BYTES)
            return _midi(show, path, item_id)
        if kind == ".otio":
            look_at_file(path, MOST_TIMELINE_BYTES)
            return (_timeline(show, path, item_id),)
        if kind == ".lrc" or (kind == ".txt" and not _is_table(path, within)):
            look_at_file(path, MOST_BYTES_OF_LYRICS)
            return (_lyrics(show, path, item_id),)
        return _tables(show, read_tables(path, within), item_id)
    except (Refused, TimelineError) as error:
        raise FileError(str(error)) from None
    except OSError as error:
        raise FileError(f"cannot read {path.name}: {(error.strerror or str(error)).lower()}") from None


def _tables(show: Show, tables: tuple[Table, ...], item_id: str) -> tuple[Understood, ...]:
    found: list[Understood] = []
    wrong: list[str] = []
    for table in tables:
        try:
            cues = score(table, CUE_COLUMNS)
            if score(table, ("department", "anchor")) == 2 and cues >= score(table, ITEM_COLUMNS):
                named = score(table, ("item",)) == 1
                found.append(read_cues(show, table, None if named else item_id))
            elif score(table, ("item", "words")) == 2 and not score(table, ("length_s",)):
                found.append(read_lyric_rows(show, table))
            else:
                found.append(read_running_order(show, table))
        except TableError as error:
            wrong.append(str(error))
    if not found:
        raise FileError(wrong[0])
    return tuple(found)


def _is_table(path: Path, within: Within) -> bool:
    """Whether a text file is a table after all: two of its headings are known."""
    try:
        tables = read_tables(path, within)
    except TableError:
        return False
    return any(max(score(table, CUE_COLUMNS), score(table, ITEM_COLUMNS)) >= _HEADINGS for table in tables)


def _song(show: Show, item_id: str, what: str) -> Song:
    item = item_at(show, item_id)
    if not isinstance(item, Song):
        raise FileError(f"{what} is for a song, and {item.name} is a {item.kind}; choose the song first")
    return item


def _midi(show: Show, path: Path, item_id: str) -> tuple[Understood, ...]:
    song = _song(show, item_id, "a MIDI file")
    try:
        data = path.read_bytes()
        tempo, syllables = read_midi_tempo(data), read_midi_syllables(data)
    except ValueError as error:
        raise FileError(f"{path.name}: {error}") from None
    fields = tempo.fields()
    if not fields["sections"]:
        del fields["sections"]  # a file without markers says nothing about sections
    rows = [(name, layout(mark)) for name, marks in fields.items() for mark in marks]
    count = len(fields.get("sections", []))
    words = f"tempo, time signatures and {count} sections for {song.name}, in place of its own"
    change = SetFields(at=("items", song.id), fields=fields)
    first = Understood(f"MIDI file for {song.name}", words, (), tuple(rows), (), change)
    lines = lines_of(syllables)[:MOST_LINES]
    return (first, _sung(show, song, FoundLyrics(lines))) if lines else (first,)


def _lyrics(show: Show, path: Path, item_id: str) -> Understood:
    song = _song(show, item_id, "a file of lyrics")
    text = text_of(path.read_bytes())
    try:
        if path.suffix.lower() == ".lrc":
            begins_s = song.reference_at_s if song.reference else Fraction(0)
            return _sung(show, song, read_lrc(text, begins_s))
        return _sung(show, song, read_plain(text, bool(song.tempo)))
    except FileError as error:
        raise FileError(f"{path.name}: {error}") from None


def _sung(show: Show, song: Song, found: FoundLyrics) -> Understood:
    """Lyrics in place of a song's own."""
    change, lost = replace_lyrics(show, song, found.lines)
    remarks = list(found.remarks)
    if lost:
        remarks.append(Remark(0, "", lost, wrong=False))
    placed = sum("bar" in line or "seconds" in line for line in found.lines)
    instead = ", in place of its own" if song.lyrics else ""
    words = f"{len(found.lines)} lines of lyrics for {song.name}, {placed} with their place{instead}"
    words += rows_out(remarks)
    rows = tuple(rows_of(found.lines))
    return Understood(f"lyrics for {song.name}", words, (), rows, sorted_remarks(remarks), change)


def _timeline(show: Show, path: Path, item_id: str) -> Understood:
    song = _song(show, item_id, "a timeline")
    sections = sections_of(path.read_text(encoding="utf-8", errors="replace"), song)
    rows = tuple((f"bar {s['bar']}", str(s["name"])) for s in sections)
    words = f"{len(sections)} sections for {song.name}, in place of its own"
    change = SetFields(at=("items", song.id), fields={"sections": sections})
    return Understood(f"timeline for {song.name}", words, (), rows, (), change)
