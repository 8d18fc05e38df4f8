"""What can be asked of a run, and what else moves it. Each input is one small frozen value.

``COMMANDS`` is what a desk may send; the other inputs come from the engine's own loop. Every input that
changes something or is refused goes into the journal as the dictionary :func:`to_dict` makes.
"""

from collections.abc import Mapping
from dataclasses import MISSING, dataclass, fields
from math import inf, isfinite
from typing import Any


class CommandError(ValueError):
    """A command that cannot be understood; the text is one sentence for the person who sent it."""


@dataclass(frozen=True, slots=True)
class Start:
    """Open the run. ``simulated`` is the seed of a simulated caller, None for a person."""

    caller: str = ""
    muted: bool = False
    simulated: int | None = None
    digest: str = ""


@dataclass(frozen=True, slots=True)
class Standby:
    """A warning or standby line has been said."""

    line: str
    cues: tuple[str, ...]
    what: str = "standby"


@dataclass(frozen=True, slots=True)
class Answer:
    """Departments have answered their standby; empty means all that were asked."""

    departments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Go:
    """Fire the go with this id. Refused when the place has moved on, so that it can never fire two."""

    go: str
    confirmed: bool = False
    """The second, deliberate key that a hazardous cue needs."""


@dataclass(frozen=True, slots=True)
class Hold:
    """Stop the item's clock; nothing fires until resumed."""

    reason: str = ""


@dataclass(frozen=True, slots=True)
class Resume:
    """Go on from a hold, the rest of the item shifted by its length."""


@dataclass(frozen=True, slots=True)
class Skip:
    """Leave out the next go (if it starts an item: the whole item). ``go`` must be the next."""

    go: str


@dataclass(frozen=True, slots=True)
class Jump:
    """Take up the place at an item's start, or at a cue in it."""

    item: str
    cue: str | None = None


@dataclass(frozen=True, slots=True)
class Back:
    """Take back the last go. What was sent is not unsent."""


@dataclass(frozen=True, slots=True)
class Note:
    """Words for afterwards, stamped with the place; ``to`` is a department's id, empty for everyone.

    ``about`` marks an incident: injury, near miss or damage; empty for a plain note.
    """

    text: str
    to: str = ""
    about: str = ""


@dataclass(frozen=True, slots=True)
class Take:
    """Fire by hand, now, a cue that would fire by itself."""

    cue: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """The last go was a wrong one; for the record."""


@dataclass(frozen=True, slots=True)
class Resend:
    """Send the messages of these cues again, so that devices are where the place is."""

    cues: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Insert:
    """An item that is not in the plan begins: a talk, an encore; it lasts until the next item begins."""

    name: str


@dataclass(frozen=True, slots=True)
class Walk:
    """A step of a walk-on has happened."""

    item: str
    step: str


@dataclass(frozen=True, slots=True)
class Handover:
    """Another caller takes the desk."""

    to: str


@dataclass(frozen=True, slots=True)
class Clear:
    """A clearance is given (or withdrawn), with its reading if it has one."""

    clearance: str
    ok: bool
    value: float | None = None
    by: str = ""


@dataclass(frozen=True, slots=True)
class Override:
    """The person entitled to lets a go pass without a clearance, and says why."""

    clearance: str
    reason: str
    by: str


@dataclass(frozen=True, slots=True)
class Mute:
    """Mute or unmute one outlet, or all."""

    muted: bool
    outlet: str | None = None


@dataclass(frozen=True, slots=True)
class Resync:
    """Put the song's clock right: "this is bar 33 now", or with ``downbeat`` on the nearest downbeat."""

    bar: int | None = None
    beat: int = 1
    downbeat: bool = False


@dataclass(frozen=True, slots=True)
class Follow:
    """Let clocks follow timecode, or take over by hand."""

    on: bool


@dataclass(frozen=True, slots=True)
class TimecodeAnswer:
    """Timecode has jumped far: go there, or carry on as if it had not."""

    take: bool


@dataclass(frozen=True, slots=True)
class Look:
    """Put a look of the show on the wall now, whatever the plan has there."""

    look: str
    by: str = "cut"
    beats: float = 0.0


@dataclass(frozen=True, slots=True)
class Fault:
    """Panels of the wall are dead (or dim, or flicker), or have been mended; counted from 1, left and top."""

    column: int
    row: int
    columns: int = 1
    rows: int = 1
    what: str = "dead"
    mended: bool = False
    words: str = ""


@dataclass(frozen=True, slots=True)
class End:
    """End the run."""

    why: str = ""


@dataclass(frozen=True, slots=True)
class Tick:
    """Time has come for something that fires by itself."""


@dataclass(frozen=True, slots=True)
class Recovered:
    """The engine is back after ``gap_ns`` without one.

    ``missing`` records of the log are nowhere; ``heard`` has what the whole ones behind them tell
    (``{"records": [[t_ns, events], …]}``); ``why`` says what is wrong with the log, if anything is.
    ``doubts`` names what was fired and is not known to have left: cue and outlet, a line feed between them.
    """

    gap_ns: int
    rebooted: bool = False
    missing: int = 0
    heard: Mapping[str, Any] | None = None
    why: str = ""
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Settle:
    """A cue that was fired and is not known to have left: send its messages now, or leave it."""

    cue: str
    send: bool


@dataclass(frozen=True, slots=True)
class Timecode:
    """Timecode behaves differently from now on, or its place has moved.

    ``mode`` is one of the chase's; ``zero_ns`` the instant at which the code showed midnight, while it can be
    told; ``words`` one sentence.
    """

    mode: str
    zero_ns: int | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Report:
    """An outlet's word on what became of a cue's messages, or on itself. Changes no place."""

    event: Mapping[str, Any]


Input = (
    Start | Standby | Answer | Go | Hold | Resume | Skip | Jump | Back | Note | Clear | Override | Mute
    | Look | Fault | Take | Wrong | Resend | Insert | Walk | Handover | Resync | Follow | TimecodeAnswer
    | Settle | End | Tick | Recovered | Report | Timecode
)  # fmt: skip

COMMANDS: Mapping[str, type] = {
    "start": Start, "standby": Standby, "answer": Answer, "go": Go, "hold": Hold, "resume": Resume,
    "skip": Skip, "jump": Jump, "back": Back, "note": Note, "clear": Clear, "override": Override,
    "mute": Mute, "take": Take, "wrong": Wrong, "resend": Resend, "insert": Insert, "walk": Walk,
    "handover": Handover, "resync": Resync, "follow": Follow, "timecode_answer": TimecodeAnswer, "look": Look,
    "fault": Fault, "settle": Settle, "end": End,
}  # fmt: skip

_INPUTS: Mapping[str, type] = {
    **COMMANDS, "tick": Tick, "recovered": Recovered, "report": Report, "timecode": Timecode,
}  # fmt: skip
_NAMES = {kind: name for name, kind in _INPUTS.items()}
_FIELDS: Mapping[type, Mapping[str, str]] = {
    cls: {f.name: str(getattr(f.type, "__name__", f.type)) for f in fields(cls)} for cls in _INPUTS.values()
}
"""Per input: field → its type as it is written above."""


def name_of(value: Input) -> str:
    """The input's name, as in ``COMMANDS``."""
    return _NAMES[type(value)]


def to_dict(value: Input) -> dict[str, Any]:
    """The journal's form."""
    cls = type(value)
    return {"kind": _NAMES[cls], **{name: getattr(value, name) for name in _FIELDS[cls]}}


def from_dict(data: Mapping[str, Any], commands_only: bool = False) -> Input:
    """The input a dictionary describes.

    Raises:
        CommandError: unknown kind, a field too many, one missing, or one of the wrong type.
    """
    kind = data.get("kind")
    known = COMMANDS if commands_only else _INPUTS
    cls = known.get(kind) if isinstance(kind, str) else None
    if cls is None:
        raise CommandError(f"no command {kind!r}; there are {', '.join(known)}")
    names = _FIELDS[cls]
    given: dict[str, Any] = {}
    for name, value in data.items():
        if name == "kind":
            continue
        if name not in names:
            raise CommandError(f"{kind} has no field '{name}'; it has {', '.join(names) or 'none'}")
        given[name] = _checked(f"{kind}: {name}", names[name], value)
    try:
        result: Input = cls(**given)
    except TypeError:
        missing = [f.name for f in fields(cls) if f.name not in given and f.default is MISSING]
        raise CommandError(f"{kind} needs {', '.join(missing)}") from None
    return result


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
