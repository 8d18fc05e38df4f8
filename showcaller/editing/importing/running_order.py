"""A running order out of a table: one item a row."""

from collections.abc import Callable
from datetime import time, timedelta
from fractions import Fraction
from typing import Any

from pydantic import TypeAdapter, ValidationError

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of, seconds_of, yes_or_no
from showcaller.editing.forms.of_item import parse_meters, parse_sections, parse_tempo
from showcaller.editing.importing.cells import Cell, Table, letter
from showcaller.editing.importing.columns import HEADINGS, ITEM_COLUMNS, Columns, recognise
from showcaller.editing.importing.renaming import renamed
from showcaller.editing.importing.taking_order import Kept, change_of, dump
from showcaller.editing.importing.totals import apart_words, is_total
from showcaller.editing.importing.understood import Remark, Understood, rows_out, sorted_remarks
from showcaller.editing.importing.values import length_of_cell, minutes_and_seconds, text_of
from showcaller.editing.lengths import CellError
from showcaller.editing.naming import free_id
from showcaller.editing.placing import clock_text
from showcaller.editing.running_order import KINDS, USUAL_LENGTH_S
from showcaller.model import Item, Show
from showcaller.model.document import sentences
from showcaller.model.quantities import to_json

_ITEM: TypeAdapter[Any] = TypeAdapter(Item)
_LENGTHS = ("length_s", "shortest_s", "longest_s")
_ITEM_ITSELF = ("instead_of",)
"""Beside its name and kind, what an item cannot do without being understood."""
_HEADINGS = (
    "encore",
    "set",
    "act",
    "part",
    "main set",
    "first set",
    "second set",
    "support",
    "zugabe",
    "rappel",
)
"""What heads a part of a running order, and is no item of it where it has no length."""
_SONGS_ONLY = ("tempo", "meters", "sections", "downbeat_s", "timecode_start", "reference")


def read_running_order(show: Show, table: Table) -> Understood:
    """What a table says as the running order of ``show``.

    A row whose id or name is an item of the show changes that item; others are new. The order is the table's.
    An item whose row cannot be read keeps its place as it is; one whose length cannot be read keeps the
    length it has, or gets its kind's usual one. Items that are not in the table stay in the book, after the
    others, out tonight.

    Raises:
        TableError: no column of names.
    """
    columns = recognise(table, ITEM_COLUMNS, ["name"])
    reader = _Reader(show, columns)
    for n in range(columns.row + 1, len(table.rows)):
        reader.row(n, table.rows[n])
    change, counts = change_of(show, reader.rows)
    summary = counts.words() if counts is not None else "no row could be used"
    questions = renamed(show, reader.rows) if change is not None else ()
    remarks = [Remark(0, "", table.remark, wrong=False)] if table.remark else []
    return Understood(
        f"running order, sheet '{table.name}'",
        summary + rows_out(reader.remarks),
        columns.said,
        tuple(reader.words),
        sorted_remarks((*remarks, *reader.remarks, *reader.hours())),
        change,
        questions,
        counts,
    )


class _Reader:
    """Reads rows one by one, keeping what is good and a sentence on what is not."""

    def __init__(self, show: Show, columns: Columns) -> None:
        self.rows: list[dict[str, Any] | Kept] = []
        self.words: list[tuple[str, ...]] = []
        self.remarks: list[Remark] = []
        self._show = show
        self._columns = columns
        self._taken = {item.id for item in show.items}
        self._used: dict[str, int] = {}
        self._above_s = Fraction(0)
        self._hours: dict[str, list[tuple[str, Fraction]]] = {}
        self._short_times: set[str] = set()

    def row(self, n: int, row: tuple[Cell, ...]) -> None:
        """Read row ``n``, counted from 0."""
        cells = {key: row[m] if m < len(row) else None for key, m in self._columns.at.items()}
        if all(cell in (None, "") for cell in row):
            return
        name = ""
        try:
            name = self._get("name", cells, text_of)
            if self._heads(n, name, cells):
                return
            if is_total(
                name, row, cells.get("length_s"), self._above_s, self._known(cells, name) is not None
            ):
                said = f"'{name}'" if name else "this"
                words = f"{said} is the sum of the others and is not imported"
                apart = apart_words(cells.get("length_s"), self._above_s)
                words = f"{words}; {apart}" if apart else words
                self.remarks.append(Remark(n + 1, "", words, wrong=False, harmless=not apart))
                return
            part = self._part(n, cells, name)
        except _WrongCellError as error:
            self._refuse(n, cells, name, error)
            return
        length_s = Fraction(str(part["length_s"]))
        self._above_s += length_s
        self.rows.append(part)
        self.words.append((part["name"], part["kind"], clock_text(length_s)))

    def hours(self) -> list[Remark]:
        """For each column, once: that the spreadsheet kept minutes and seconds as hours and minutes."""
        found = []
        for key, cells in self._hours.items():
            kept, seconds = cells[0]
            words = f"{kept} was kept as hours and minutes; taken for {minutes_and_seconds(seconds)}"
            if len(cells) > 1:
                words += f", and so {'are' if len(cells) > 2 else 'is'} {len(cells) - 1} more"
            # Where others in the column are right as they are, these may be hours after all.
            harmless = key not in self._short_times
            found.append(Remark(0, self._columns.letter(key), words, wrong=False, harmless=harmless))
        return found

    def _heads(self, n: int, name: str, cells: dict[str, Cell]) -> bool:
        """Whether a row only heads those below it: an encore, a set. An item of that name stays one."""
        words = name.lower().strip(" :-–—*=").split()
        heads = " ".join(words[:2]) in _HEADINGS or (words and words[0] in _HEADINGS and len(words) <= 2)
        told = {k for k, cell in cells.items() if cell not in (None, "")} - {"name", "id", "notes"}
        if not heads or told or self._known(cells, name) is not None:
            return False
        said = f"'{name}' heads what is below it and is no item"
        self.remarks.append(Remark(n + 1, "", said, wrong=False, harmless=True))
        return True

    def _refuse(self, n: int, cells: dict[str, Cell], name: str, error: "_WrongCellError") -> None:
        key = error.key if error.key in self._columns.at else "name"
        said = str(error)
        try:
            known = self._known(cells, name) if name or cells.get("id") else None
        except _WrongCellError:
            known = None
        if known is not None:
            self._used[known.id] = n + 1
            self.rows.append(Kept(known))
            self._above_s += known.length_s
            said = f"'{known.name}' stays as it is: {said}"
        elif name:
            said = f"'{name}': {said}"
        self.remarks.append(Remark(n + 1, self._columns.letter(key), said))

    def _part(self, n: int, cells: dict[str, Cell], name: str) -> dict[str, Any]:
        if not name:
            filled = ", ".join(letter(self._columns.at[k]) for k, c in cells.items() if c not in (None, ""))
            raise _at(
                "name",
                CellError(
                    f"has no name, though {filled or 'another column'} is filled", "the row is not imported"
                ),
            )
        known = self._known(cells, name)
        part: dict[str, Any] = {} if known is None else dump(known)
        doubts: dict[str, str] = {}
        kind = self._get("kind", cells, text_of)
        if kind or "kind" not in part:
            try:
                part["kind"] = _kind(kind, name)
            except ChangeError:  # a word of their own costs no item
                part.setdefault("kind", _kind("", name))
                doubts["kind"] = f"'{kind}' is no kind of item here ({', '.join(KINDS)})"
        part["name"] = name
        part["id"] = known.id if known is not None else self._new_id(cells, name)
        for key in self._columns.at:
            if key in ("id", "name", "kind") or (key in _SONGS_ONLY and part["kind"] != "song"):
                continue
            if key in _LENGTHS:
                doubts[key] = self._length(key, cells[key], part)
            elif key in _ITEM_ITSELF:
                self._field(key, cells[key], part)
            else:  # a tempo that cannot be read costs the tempo, and no song
                try:
                    self._field(key, cells[key], part)
                except _WrongCellError as error:
                    doubts[key] = str(error)
        had = "length_s" in part
        if not had:
            part["length_s"] = _within(USUAL_LENGTH_S[part["kind"]], part)
            doubts["length_s"] = doubts.get("length_s") or "has no length"
        self._validate(part, {} if known is None else dump(known), doubts)
        self._doubt(n, part, doubts, had)
        self._used[part["id"]] = n + 1
        self._taken.add(part["id"])
        return part

    def _validate(self, part: dict[str, Any], before: dict[str, Any], doubts: dict[str, str]) -> None:
        """See that a show may have this item. A column that will not do is as it was before, and doubted."""
        for _ in range(len(self._columns.at) + 1):
            try:
                _ITEM.validate_python(part)
            except ValidationError as error:
                said = sentences(error)[0]
                named = {str(step) for detail in error.errors() for step in detail["loc"]}
                wrong = [k for k in self._columns.at if k in named and k in part and k not in _ITEM_ITSELF]
                if not wrong or wrong[0] in ("id", "name", "kind", "length_s"):
                    raise _at("name", CellError(said)) from None
                doubts[wrong[0]] = said.partition(": ")[2] or said
                part.pop(wrong[0])
                if wrong[0] in before:
                    part[wrong[0]] = before[wrong[0]]
            else:
                return

    def _doubt(self, n: int, part: dict[str, Any], doubts: dict[str, str], had: bool) -> None:
        for key, doubt in doubts.items():
            if not doubt:
                continue
            said = f"'{part['name']}'{' ' if doubt.startswith('has') else ': '}{doubt}; "
            if key == "length_s":
                length = clock_text(Fraction(str(part[key])))
                said += f"{length} {'stays until you know' if had else 'until you know'}"
            elif key == "kind":
                said += f"a {part[key]} until you know"
            elif part.get(key):
                said += f"the {HEADINGS[key][0]} it had stays"
            else:
                said += f"the {HEADINGS[key][0]} is ignored"
            self._mark(part, f"{HEADINGS[key][0]}: {doubt}")
            column = self._columns.letter(key if key in self._columns.at else "name")
            self.remarks.append(Remark(n + 1, column, said, wrong=False))

    @staticmethod
    def _mark(part: dict[str, Any], doubt: str) -> None:
        """Keep a doubt with the item, until somebody confirms it."""
        before = [d for d in part.get("doubts", []) if d.split(":")[0] != doubt.split(":", maxsplit=1)[0]]
        part["doubts"] = [*before, doubt[:200]]

    def _known(self, cells: dict[str, Cell], name: str) -> Item | None:
        wanted = self._get("id", cells, text_of) if "id" in cells else ""
        # Two talks of one name are two items.
        free = [item for item in self._show.items if item.id not in self._used]
        by_id = next((item for item in free if wanted and item.id == wanted), None)
        # An id that is of no item of this show was given by somebody else: the name says which it is.
        if by_id is not None or any(item.id == wanted for item in self._show.items):
            return by_id
        return next((item for item in free if item.name.lower() == name.lower()), None)

    def _new_id(self, cells: dict[str, Cell], name: str) -> str:
        wanted = self._get("id", cells, text_of) if "id" in cells else ""
        return free_id(wanted or name, self._taken)

    def _length(self, key: str, cell: Cell, part: dict[str, Any]) -> str:
        """Take a length in; why it cannot be read, or ''."""
        if cell in (None, ""):
            if key != "length_s":
                part.pop(key, None)
            return ""
        try:
            seconds, hours = length_of_cell(cell)
        except CellError as error:
            return error.reason
        part[key] = to_json(seconds)
        if hours:
            self._hours.setdefault(key, []).append((hours, seconds))
        elif isinstance(cell, time | timedelta):
            self._short_times.add(key)
        return ""

    def _field(self, key: str, cell: Cell, part: dict[str, Any]) -> None:
        text = _keyed(key, lambda: text_of(cell))
        value = _keyed(key, lambda: _value(self._show, key, text))
        if value in (None, "", False, []):
            part.pop(key, None)
        else:
            part[key] = value

    def _get(self, key: str, cells: dict[str, Cell], read: Callable[[Cell], str]) -> str:
        return str(_keyed(key, lambda: read(cells.get(key)))) if key in cells else ""


def _keyed(key: str, read: Callable[[], Any]) -> Any:
    try:
        return read()
    except (CellError, ChangeError) as error:
        raise _at(key, error) from None


def _at(key: str, error: Exception) -> "_WrongCellError":
    return _WrongCellError(key, str(error))


class _WrongCellError(ValueError):
    """A cell that will not do, and in which column."""

    def __init__(self, key: str, sentence: str) -> None:
        super().__init__(sentence)
        self.key = key


def _value(show: Show, key: str, text: str) -> Any:
    if key == "tempo":
        return parse_tempo(text)
    if key == "meters":
        return parse_meters(text)
    if key == "sections":
        return parse_sections(text)
    if key == "downbeat_s":
        return seconds_of(text or "0", "bar 1 at") or None
    if key in ("out", "cuttable"):
        return yes_or_no(text, "this cell")
    if key == "route":
        return one_of(text, [(r.id, (r.name,)) for r in show.routes], "route") if text else None
    return text


def _within(usual_s: int, part: dict[str, Any]) -> Any:
    """The usual length, within the item's shortest and longest where these are given."""
    seconds = Fraction(usual_s)
    if "shortest_s" in part:
        seconds = max(seconds, Fraction(str(part["shortest_s"])))
    if "longest_s" in part:
        seconds = min(seconds, Fraction(str(part["longest_s"])))
    return to_json(seconds)


_KIND_WORDS = {
    "song": ("encore", "number", "track"), "talk": ("speech", "announcement", "banter"),
    "walk-on": ("walk on",), "interval": ("intermission", "break"),
    "changeover": ("change over", "set change"),
}  # fmt: skip
"""What a kind is called as well."""


def _kind(text: str, name: str) -> str:
    if text:
        return one_of(text, [(k, _KIND_WORDS.get(k, ())) for k in KINDS], "kind")
    first = name.lower()
    for kind, signs in (
        ("walk-on", ("walk", "walk-on")),
        ("changeover", ("changeover", "change over")),
        ("interval", ("interval", "intermission", "break")),
        ("talk", ("talk", "speech", "announcement")),
    ):
        if first.startswith(signs):
            return kind
    return "song"
