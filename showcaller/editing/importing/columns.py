"""Which column is what: by the words people write over them."""

import re
from collections.abc import Mapping, Sequence

from showcaller.editing.importing.cells import Cell, Table, TableError, letter
from showcaller.values import Struct

HEADINGS: Mapping[str, tuple[str, ...]] = {
    "id": ("id",),  # a "key" is a song's key, Am or D
    "item": ("item", "song", "title", "song title", "in song", "track"),
    "name": ("name", "item", "song", "title", "song title", "titel", "titre", "track", "what is played"),
    "kind": ("kind", "type", "art", "genre of item"),
    "length_s": ("length", "duration", "time", "dur", "len", "länge", "dauer", "durée", "runtime"),
    "shortest_s": ("shortest", "min", "minimum"),
    "longest_s": ("longest", "max", "maximum"),
    "tempo": ("tempo", "bpm"),
    "meters": ("meter", "metre", "time signature", "signature", "takt"),
    "sections": ("sections", "structure", "form"),
    "downbeat_s": ("bar 1 at", "downbeat"),
    "timecode_start": ("timecode", "tc", "timecode start"),
    "reference": ("reference", "file"),
    "route": ("route",),
    "out": ("out tonight", "out", "cut tonight"),
    "instead_of": ("alternate for", "instead of", "alternate of", "alternative to"),
    "cuttable": ("may be cut", "cuttable"),
    "notes": ("note", "notes", "remarks", "comment", "comments", "bemerkung", "remarques"),
    "department": ("who", "department", "dept", "dep", "abteilung"),
    "number": ("number", "cue", "no", "cue number", "cue no", "nr", "#", "lx", "q"),
    "label": ("what", "label", "description", "action", "cue description", "was"),
    "anchor": ("when", "at", "place", "bar", "position", "wann"),
    "fires": ("fires", "fired", "trigger"),
    "standby_s": ("standby", "stand by", "sb"),
    "warning_s": ("warning", "warn"),
    "messages": ("sends", "message", "messages", "osc"),
    "look": ("look",),
    "needs": ("needs", "clearance", "clearances"),
    "hazard": ("hazard",),
    "words": ("words", "lyrics", "sung", "line", "text"),
    "words_s": ("each word after", "word times"),
}  # fmt: skip
"""What a column can be → what people call it, in small letters."""

ITEM_COLUMNS = (
    "id", "name", "kind", "length_s", "shortest_s", "longest_s", "tempo", "meters", "sections", "downbeat_s",
    "timecode_start", "reference", "route", "out", "instead_of", "cuttable", "notes",
)  # fmt: skip
CUE_COLUMNS = (
    "id", "item", "department", "number", "label", "anchor", "fires", "standby_s", "warning_s", "messages",
    "look", "needs", "hazard", "notes",
)  # fmt: skip
LYRIC_COLUMNS = ("id", "item", "anchor", "words", "words_s")


class Columns(Struct, frozen=True):
    """Where the headings are (``row``, from 0), and which column is what."""

    row: int
    at: Mapping[str, int]
    said: tuple[tuple[str, str, str], ...]
    """(letter, heading, what it was taken for or '')."""

    def letter(self, key: str) -> str:
        """The letter of a column that is there."""
        return letter(self.at[key])


def recognise(table: Table, wanted: Sequence[str], needed: Sequence[str]) -> Columns:
    """The columns of a table, by the first of its first ten rows that names all that is ``needed``.

    Raises:
        TableError: no such row; the sentence says what was missing.
    """
    best: tuple[int, dict[str, int]] = (0, {})
    for n, row in enumerate(table.rows[:10]):
        found = _match(row, wanted)
        if len(found) > len(best[1]):
            best = (n, found)
    head, at = best
    missing = [key for key in needed if key not in at]
    if missing:
        names = " and ".join(f"'{HEADINGS[key][0]}'" for key in missing)
        raise TableError(
            f"sheet '{table.name}' has no column headed {names} in its first rows; write it over the column"
        )
    taken = {index: key for key, index in at.items()}
    said = tuple(
        (letter(m), str(cell), _plain(taken[m]) if m in taken else "")
        for m, cell in enumerate(table.rows[head])
        if cell is not None
    )
    return Columns(head, at, said)


def score(table: Table, wanted: Sequence[str]) -> int:
    """How many of these columns a table has."""
    return max((len(_match(row, wanted)) for row in table.rows[:10]), default=0)


def _plain(key: str) -> str:
    return HEADINGS[key][0]


def _match(row: Sequence[Cell], wanted: Sequence[str]) -> dict[str, int]:
    # 'Act / Song' is headed by both words; a heading that is one word alone goes first.
    words = [(_words(cell),) for cell in row]
    found = _named(words, wanted, {})
    several = [
        tuple(_words(part) for part in _BOTH.split(cell)) if isinstance(cell, str) else () for cell in row
    ]
    return _named(several, wanted, found)


_BOTH = re.compile(r"[/|&+]|\band\b|\bor\b", re.IGNORECASE)


def _named(words: Sequence[tuple[str, ...]], wanted: Sequence[str], found: dict[str, int]) -> dict[str, int]:
    """The columns found so far, and those that these words name as well."""
    found = dict(found)
    # The best name first: a sheet with 'name' and 'song' has its names under 'name'.
    for rank in range(max(len(names) for names in HEADINGS.values())):
        for key in wanted:
            names = HEADINGS[key]
            if key in found or rank >= len(names):
                continue
            for m, said in enumerate(words):
                if names[rank] in said and m not in found.values():
                    found[key] = m
                    break
    return found


def _words(cell: Cell) -> str:
    if not isinstance(cell, str):
        return ""
    plain = re.sub(r"\(.*?\)|[:.*]", " ", cell.lower())
    return " ".join(plain.split())
