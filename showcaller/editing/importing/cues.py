"""Cues out of a table: one cue a row, into the item each row names, or into one item."""

from decimal import Decimal
from typing import Any

from pydantic import ValidationError

from showcaller.editing.changes import Change, ChangeError, SetFields, Together
from showcaller.editing.cues import item_at
from showcaller.editing.forms.field import one_of, seconds_of
from showcaller.editing.forms.look_change import parse_look_change
from showcaller.editing.forms.messages import parse_message
from showcaller.editing.forms.of_cue import cue_fields, parse_hazard, parse_needs
from showcaller.editing.importing.cells import Cell, Table
from showcaller.editing.importing.columns import CUE_COLUMNS, Columns, recognise
from showcaller.editing.importing.understood import Remark, Understood, rows_out
from showcaller.editing.importing.values import text_of
from showcaller.editing.lengths import CellError
from showcaller.editing.naming import cue_ids, free_id, number_between, numbers
from showcaller.editing.placing import parse_anchor
from showcaller.model import Cue, Item, Show
from showcaller.model.document import sentences

SEVERAL = " | "
"""Stands between several messages in one cell."""
_AFTER = ("after ", "follow")


def read_cues(show: Show, table: Table, item_id: str | None = None) -> Understood:
    """What a table says as cues of ``show``: in the items its rows name, else all in ``item_id``.

    A row whose id, or whose department and number, is a cue of the show changes that cue; others are new.

    Raises:
        TableError: no column of departments, or of places.
    """
    needed = ["department", "anchor"] + ([] if item_id is not None else ["item"])
    columns = recognise(table, CUE_COLUMNS, needed)
    reader = _Reader(show, columns, item_id)
    rows = [(n, table.rows[n]) for n in range(columns.row + 1, len(table.rows))]
    # Those that follow another cue come second: the one they follow may be further down.
    for later in (False, True):
        for n, row in rows:
            if reader.follows(row) is later:
                reader.row(n, row)
    change, summary = reader.change()
    remarks = [Remark(0, "", table.remark, wrong=False)] if table.remark else []
    return Understood(
        f"cues, sheet '{table.name}'",
        summary + rows_out(reader.remarks),
        columns.said,
        tuple(reader.words),
        (*remarks, *sorted(reader.remarks, key=lambda r: r.row)),
        change,
    )


class _Reader:
    def __init__(self, show: Show, columns: Columns, item_id: str | None) -> None:
        self.words: list[tuple[str, ...]] = []
        self.remarks: list[Remark] = []
        self._show = show
        self._columns = columns
        self._usual = None if item_id is None else item_at(show, item_id)
        self._by_name = {i.name.lower(): i for i in show.items} | {i.id: i for i in show.items}
        self._departments = [(d.id, (d.name, d.letters)) for d in show.departments]
        self._cues = {c.id: (i, c) for i in show.items for c in i.cues}
        self._by_number = {(c.department, c.number): c.id for c in show.all_cues()}
        self._ids = cue_ids(show)
        self._numbers = {d.id: set(numbers(show, d.id)) for d in show.departments}
        self._rows: dict[str, int] = {}
        self._parts: dict[str, list[dict[str, Any]]] = {}
        self._moved: set[str] = set()
        self._new = 0

    def follows(self, row: tuple[Cell, ...]) -> bool:
        """Whether the row's cue follows another."""
        m = self._columns.at["anchor"]
        cell = row[m] if m < len(row) else None
        return isinstance(cell, str) and cell.lower().startswith(_AFTER)

    def row(self, n: int, row: tuple[Cell, ...]) -> None:
        """Read row ``n``, counted from 0."""
        if all(cell in (None, "") for cell in row):
            return
        cells = {key: row[m] if m < len(row) else None for key, m in self._columns.at.items()}
        key = "department"
        try:
            texts = {}
            for key, cell in cells.items():
                texts[key] = text_of(cell)
            key = "item" if "item" in cells else "department"
            item = self._item(texts.get("item", ""))
            key = "department"
            department = one_of(texts["department"], self._departments, "who")
            key = "number" if "number" in cells else "department"
            known = self._known(texts, department)
            part = {} if known is None else known.model_dump(mode="json", exclude_defaults=True)
            part["department"] = department
            if texts.get("number"):
                part["number"] = texts["number"]
            elif known is None:
                part["number"] = str(number_between(None, None, self._numbers[department] | {Decimal(0)}))
            for key in self._columns.at:
                if (
                    known is None
                    or key not in ("look", "messages")
                    or texts[key] != _said(self._show, known, key)
                ):
                    self._field(key, texts[key], part, item)
            part.setdefault("label", "new cue")
            part["id"] = (
                known.id
                if known is not None
                else free_id(texts.get("id") or f"{department}-{part['number']}", self._ids)
            )
            key = "number" if "number" in cells else "department"
            self._check(part, n)
        except (CellError, ChangeError) as error:
            self.remarks.append(Remark(n + 1, self._columns.letter(key), str(error)))
            return
        self._keep(item, known, part)

    def _item(self, name: str) -> Item:
        if not name and self._usual is not None:
            return self._usual
        item = self._by_name.get(name.lower())
        if item is None:
            raise ChangeError(f"there is no item '{name}' in the running order; import that first")
        return item

    def _known(self, texts: dict[str, str], department: str) -> Cue | None:
        if texts.get("id") in self._cues:
            return self._cues[texts["id"]][1]
        if texts.get("id") or not texts.get("number"):
            return None
        try:
            number = Cue.model_validate(_BARE | {"number": texts["number"]}).number
        except ValidationError as error:
            raise ChangeError(sentences(error)[0]) from None
        ident = self._by_number.get((department, number))
        return None if ident is None or ident not in self._cues else self._cues[ident][1]

    def _field(self, key: str, text: str, part: dict[str, Any], item: Item) -> None:
        value: Any
        if key == "anchor":
            part["anchor"] = parse_anchor(text, self._with_new(item), item)
        elif key in ("standby_s", "warning_s"):
            value = seconds_of(text, "this cell") if text else None
            _set(part, key, value)
        elif key == "fires":
            _set(
                part,
                key,
                one_of(
                    text or "called",
                    [("called", ()), ("by itself", ("automatic", "itself", "auto", "follows"))],
                    "fires",
                ),
            )
            if part.get("fires") == "called":
                part.pop("fires")
        elif key == "messages":
            value = [parse_message(self._show, one) for one in text.split(SEVERAL) if one.strip()]
            _set(part, key, value)
        elif key == "look":
            _set(part, key, parse_look_change(self._show, text))
        elif key == "needs":
            _set(part, key, parse_needs(self._show, text))
        elif key == "hazard":
            _set(part, key, parse_hazard(text))
        elif key in ("label", "notes"):
            _set(part, key, text)

    def _with_new(self, item: Item) -> Show:
        """The show with what has been read so far, for cues that follow another."""
        parts = self._parts.get(item.id)
        if not parts:
            return self._show
        cues = tuple(Cue.model_validate(p) for p in parts)
        others = tuple(i for i in self._show.items if i.id != item.id)
        mine = item.model_copy(update={"cues": (*cues, *item.cues)})
        return self._show.model_copy(update={"items": (mine, *others)})

    def _check(self, part: dict[str, Any], n: int) -> None:
        try:
            cue = Cue.model_validate(part)
        except ValidationError as error:
            raise ChangeError(sentences(error)[0]) from None
        if part["id"] in self._rows:
            raise ChangeError(f"this cue is in row {self._rows[part['id']]} already")
        owner = self._by_number.get((cue.department, cue.number))
        if owner is not None and owner != cue.id:
            where = f"row {self._rows[owner]}" if owner in self._rows else "the book"
            name = self._show.department(cue.department).name
            raise ChangeError(f"{name} {cue.number} is in {where} already; give another number")
        self._by_number[cue.department, cue.number] = cue.id
        self._numbers[cue.department].add(cue.number)
        self._ids.add(cue.id)
        self._rows[cue.id] = n + 1

    def _keep(self, item: Item, known: Cue | None, part: dict[str, Any]) -> None:
        if known is not None:
            home = self._cues[known.id][0]
            if home.id != item.id:
                self._moved.add(known.id)
        else:
            self._new += 1
        self._parts.setdefault(item.id, []).append(part)
        name = self._show.department(part["department"]).name
        self.words.append((f"{name} {part['number']}", part["label"], item.name))

    def change(self) -> tuple[Change | None, str]:
        """(what importing does, in a sentence)."""
        total = sum(len(parts) for parts in self._parts.values())
        if not total:
            return None, "no row could be used"
        read = {part["id"]: part for parts in self._parts.values() for part in parts}
        changes: list[Change] = []
        for item in self._show.items:
            mine = {part["id"]: part for part in self._parts.get(item.id, [])}
            cues = [
                mine.pop(c.id) if c.id in mine else c for c in item.cues if c.id not in read or c.id in mine
            ]
            after = [*cues, *sorted(mine.values(), key=lambda p: self._rows[p["id"]])]
            before = list(item.cues)
            if len(after) != len(before) or any(
                isinstance(a, dict) and a != b.model_dump(mode="json", exclude_defaults=True)
                for a, b in zip(after, before, strict=False)
            ):
                data = [
                    a if isinstance(a, dict) else a.model_dump(mode="json", exclude_defaults=True)
                    for a in after
                ]
                changes.append(SetFields(at=("items", item.id), fields={"cues": data}))
        words = f"{total} cues in {len(self._parts)} items: {self._new} new, {total - self._new} known"
        return (Together(changes=tuple(changes)) if changes else None), words


_BARE = {"id": "x", "department": "x", "number": "1", "label": "x", "anchor": {"at": "time", "seconds": 0}}


def _said(show: Show, cue: Cue, key: str) -> str:
    """A field as an export writes it: where it still says so, what words cannot say stays as it is."""
    fields = {f.key: f.text for f in cue_fields(show, cue.id)}
    if key == "messages":
        return SEVERAL.join(text for k, text in fields.items() if k.startswith("message:") and text)
    return fields[key]


def _set(part: dict[str, Any], key: str, value: Any) -> None:
    if value in (None, "", []):
        part.pop(key, None)
    else:
        part[key] = value
