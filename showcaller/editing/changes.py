"""Edits as values: ``apply(show, change)`` gives the changed show and the change that takes it back.

A change says where by a path of field names, ids and places: ``("items", "iron-gulls", "cues", "lx-61")`` or
``("looks", "wide", "layers", 0)``. What it carries is plain JSON in the document's own form, so that a change
can be written to a log and read again.
"""

from collections.abc import Mapping
from typing import Annotated, Any, Literal, cast, get_args

from pydantic import Field, TypeAdapter, ValidationError

from showcaller.model import Show
from showcaller.model.base import Part
from showcaller.model.document import sentences
from showcaller.model.references import holds, reference_errors
from showcaller.model.upgrading import with_surfaces

Path = tuple[str | int, ...]
"""Field names, and after the name of a list an id or a place in it; empty for the show itself."""


class ChangeError(ValueError):
    """A change that cannot be made; one sentence. The show is as it was."""


class SetFields(Part):
    """Give some fields of the part at ``at`` new values."""

    do: Literal["set"] = "set"
    at: Path
    fields: dict[str, Any]


class Put(Part):
    """Put a part into the list at ``at``, before the one that is at ``index`` now."""

    do: Literal["put"] = "put"
    at: Path
    index: Annotated[int, Field(ge=0)]
    part: dict[str, Any]


class Take(Part):
    """Take the part with this id, or at this place, out of the list at ``at``."""

    do: Literal["take"] = "take"
    at: Path
    key: str | int


class Move(Part):
    """Move the part with this id, or at this place, so that it ends up at ``index`` of the same list."""

    do: Literal["move"] = "move"
    at: Path
    key: str | int
    index: Annotated[int, Field(ge=0)]


class Together(Part):
    """Several changes as one: all of them or none. References need hold only after the last."""

    do: Literal["together"] = "together"
    changes: tuple["Change", ...]


Change = Annotated[SetFields | Put | Take | Move | Together, Field(discriminator="do")]

Together.model_rebuild()


_CHANGE: TypeAdapter[Change] = TypeAdapter(Change)


def change_from(body: Mapping[str, Any]) -> Change:
    """The change that a log has.

    Raises:
        ChangeError: it is none.
    """
    try:
        return _as_now(_CHANGE.validate_python(body))
    except ValidationError:
        raise ChangeError("that is not a change of a show; make it again in the Book") from None


def _as_now(change: Change) -> Change:
    """A change that was made when a show had one wall: that is the first surface now."""
    if isinstance(change, Together):
        return Together(changes=tuple(_as_now(one) for one in change.changes))
    if isinstance(change, SetFields) and not change.at and "wall" in change.fields:
        return SetFields(at=(), fields=with_surfaces(change.fields))
    if change.at[:1] == ("wall",):
        return change.model_copy(update={"at": ("surfaces", 0, *change.at[1:])})
    return change


def apply(show: Show, change: Change) -> tuple[Show, Change]:
    """(the changed show, the change that gives back ``show``). What did not change stays the same object.

    Raises:
        ChangeError: there is no such place, a value does not fit its field, or a reference would not hold.
    """
    changed, inverse = _apply(show, change)
    if not holds(changed):
        path, sentence = next(iter(reference_errors(changed)))
        raise ChangeError(f"{path}: {sentence}")
    return changed, inverse


def _apply(show: Show, change: Change) -> tuple[Show, Change]:
    match change:
        case Together():
            inverses: list[Change] = []
            for one in change.changes:
                show, inverse = _apply(show, one)
                inverses.append(inverse)
            return show, Together(changes=tuple(reversed(inverses)))
        case SetFields():
            part = part_at(show, change.at)
            unknown = next((name for name in change.fields if name not in type(part).model_fields), None)
            if unknown is not None:
                raise ChangeError(f"{_words(change.at)} has no field '{unknown}'")
            before = part.model_dump(mode="json", include=set(change.fields))
            after = _validated(part, change.fields, change.at)
            return _rebuilt(show, change.at, after), SetFields(at=change.at, fields=before)
        case Put():
            parts = _list_at(show, change.at)
            index = min(change.index, len(parts))
            new = _new_part(show, change.at, change.part)
            more = (*parts[:index], new, *parts[index:])
            return _with_list(show, change.at, more), Take(at=change.at, key=_key(more, index))
        case Take():
            parts = _list_at(show, change.at)
            index = _place(parts, change.key, change.at)
            was = stored(parts[index])
            less = parts[:index] + parts[index + 1 :]
            return _with_list(show, change.at, less), Put(at=change.at, index=index, part=was)
        case Move():
            parts = _list_at(show, change.at)
            index = _place(parts, change.key, change.at)
            rest = parts[:index] + parts[index + 1 :]
            to = min(change.index, len(rest))
            moved = (*rest[:to], parts[index], *rest[to:])
            return _with_list(show, change.at, moved), Move(at=change.at, key=_key(moved, to), index=index)


def is_made(show: Show, change: Change) -> bool:
    """Whether a show has a change already: what it puts in is there, whatever has become of it; what it takes
    out is not; all else is as the change would have it."""
    try:
        match change:
            case Together():
                return all(is_made(show, one) for one in change.changes) or apply(show, change)[0] == show
            case Put() if change.part.get("id") is not None:
                return change.part["id"] in _ids_at(show, change.at)
            case Take() if isinstance(change.key, str):
                return change.key not in _ids_at(show, change.at)
            case _:
                return apply(show, change)[0] == show
    except ChangeError:
        return False


def is_overtaken(change: Change, later: Change) -> bool:
    """Whether a later change says anew all that this one says."""
    match change, later:
        case SetFields(), SetFields():
            return change.at == later.at and change.fields.keys() <= later.fields.keys()
        case Move(), Move():
            return change.at == later.at and change.key == later.key
        case Put() | Take(), Put() | Take():
            return change.at == later.at and _ident(change) is not None and _ident(change) == _ident(later)
        case _:
            return False


def _ident(change: Put | Take) -> str | None:
    found = change.part.get("id") if isinstance(change, Put) else change.key
    return found if isinstance(found, str) else None


def _ids_at(show: Show, path: Path) -> list[str | None]:
    return [getattr(part, "id", None) for part in _list_at(show, path)]


def _key(parts: tuple[Any, ...], index: int) -> str | int:
    """What a part of a list goes by: its id, so that it is found also where the list has become another."""
    ident = getattr(parts[index], "id", None)
    alone = ident is not None and sum(getattr(part, "id", None) == ident for part in parts) == 1
    return ident if alone and ident is not None else index


def stored(part: Part) -> dict[str, Any]:
    """A part in the document's own form, as :class:`Put` carries it: what is as usual is left out."""
    return part.model_dump(mode="json", exclude_defaults=True)


def part_at(show: Show, path: Path) -> Part:
    """The part at a path.

    Raises:
        ChangeError: there is none.
    """
    found = _found(show, path)
    if not isinstance(found, Part):
        raise ChangeError(f"there is no {_words(path)} in this show")
    return found


def _found(show: Show, path: Path) -> Any:
    """What stands at a path: a part, a list of parts, or a value."""
    found: Any = show
    for n, step in enumerate(path):
        if isinstance(found, tuple):
            found = found[_place(found, step, path[:n])]
        elif isinstance(found, Part) and step in type(found).model_fields:
            found = getattr(found, str(step))
        else:
            raise ChangeError(f"there is no {_words(path[: n + 1])} in this show")
    return found


def _list_at(show: Show, path: Path) -> tuple[Any, ...]:
    parent = part_at(show, path[:-1])
    name = path[-1] if path else ""
    found = getattr(parent, str(name), None) if name in type(parent).model_fields else None
    if not isinstance(found, tuple):
        raise ChangeError(f"{_words(path)} is not a list")
    return found


def _place(parts: tuple[Any, ...], key: str | int, path: Path) -> int:
    if isinstance(key, int):
        if 0 <= key < len(parts):
            return key
    else:
        for n, part in enumerate(parts):
            if getattr(part, "id", None) == key:
                return n
    raise ChangeError(
        f"there is no '{key}' in {_words(path)}; it may have been removed; undo, or choose another"
    )


def _rebuilt(show: Show, path: Path, part: Part) -> Show:
    """The show with the part at ``path`` replaced, and all above it made anew around it."""
    while path:
        step, path = path[-1], path[:-1]
        parts = _found(show, path)
        if isinstance(parts, tuple):
            index = _place(parts, step, path)
            value: Any = (*parts[:index], part, *parts[index + 1 :])
            step, path = path[-1], path[:-1]
        else:
            value = part
        # What is above did not change and was checked before; references are looked at once, at the end.
        part = part_at(show, path).model_copy(update={str(step): value})
    return cast("Show", part)


def _with_list(show: Show, path: Path, parts: tuple[Any, ...]) -> Show:
    parent = part_at(show, path[:-1])
    return _rebuilt(show, path[:-1], _validated(parent, {str(path[-1]): parts}, path[:-1]))


def _validated(part: Part, fields: dict[str, Any], path: Path) -> Part:
    """The part with these fields replaced, checked; a show's references are left for the end."""
    if isinstance(part, Show):
        checked: dict[str, Any] = {}
        for name, value in fields.items():
            try:
                checked[name] = _field_adapter(Show, name).validate_python(value)
            except ValidationError as error:
                raise ChangeError(_sentence((name,), error)) from None
        return part.model_copy(update=checked)
    try:
        return cast("Part", part.changed(**fields))
    except ValidationError as error:
        raise ChangeError(_sentence(path, error)) from None


_adapters: dict[tuple[type[Part], str, bool], TypeAdapter[Any]] = {}


def _field_adapter(model: type[Part], name: str, element: bool = False) -> TypeAdapter[Any]:
    """Checks a field's value, or one element of a field that is a list."""
    key = (model, name, element)
    if key not in _adapters:
        info = model.model_fields[name]
        kind: Any = get_args(info.annotation)[0] if element else Annotated[info.annotation, info]
        _adapters[key] = TypeAdapter(kind)
    return _adapters[key]


def _new_part(show: Show, path: Path, part: dict[str, Any]) -> Part:
    parent = part_at(show, path[:-1])
    try:
        new = _field_adapter(type(parent), str(path[-1]), element=True).validate_python(part)
    except ValidationError as error:
        raise ChangeError(_sentence(path, error)) from None
    return cast("Part", new)


def _sentence(path: Path, error: ValidationError) -> str:
    return f"{_words(path)} {sentences(error)[0].removeprefix('the document')}".replace(" : ", ": ")


def _words(path: Path) -> str:
    return " ".join(str(step) for step in path) or "the show"
