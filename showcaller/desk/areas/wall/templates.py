"""Templates of what a look sends: as they are typed, and back. No Qt."""

import shlex
from typing import Any

from showcaller.editing import ChangeError
from showcaller.editing.naming import free_id
from showcaller.model import LookSend, Show

SEND_HINT = (
    "output, layer and input (or layer, look, camera), px (or unit): /{input}/{layer} {x} {y} {width:i} …   "
    "fields: look source surface input layer n x y width height crop_x crop_y crop_width crop_height "
    "opacity turn beats seconds by; of a camera: camera number tally"
)

_PER = ("layer and input", "layer", "look", "camera")


def send_text(send: LookSend) -> str:
    """A template as it is typed."""
    args = " ".join(_argument_text(a) for a in send.args)
    return f"{send.outlet}, {send.per}, {send.numbers}: {send.address} {args}".strip()


def _argument_text(argument: bool | float | str) -> str:
    if isinstance(argument, bool):
        return "true" if argument else "false"
    if isinstance(argument, str):
        return shlex.quote(argument) if not argument.startswith("{") or " " in argument else argument
    return str(argument)


def send_from(show: Show, text: str, ident: str | None) -> dict[str, Any]:
    """A template's fields from a typed line; ``ident`` keeps the one that is changed.

    Raises:
        ChangeError: something is missing.
    """
    head, colon, rest = text.partition(":")
    words = [w.strip() for w in head.split(",") if w.strip()]
    try:
        parts = shlex.split(rest)
    except ValueError:
        raise ChangeError(f"template: a quotation mark is not closed in '{rest.strip()[:40]}'") from None
    outputs = ", ".join(o.id for o in show.outlets) or "none yet: make one in the Book's set-up"
    if not words:
        raise ChangeError(f"template: its output comes first; there is {outputs}. Type {SEND_HINT}")
    if not colon or not parts:
        raise ChangeError(
            f"template: a colon and an address are missing after '{head.strip()[:40]}'; type {SEND_HINT}"
        )
    taken = {s.id for s in show.sends}
    name = ident or (words[0] if words[0] not in taken else free_id(words[0], taken))
    fields: dict[str, Any] = {"id": name, "outlet": words[0], "per": "layer and input", "numbers": "unit"}
    for word in words[1:]:
        if word not in _PER and word not in ("px", "unit"):
            raise ChangeError(
                f"template: before the colon may stand {', '.join(_PER)}, and px or unit; not '{word[:30]}'"
            )
        fields["numbers" if word in ("px", "unit") else "per"] = word
    return {**fields, "address": parts[0], "args": [_argument(p) for p in parts[1:]]}


def _argument(text: str) -> bool | int | float | str:
    if text in ("true", "false"):
        return text == "true"
    for kind in (int, float):
        try:
            return kind(text)
        except ValueError:
            continue
    return text
