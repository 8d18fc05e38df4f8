"""JSON as RFC 8259 means it to be used: no name twice in an object (section 4), no NaN, no infinity."""

import json
from typing import Any


class Twice(ValueError):  # noqa: N818 - it reads as what it is
    """A name that stands twice in an object; the text is its path."""


class _Object(dict[str, Any]):
    """An object with a name in it twice."""

    twice: str


def loads(text: str) -> Any:
    """The value in a JSON text.

    Raises:
        json.JSONDecodeError: not JSON.
        Twice: an object has a name twice: Python would keep the last and lose the others without a word.
        ValueError: a number that JSON does not know.
        RecursionError: nested too deeply.
    """
    met: list[_Object] = []

    def made(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) == len(pairs):
            return found
        met.append(_Object(found))
        names = [name for name, _ in pairs]
        met[-1].twice = next(name for n, name in enumerate(names) if name in names[:n])
        return met[-1]

    found = json.loads(text, parse_constant=_no_constant, object_pairs_hook=made)
    if met:  # one may stand where another took its place, and has no path of its own
        raise Twice(_twice_in(found) or met[0].twice)
    return found


def _twice_in(found: Any) -> str | None:
    """The path of the first name that stands twice."""
    waiting: list[tuple[str, Any]] = [("", found)]
    while waiting:
        path, value = waiting.pop()
        if isinstance(value, _Object):
            return f"{path}.{value.twice}" if path else value.twice
        if isinstance(value, dict):
            waiting += [(f"{path}.{k}" if path else k, v) for k, v in reversed(value.items())]
        elif isinstance(value, list):
            waiting += [(f"{path}[{n}]", v) for n, v in reversed(list(enumerate(value)))]
    return None


def _no_constant(text: str) -> None:
    """JSON has no NaN and no infinity, though Python reads them; as a limit they would let anything pass."""
    raise ValueError(f"{text} is not a number that JSON knows; give a finite one")
