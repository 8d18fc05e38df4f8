"""A message as a line of text: ``desk: /wall/look "gulls wide" 2.0``, ``synth: note 1 60 100``.

The outlet comes first, then what leaves. Whole numbers are OSC's i, numbers with a point its f, words its s
(quoted where they have spaces), ``true`` and ``false`` its T and F; ``d:2.5`` names a type tag.
"""

import re
from typing import Any, cast, get_args

from showcaller.editing.changes import ChangeError
from showcaller.editing.forms.field import one_of
from showcaller.model import (
    Message,
    MidiControl,
    MidiMachineControl,
    MidiNote,
    MidiOutlet,
    MidiProgram,
    MidiShowControl,
    MidiSysex,
    OscMessage,
    Outlet,
    Show,
    TypedArg,
)
from showcaller.model.messages import MscCommandName, MscFormat, OscTag

_WORD = re.compile(r'(?:[A-Za-z]:)?"(?:[^"\\]|\\.)*"|\S+')

OSC_HINT = "/address then arguments: 3 is a whole number, 3.0 a decimal, words in quotes, true, d:2.5"
MIDI_HINT = (
    "note CHANNEL NOTE VELOCITY · control CHANNEL NUMBER VALUE · program CHANNEL NUMBER · "
    "msc go lighting CUE LIST · mmc play · sysex 7E 7F 06 01"
)


def message_hint(show: Show, text: str) -> str:
    """What may be typed, for the outlet that is named so far."""
    head, colon, _ = text.partition(":")
    names = ", ".join(o.name for o in show.outlets)
    if not colon:
        return f"an output, a colon, the message. Outputs: {names or 'none yet; add one to the show first'}"
    try:
        outlet = outlet_named(show, head)
    except ChangeError as error:
        return str(error)
    return MIDI_HINT if isinstance(outlet, MidiOutlet) else OSC_HINT


def outlet_named(show: Show, name: str) -> Outlet:
    """The outlet called so.

    Raises:
        ChangeError: there is none.
    """
    key = one_of(name, [(o.id, (o.name,)) for o in show.outlets], "outlet")
    return next(o for o in show.outlets if o.id == key)


def message_text(show: Show, message: Message) -> str:
    """A message as :func:`parse_message` reads it."""
    name = next(o.name for o in show.outlets if o.id == message.outlet)
    return f"{name}: {_body(message)}"


def _body(message: Message) -> str:
    match message:
        case OscMessage():
            return " ".join([message.address, *(_arg_text(a) for a in message.args)])
        case MidiNote():
            off = "" if message.on else " off"
            return f"note {message.channel} {message.note} {message.velocity}{off}"
        case MidiControl():
            return f"control {message.channel} {message.control} {message.value}"
        case MidiProgram():
            return f"program {message.channel} {message.program}"
        case MidiSysex():
            return f"sysex {message.data}"
        case MidiMachineControl():
            return _joined("mmc", message.command, message.time, _named("device", message.device, 127))
        case MidiShowControl():
            return _joined(
                "msc", message.command, message.format, message.cue, message.list, message.path,
                _named("time", message.time), _named("control", message.control),
                _named("value", message.value), _named("device", message.device, 127),
            )  # fmt: skip


def _joined(*words: str | None) -> str:
    return " ".join(w for w in words if w)


def _named(name: str, value: object, usual: object = None) -> str | None:
    return None if value in (None, usual) else f"{name}={value}"


def _arg_text(arg: Any) -> str:
    if isinstance(arg, TypedArg):
        value = "" if arg.value is None else str(arg.value)
        return f"{arg.tag}:{value if value.isalnum() or not value else _quoted(value)}"
    if isinstance(arg, bool):
        return "true" if arg else "false"
    if isinstance(arg, str):
        plain = arg and all(c.isalnum() or c in "-_./" for c in arg) and _arg(arg) == arg
        return arg if plain else _quoted(arg)
    return repr(arg)


def parse_message(show: Show, text: str) -> dict[str, Any]:
    """The message meant, in the document's form.

    Raises:
        ChangeError: no such outlet, or not a message it can carry.
    """
    head, colon, rest = text.partition(":")
    if not colon or not rest.strip():
        raise ChangeError(f"'{text}' has no colon; give the output, a colon, and the message")
    outlet = outlet_named(show, head)
    if isinstance(outlet, MidiOutlet):
        return {"outlet": outlet.id, **_midi(rest.strip())}
    words = _words(rest)
    if not words[0][0].startswith("/"):
        raise ChangeError(f"'{words[0][0]}' is not an OSC address; it begins with /, as in /wall/look")
    args = [_quoted_arg(word) if quoted else _arg(word) for word, quoted in words[1:]]
    return {"kind": "osc", "outlet": outlet.id, "address": words[0][0], "args": args}


def _words(text: str) -> list[tuple[str, bool]]:
    """Words, each with whether it was quoted."""
    found = [m.group() for m in _WORD.finditer(text)]
    if any(w.startswith('"') and (len(w) < 2 or not w.endswith('"')) for w in found):
        raise ChangeError(f"a quote is not closed in '{text.strip()}'")
    return [(w, w.startswith('"')) for w in found]


def _quoted_arg(word: str) -> str:
    return re.sub(r"\\(.)", r"\1", word[1:-1])


def _quoted(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _arg(word: str) -> Any:
    tag, colon, value = word.partition(":")
    if colon and tag in get_args(OscTag):
        return _typed(tag, value)
    if word.lower() in ("true", "false"):
        return word.lower() == "true"
    for kind in (int, float):
        try:
            number = kind(word)
        except ValueError:
            continue
        return number if number - number == 0 else word  # 'infinity' is a word here
    return word


def _typed(tag: str, value: str) -> dict[str, Any]:
    value = _quoted_arg(value) if value.startswith('"') else value
    if tag in ("i", "h", "f", "d"):
        try:
            number = int(value) if tag in ("i", "h") else float(value)
        except ValueError:
            raise ChangeError(f"'{value}' is not a number for {tag}:") from None
        return {"tag": tag, "value": number}
    return {"tag": tag, "value": value} if tag in ("s", "b") else {"tag": tag}


def _midi(text: str) -> dict[str, Any]:
    kind, *words = text.split()
    kind = kind.lower()
    if kind == "sysex":
        return {"kind": "sysex", "data": " ".join(words)}
    if kind == "note":
        on = not (words and words[-1].lower() == "off")
        a, b, c = _three(text, words if on else words[:-1], ("channel", "note", "velocity"), 100)
        return {"kind": "note", "channel": a, "note": b, "velocity": c, **({} if on else {"on": False})}
    if kind == "control":
        a, b, c = _three(text, words, ("channel", "number", "value"), None)
        return {"kind": "control", "channel": a, "control": b, "value": c}
    if kind == "program":
        a, b, _ = _three(text, [*words, "0"], ("channel", "number", ""), None)
        return {"kind": "program", "channel": a, "program": b}
    named = dict(w.split("=", 1) for w in words if "=" in w)
    plain = [w for w in words if "=" not in w]
    more: dict[str, Any] = {k: v if k == "time" else _whole(v, k) for k, v in named.items()}
    if kind == "mmc":
        command = plain[0] if plain else ""
        return {"kind": "mmc", "command": command, **({"time": plain[1]} if len(plain) > 1 else {}), **more}
    if kind == "msc":
        return {"kind": "msc", **_show_control(plain), **more}
    raise ChangeError(f"'{kind}' is not a MIDI message; type {MIDI_HINT}")


def _show_control(words: list[str]) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for word in words:
        if "command" not in found and word.lower() in get_args(MscCommandName):
            found["command"] = word.lower()
        elif "format" not in found and word.lower() in get_args(MscFormat):
            found["format"] = word.lower()
        else:
            slot = next((s for s in ("cue", "list", "path") if s not in found), None)
            if slot is None:
                raise ChangeError(
                    f"'{word}' is one too many; cue, list and path are all that Show Control has"
                )
            found[slot] = word
    if "command" not in found:
        raise ChangeError(f"Show Control needs a command: {', '.join(get_args(MscCommandName))}")
    return found


def _three(
    text: str, words: list[str], names: tuple[str, str, str], usual: int | None
) -> tuple[int, int, int]:
    if len(words) == 2 and usual is not None:
        words = [*words, str(usual)]
    if len(words) != 3:
        raise ChangeError(f"'{text}' needs {' '.join(n for n in names if n)}, {len(words)} given")
    return cast("tuple[int, int, int]", tuple(_whole(w, n) for w, n in zip(words, names, strict=True)))


def _whole(word: str, name: str) -> int:
    try:
        return int(word)
    except ValueError:
        raise ChangeError(f"{name}: '{word}' is not a whole number") from None
