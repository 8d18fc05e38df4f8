"""A running order out of a table: one item a row."""

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from pydantic import TypeAdapter, ValidationError

from showcaller.editing.changes import Change, ChangeError, Move, Put, SetFields, Take, Together
from showcaller.editing.forms.field import one_of, seconds_of, yes_or_no
from showcaller.editing.forms.of_item import parse_meters, parse_sections, parse_tempo
from showcaller.editing.importing.cells import Cell, Table, letter
from showcaller.editing.importing.columns import ITEM_COLUMNS, Columns, recognise
from showcaller.editing.importing.understood import UNTOUCHED, Remark, Understood
from showcaller.editing.importing.values import CellError, length_of_cell, text_of
from showcaller.editing.naming import free_id
from showcaller.editing.placing import clock_text
from showcaller.editing.running_order import KINDS, USUAL_LENGTH_S
from showcaller.model import Item, Show
from showcaller.model.document import sentences
from showcaller.model.quantities import to_json

_ITEM: TypeAdapter[Any] = TypeAdapter(Item)
_LENGTHS = ("length_s", "shortest_s", "longest_s")
_SONGS_ONLY = ("tempo", "meters", "sections", "downbeat_s", "timecode_start", "reference")


def read_running_order(show: Show, table: Table) -> Understood:
    """What a table says as the running order of ``show``.

    A row whose id or name is an item of the show changes that item; others are new. The order is the table's.
    Items that are not in it stay in the book, after the others, out tonight.

    Raises:
        TableError: no column of names.
    """
    columns = recognise(table, ITEM_COLUMNS, ["name"])
    reader = _Reader(show, columns)
    for n in range(columns.row + 1, len(table.rows)):
        reader.row(n, table.rows[n])
    change, summary = _change(show, reader.parts)
    remarks = [Remark(0, "", table.remark, wrong=False)] if table.remark else []
    return Understood(
        f"running order, sheet '{table.name}'",
        summary,
        columns.said,
        tuple(reader.words),
        (*remarks, *reader.remarks),
        change,
    )


class _Reader:
    """Reads rows one by one, keeping what is good and a sentence on what is not."""

    def __init__(self, show: Show, columns: Columns) -> None:
        self.parts: list[dict[str, Any]] = []
        self.words: list[tuple[str, ...]] = []
        self.remarks: list[Remark] = []
        self._show = show
        self._columns = columns
        self._taken = {item.id for item in show.items}
        self._used: dict[str, int] = {}

    def row(self, n: int, row: tuple[Cell, ...]) -> None:
        """Read row ``n``, counted from 0."""
        cells = {key: row[m] if m < len(row) else None for key, m in self._columns.at.items()}
        if all(cell in (None, "") for cell in row):
            return
        try:
            part = self._part(n, cells)
        except _WrongCellError as error:
            key = error.key if error.key in self._columns.at else "name"
            self.remarks.append(Remark(n + 1, self._columns.letter(key), str(error)))
            return
        self.parts.append(part)
        self.words.append((part["name"], part["kind"], clock_text(Fraction(str(part["length_s"])))))

    def _part(self, n: int, cells: dict[str, Cell]) -> dict[str, Any]:
        name = self._get("name", cells, text_of)
        if not name:
            filled = ", ".join(letter(self._columns.at[k]) for k, c in cells.items() if c not in (None, ""))
            raise _at(
                "name",
                CellError(f"has no name, though {filled or 'another column'} is filled; the row is left out"),
            )
        known = self._known(cells, name)
        part: dict[str, Any] = {} if known is None else _dump(known)
        kind = self._get("kind", cells, text_of)
        if kind or "kind" not in part:
            part["kind"] = _keyed("kind", lambda: _kind(kind, name))
        part["name"] = name
        part["id"] = known.id if known is not None else self._new_id(cells, name)
        for key in self._columns.at:
            if key in ("id", "name", "kind") or (key in _SONGS_ONLY and part["kind"] != "song"):
                continue
            self._field(n, key, cells[key], part)
        if "length_s" not in part:
            part["length_s"] = USUAL_LENGTH_S[part["kind"]]
            column = self._columns.letter("length_s" if "length_s" in self._columns.at else "name")
            usual = clock_text(Fraction(part["length_s"]))
            self.remarks.append(
                Remark(n + 1, column, f"'{name}' has no length; {usual} until you know", False)
            )
        try:
            _ITEM.validate_python(part)
        except ValidationError as error:
            raise _at("name", CellError(f"'{name}': {sentences(error)[0]}")) from None
        self._used[part["id"]] = n + 1
        self._taken.add(part["id"])
        return part

    def _known(self, cells: dict[str, Cell], name: str) -> Item | None:
        wanted = self._get("id", cells, text_of) if "id" in cells else ""
        for item in self._show.items:
            if item.id in self._used:
                continue  # a name may come twice: two talks are two items
            if (wanted and item.id == wanted) or (not wanted and item.name.lower() == name.lower()):
                return item
        return None

    def _new_id(self, cells: dict[str, Cell], name: str) -> str:
        wanted = self._get("id", cells, text_of) if "id" in cells else ""
        return free_id(wanted or name, self._taken)

    def _field(self, n: int, key: str, cell: Cell, part: dict[str, Any]) -> None:
        if key in _LENGTHS:
            if cell in (None, ""):
                if key != "length_s":
                    part.pop(key, None)
                return
            seconds, doubt = _keyed(key, lambda: length_of_cell(cell))
            part[key] = to_json(seconds)
            if doubt:
                self.remarks.append(
                    Remark(n + 1, self._columns.letter(key), f"'{part['name']}': {doubt}", False)
                )
            return
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


def _kind(text: str, name: str) -> str:
    if text:
        return one_of(text, [(k, ()) for k in KINDS], "kind")
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


def _change(show: Show, parts: list[dict[str, Any]]) -> tuple[Change | None, str]:
    if not parts:
        return None, "no row could be used"
    names = {part["name"].lower(): part["id"] for part in parts} | {i.name.lower(): i.id for i in show.items}
    for part in parts:
        if isinstance(part.get("instead_of"), str):
            wanted = part["instead_of"]
            part["instead_of"] = names.get(wanted.lower(), wanted)
    ids = {part["id"] for part in parts}
    left = [item for item in show.items if item.id not in ids]
    unused = [item for item in left if item.name == UNTOUCHED and not item.cues]
    stay = [item for item in left if item not in unused]
    known = {item.id: item for item in show.items}
    changes: list[Change] = [
        Put(at=("items",), index=len(show.items) + n, part=part)
        for n, part in enumerate(part for part in parts if part["id"] not in known)
    ]
    changed = 0
    for part in parts:
        item = known.get(part["id"])
        if item is None:
            continue
        if item.kind != part["kind"]:
            changes += [
                Take(at=("items",), key=item.id),
                Put(at=("items",), index=len(show.items), part=part),
            ]
            changed += 1
            continue
        before = _dump(item)
        fields = {k: part.get(k, _default(item, k)) for k in {*before, *part} if before.get(k) != part.get(k)}
        if fields:
            changes.append(SetFields(at=("items", item.id), fields=fields))
            changed += 1
    changes += [Take(at=("items",), key=item.id) for item in unused]
    changes += [SetFields(at=("items", item.id), fields={"out": True}) for item in stay if not item.out]
    order = [part["id"] for part in parts] + [item.id for item in stay]
    changes += [Move(at=("items",), key=item, index=n) for n, item in enumerate(order)]
    new = len(parts) - len(ids & known.keys())
    total = sum((Fraction(str(part["length_s"])) for part in parts if not part.get("out")), Fraction(0))
    words = [f"{new} new", f"{changed} changed"] + (
        [f"{len(stay)} not in the file stay, out tonight"] if stay else []
    )
    return Together(changes=tuple(changes)), f"{len(parts)} items, {_hours(total)} in all: {', '.join(words)}"


def _hours(seconds: Fraction) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02d}:{rest:02d}" if hours else f"{minutes}:{rest:02d}"


def _default(item: Item, key: str) -> Any:
    field = type(item).model_fields[key]
    return field.get_default(call_default_factory=True)


def _dump(part: Any) -> dict[str, Any]:
    data: dict[str, Any] = part.model_dump(mode="json", exclude_defaults=True)
    return data
