"""Commands, inputs and events to the journal's JSON and back: the only place that knows their keys.

A value's form is ``{"kind": …, field: value, …}`` with the fields in the order their class has them. What is
read in another form (more fields, fewer, another order) keeps it, and a kind nobody here knows is kept whole,
so that reading and writing a log of any version gives back every byte.
"""

import json
from collections.abc import Callable, Iterable, Mapping
from math import inf, isfinite
from typing import Any, cast, get_args, get_origin

from msgspec import NODEFAULT, defstruct
from msgspec.structs import asdict

from showcaller.run.commands import (
    COMMANDS,
    INPUTS,
    Command,
    CommandError,
    HeardApart,
    Input,
    Recovered,
    Report,
    UnknownInput,
)
from showcaller.run.events import KINDS, Entry, Event, Unknown

_CLASSES: tuple[type[Entry], ...] = (*INPUTS.values(), *KINDS.values())


def _defaults(cls: type[Entry]) -> dict[str, Any]:
    """The fields that may be left out, and what they are then."""
    names, values = cls.__struct_fields__, cls.__struct_defaults__
    found = zip(names[len(names) - len(values) :], values, strict=True)
    return {name: value for name, value in found if value is not NODEFAULT}


_KEYS: Mapping[type, tuple[str, ...]] = {cls: ("kind", *cls.__struct_fields__) for cls in _CLASSES}


class _WhenNeeded(dict[type[Entry], Any]):
    """Made of a class when it is first asked for: most kinds never are, and a desk is loaded sooner."""

    def __init__(self, make: Callable[[type[Entry]], Any]) -> None:
        super().__init__()
        self._make = make

    def __missing__(self, cls: type[Entry]) -> Any:
        made = self[cls] = self._make(cls)
        return made


def _writer(cls: type[Entry]) -> Callable[[Any], dict[str, Any]]:
    """A function written out for the class, twice as fast as a loop on the go path."""
    parts = [f"'kind': '{cls.kind}'"]
    parts += [f"'{name}': value.{name}" for name in cls.__struct_fields__]
    return cast("Callable[[Any], dict[str, Any]]", eval(f"lambda value: {{{', '.join(parts)}}}"))


def _reader(cls: type[Entry]) -> Callable[[Mapping[str, Any]], Entry]:
    """The same the other way round; lists become tuples."""
    parts = [f"{name}={_as_tuple(name, cls.__annotations__[name])}" for name in cls.__struct_fields__]
    code = f"lambda body: cls({', '.join(parts)})"
    return cast("Callable[[Mapping[str, Any]], Entry]", eval(code, {"cls": cls}))


def _as_tuple(name: str, kind: Any) -> str:
    value = f"body['{name}']"
    if get_origin(kind) is not tuple:
        return value
    return f"tuple(map(tuple, {value}))" if get_origin(get_args(kind)[0]) is tuple else f"tuple({value})"


_WRITE: Mapping[type, Callable[[Any], dict[str, Any]]] = _WhenNeeded(_writer)
_READ: Mapping[type, Callable[[Mapping[str, Any]], Entry]] = _WhenNeeded(_reader)
_LEFT_OUT: Mapping[type, tuple[str, ...]] = {
    cls: names
    for cls in KINDS.values()
    if (names := tuple(name for name, value in _defaults(cls).items() if value is None))
}
"""Fields of events that are not written where they are None."""

_PLAIN = frozenset(_CLASSES) - {Report, Recovered, HeardApart, *_LEFT_OUT}
"""Those written as they are, unless they were read in another form; then they are of a class apart."""


def _kept_class(cls: type[Entry]) -> type[Entry]:
    def same(self: Any, other: object) -> bool:
        return isinstance(other, cls) and bool(_WRITE[cls](self) == _WRITE[cls](other))

    def ours(self: Any) -> Entry:
        return cls(**{name: getattr(self, name) for name in cls.__struct_fields__})

    made = defstruct(
        cls.__name__,
        [("kept", Mapping[str, Any])],
        bases=(cls,),
        # As one of ours that is equal: what is looked up by one is found by the other.
        namespace={
            "__eq__": same,
            "__hash__": lambda self: hash(ours(self)),
            "__repr__": lambda self: repr(ours(self)),
        },
        frozen=True,
        kw_only=True,
        eq=False,
    )
    return cast("type[Entry]", made)


def make_ready() -> None:
    """Make now what is else made when a kind is first met: for a process in which a first go may not wait."""
    for cls in _CLASSES:
        _WRITE[cls], _READ[cls]


_KEPT: Mapping[type, type[Entry]] = _WhenNeeded(_kept_class)
"""Classes of what was read in another form than ours; ``kept`` is that form. It makes no value unequal. Such
a value is never changed: ``replace`` would leave it the old form."""

_NEEDED: Mapping[type, frozenset[str]] = {
    cls: frozenset(cls.__struct_fields__) - _defaults(cls).keys() for cls in _CLASSES
}

_ENCODER = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), check_circular=False)
_MAKE: Any = vars(json.encoder)["c_make_encoder"]
_MADE_ONCE = _MAKE and _MAKE(
    None, _ENCODER.default, json.encoder.encode_basestring, None, ":", ",", False, False, True
)
"""What the library's encoder makes anew for every text, a tenth of the time of a short one."""


def to_json(value: Any) -> str:
    """Compact JSON."""
    return "".join(_MADE_ONCE(value, 0)) if _MADE_ONCE else _ENCODER.encode(value)


def event_dict(event: Event) -> Mapping[str, Any]:
    """The journal's form of an event."""
    cls = type(event)
    return _WRITE[cls](event) if cls in _PLAIN else _other(event)


def input_dict(value: Input) -> Mapping[str, Any]:
    """The journal's form of an input."""
    cls = type(value)
    return _WRITE[cls](value) if cls in _PLAIN else _other(value)


def _other(value: Event | Input) -> Mapping[str, Any]:
    kept: Mapping[str, Any] | None = getattr(value, "kept", None)
    if kept is not None:
        return kept
    match value:
        case Unknown() | UnknownInput():
            return value.body
        case Report():
            return {"kind": "report", "event": event_dict(value.event)}
        case Recovered(heard=tuple() as heard) | HeardApart(heard=tuple() as heard):
            records = [[t_ns, [event_dict(e) for e in events]] for t_ns, events in heard]
            return {**_WRITE[type(value)](value), "heard": {"records": records}}
    plain = _WRITE[type(value)](value)
    return {k: v for k, v in plain.items() if v is not None or k not in _LEFT_OUT.get(type(value), ())}


def event_from(body: Mapping[str, Any]) -> Event:
    """The event a journal's form describes; an unknown one where its kind, or all it needs, is not."""
    kind = body.get("kind")
    cls = KINDS.get(kind) if isinstance(kind, str) else None
    if cls is not None and tuple(body) == _KEYS[cls]:
        return cast("Event", _READ[cls](body))
    if cls is None or not _NEEDED[cls] <= body.keys():
        return Unknown(str(kind), body)
    return cast("Event", _of_another_version(cls, body))


def input_from(body: Mapping[str, Any]) -> Input:
    """The input a journal's form describes, taken as it is: it was checked before it was written."""
    kind = body.get("kind")
    cls = INPUTS.get(kind) if isinstance(kind, str) else None
    if cls is not None and tuple(body) == _KEYS[cls]:
        return cast("Input", _made(cls, body))
    if cls is None or not _NEEDED[cls] <= body.keys():
        return UnknownInput(str(kind), body)
    return cast("Input", _of_another_version(cls, body))


def _made(cls: type[Entry], body: Mapping[str, Any]) -> Entry:
    if cls is Report:
        body = {**body, "event": event_from(body["event"])}
    elif cls in (Recovered, HeardApart) and body.get("heard") is not None:
        body = {**body, "heard": _heard(body["heard"]["records"])}
    return _READ[cls](body)


def _of_another_version(cls: type[Entry], body: Mapping[str, Any]) -> Entry:
    """One with more fields, or in another order, or without some that have come since."""
    made = _made(cls, {**_defaults(cls), **body})
    if _other(cast("Event | Input", made)) == body and list(_other(cast("Event | Input", made))) == list(
        body
    ):
        return made  # only without what is left out
    return _KEPT[cls](**asdict(made), kept=body)


def _heard(
    records: Iterable[tuple[int, Iterable[Mapping[str, Any]]]],
) -> tuple[tuple[int, tuple[Event, ...]], ...]:
    return tuple((t_ns, tuple(event_from(e) for e in events)) for t_ns, events in records)


def command_from(data: Mapping[str, Any]) -> Command:
    """The command a desk's request describes.

    Raises:
        CommandError: unknown kind, a field too many, one missing, or one of the wrong type.
    """
    kind = data.get("kind")
    cls = COMMANDS.get(kind) if isinstance(kind, str) else None
    if cls is None:
        raise CommandError(f"no command {kind!r}; there are {', '.join(COMMANDS)}")
    names = _TYPES[cls]
    given: dict[str, Any] = {}
    for name, value in data.items():
        if name == "kind":
            continue
        if name not in names:
            raise CommandError(f"{kind} has no field '{name}'; it has {', '.join(names) or 'none'}")
        given[name] = _checked(f"{kind}: {name}", names[name], value)
    missing = [name for name in cls.__struct_fields__ if name in _NEEDED[cls] and name not in given]
    if missing:
        raise CommandError(f"{kind} needs {', '.join(missing)}")
    return cast("Command", cls(**given))


_TYPES: Mapping[type, Mapping[str, str]] = {
    cls: {
        name: "Mapping | None" if kind == Mapping[str, Any] | None else str(getattr(kind, "__name__", kind))
        for name in cls.__struct_fields__
        for kind in [cls.__annotations__[name]]
    }
    for cls in COMMANDS.values()
}
"""Per command: field → its type as it is written in its class, a mapping without what is in it."""


def _checked(what: str, annotation: str, value: Any) -> Any:
    """A field's value, a number as the kind of number it is meant to be."""
    if annotation.endswith(" | None") and value is None:
        return None
    match annotation.removesuffix(" | None"):
        case "tuple":
            if not isinstance(value, list | tuple) or not all(isinstance(v, str) for v in value):
                raise CommandError(f"{what} must be a list of texts, not {value!r}")
            return tuple(_text(what, v) for v in value)
        case "str" if isinstance(value, str):
            return _text(what, value)
        case "bool" if isinstance(value, bool):
            return value
        case "int" if isinstance(value, int) and not isinstance(value, bool):
            return value
        case "float" if isinstance(value, int | float) and not isinstance(value, bool):
            return _finite(what, value)
        case "Mapping" if isinstance(value, Mapping):
            return value
    raise CommandError(f"{what} must be {annotation}, not {value!r}")


def _text(what: str, value: str) -> str:
    if not value.isascii():
        try:
            value.encode()
        except UnicodeEncodeError:
            raise CommandError(f"{what} holds half a character, which cannot be kept") from None
    return value


def _finite(what: str, value: float) -> float:
    try:
        number = float(value)
    except OverflowError:
        number = inf
    if not isfinite(number):
        raise CommandError(f"{what} must be a finite number, not {number:g}")
    return number
