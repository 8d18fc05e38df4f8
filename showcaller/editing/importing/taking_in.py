"""A file of somebody else's, understood by a process of its own: whatever is in it, this one goes on."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from showcaller.editing.importing.understood import FileError, Understood
from showcaller.model import Show, parse_show, show_text
from showcaller.outside import Limits, Refused, Stopped, Within
from showcaller.outside.asking import ask
from showcaller.outside.limits import Tell

LIMITS = Limits()

_FOUND = TypeAdapter(tuple[Understood, ...])


def understand_outside(
    show: Show,
    path: Path,
    item_id: str,
    seen: Tell = lambda _what, _done, _of: None,
    stop: Callable[[], bool] = lambda: False,
    limits: Limits = LIMITS,
) -> tuple[Understood, ...]:
    """As :func:`showcaller.editing.importing.files.understand`, in a process of its own.

    It waits for that process; call it on a thread that nobody waits for.

    Raises:
        FileError: nothing in it can be used, or it exceeds a limit.
        Stopped: ``stop`` said so.
    """
    reader = "showcaller.editing.importing.taking_in:read"
    args = (show_text(show), str(path), item_id)
    try:
        found = ask(reader, *args, name=path.name, limits=limits, seen=seen, stop=stop)
        return _FOUND.validate_python(found)
    except Stopped:
        raise
    except Refused as error:
        raise FileError(str(error)) from None
    except ValidationError:  # what reads strangers' files is not trusted either
        raise FileError(
            f"{path.name} was read, but what came of it makes no sense; nothing was changed"
        ) from None


def read(within: Within, text: str, path: str, item_id: str) -> Any:
    """The child's part."""
    from showcaller.editing.importing.files import understand  # noqa: PLC0415 - only the child needs it

    try:
        found = understand(parse_show(text), Path(path), item_id, within)
    except FileError as error:
        raise Refused(str(error)) from None
    return _FOUND.dump_python(found, mode="json")
