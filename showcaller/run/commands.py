"""What can be asked of a run, and what else moves it. Each input is one small frozen value.

A :data:`Command` is what a desk may send; the other inputs come from the engine's own loop. Every input that
changes something or is refused goes into the journal, in the form :mod:`showcaller.run.codec` gives it. A
field that is added needs a default, so that older logs are read.

Long, because it is a table, like that of the events: what a desk may ask is read side by side.
"""

from collections.abc import Mapping
from typing import Any, ClassVar, Literal, get_args

from showcaller.run.events import Entry, Event
from showcaller.values import Struct


class CommandError(ValueError):
    """A command that cannot be understood; the text is one sentence for the person who sent it."""


class Start(Entry, frozen=True):
    """Open the run. ``simulated`` is the seed of a simulated caller, None for a person."""

    kind: ClassVar[Literal["start"]] = "start"
    caller: str = ""
    muted: bool = False
    simulated: int | None = None
    digest: str = ""
    desk: str = ""
    """The desk that opens it has the calls; empty for none (a run without a window)."""


class Standby(Entry, frozen=True):
    """A warning or standby line has been said."""

    kind: ClassVar[Literal["standby"]] = "standby"
    line: str
    cues: tuple[str, ...]
    what: str = "standby"


class Unsay(Entry, frozen=True):
    """A line was not called after all; ``cues`` (none for a warning) are no longer standing by for it."""

    kind: ClassVar[Literal["unsay"]] = "unsay"
    line: str
    cues: tuple[str, ...] = ()


class Answer(Entry, frozen=True):
    """Departments have answered their standby; empty means all that were asked."""

    kind: ClassVar[Literal["answer"]] = "answer"
    departments: tuple[str, ...] = ()


class StandBy(Entry, frozen=True):
    """A department has answered its standby for itself, from its own page; ``who`` is the position and the
    name of the person there. It never answers for another."""

    kind: ClassVar[Literal["stand_by"]] = "stand_by"
    department: str
    who: str


class Go(Entry, frozen=True):
    """Fire the go with this id. Refused when the place has moved on, so that it can never fire two."""

    kind: ClassVar[Literal["go"]] = "go"
    go: str
    confirmed: bool = False
    """The second, deliberate key that a hazardous cue needs."""
    shown_ns: int | None = None
    """Since when the desk that gives it had been showing it as next; None where nobody saw it (a remote)."""


class Hold(Entry, frozen=True):
    """Stop the item's clock; nothing fires until resumed."""

    kind: ClassVar[Literal["hold"]] = "hold"
    reason: str = ""


class Resume(Entry, frozen=True):
    """Go on from a hold, the rest of the item shifted by its length; or ``as_if`` it had never been held, the
    clock where it would be now (a slip of the finger, with the band playing on)."""

    kind: ClassVar[Literal["resume"]] = "resume"
    as_if: bool = False


class Skip(Entry, frozen=True):
    """Leave out the next go (if it starts an item: the whole item). ``go`` must be the next."""

    kind: ClassVar[Literal["skip"]] = "skip"
    go: str


class Jump(Entry, frozen=True):
    """Take up the place at an item's start, or at a cue in it.

    With ``cue_up`` a jump back inside the item that is on stops its clock, and the next go starts it there;
    without it the clock is not touched. (Runs of 0.1 knew the first only.)
    """

    kind: ClassVar[Literal["jump"]] = "jump"
    item: str
    cue: str | None = None
    cue_up: bool = True


class Locate(Entry, frozen=True):
    """In a rehearsal: the item's clock runs on from ``at_s`` (s into it), whatever it showed. From cue to
    cue."""

    kind: ClassVar[Literal["locate"]] = "locate"
    item: str
    at_s: float


class Back(Entry, frozen=True):
    """Take back the last go. What was sent is not unsent."""

    kind: ClassVar[Literal["back"]] = "back"


class WriteNote(Entry, frozen=True):
    """Words for afterwards, stamped with the place; ``to`` is a department's id, empty for everyone.

    ``about`` marks an incident: injury, near miss or damage; empty for a plain note. ``ago_s`` is how long
    ago its key was pressed: that is its moment, not the end of the typing.
    """

    kind: ClassVar[Literal["note"]] = "note"
    text: str
    to: str = ""
    about: str = ""
    ago_s: float = 0.0


class OpenIncident(Entry, frozen=True):
    """The key of an incident was pressed, at the desk of ``by``: this is its moment. ``incident`` is an id of
    the desk's making; the words come with :class:`WriteIncident`."""

    kind: ClassVar[Literal["open_incident"]] = "open_incident"
    incident: str
    by: str = ""


class WriteIncident(Entry, frozen=True):
    """Words to an incident: fields (:data:`showcaller.run.incidents.FIELDS`) as they are from now on."""

    kind: ClassVar[Literal["write_incident"]] = "write_incident"
    incident: str
    fields: Mapping[str, Any]
    by: str = ""


class TakeOver(Entry, frozen=True):
    """Fire by hand, now, a cue that would fire by itself."""

    kind: ClassVar[Literal["take"]] = "take"
    cue: str


class Wrong(Entry, frozen=True):
    """The last go was a wrong one; for the record."""

    kind: ClassVar[Literal["wrong"]] = "wrong"


class Resend(Entry, frozen=True):
    """Send the messages of these cues again, so that devices are where the place is."""

    kind: ClassVar[Literal["resend"]] = "resend"
    cues: tuple[str, ...]


class Insert(Entry, frozen=True):
    """An item that is not in the plan begins: a talk, an encore; it lasts until the next item begins."""

    kind: ClassVar[Literal["insert"]] = "insert"
    name: str


class MarkWalkStep(Entry, frozen=True):
    """A step of a walk-on has happened.

    ``checked`` refuses a leg whose clearances are not there, unless somebody entitled (``by``) lets them pass
    and says why; logs of 0.1 did not check.
    """

    kind: ClassVar[Literal["walk"]] = "walk"
    item: str
    step: str
    checked: bool = False
    by: str = ""
    reason: str = ""


class StopWalk(Entry, frozen=True):
    """A step of a walk-on was asked for and its leg is not clear: they wait before it. For the record."""

    kind: ClassVar[Literal["stop_walk"]] = "stop_walk"
    item: str
    step: str
    by: str = ""


class UnmarkWalkStep(Entry, frozen=True):
    """A step of a walk-on has not happened after all."""

    kind: ClassVar[Literal["unwalk"]] = "unwalk"
    item: str
    step: str


class Handover(Entry, frozen=True):
    """Another caller takes the desk."""

    kind: ClassVar[Literal["handover"]] = "handover"
    to: str


class AskForCalls(Entry, frozen=True):
    """A desk (its id) that watches asks for the calls, for the person ``caller``."""

    kind: ClassVar[Literal["ask_calls"]] = "ask_calls"
    desk: str
    caller: str


class GiveCalls(Entry, frozen=True):
    """The desk with the calls hands them to the one that asked."""

    kind: ClassVar[Literal["give_calls"]] = "give_calls"
    desk: str


class TakeCalls(Entry, frozen=True):
    """A desk takes the calls without being handed them.

    ``gone`` is the engine's word that the desk which had them is not heard from; otherwise a ``reason``.
    """

    kind: ClassVar[Literal["take_calls"]] = "take_calls"
    desk: str
    caller: str
    reason: str = ""
    gone: bool = False


class NotCalling(Entry, frozen=True):
    """A command (its kind) came from a desk that does not have the calls, or from a ``seat`` on another
    machine that has no right to it: refused, whatever it was."""

    kind: ClassVar[Literal["not_calling"]] = "not_calling"
    command: str
    desk: str
    seat: str = ""


class Clear(Entry, frozen=True):
    """A clearance is given (or withdrawn), with its reading if it has one."""

    kind: ClassVar[Literal["clear"]] = "clear"
    clearance: str
    ok: bool
    value: float | None = None
    by: str = ""


class OverrideClearance(Entry, frozen=True):
    """The person entitled to lets a go pass without a clearance, and says why."""

    kind: ClassVar[Literal["override"]] = "override"
    clearance: str
    reason: str
    by: str


class Mute(Entry, frozen=True):
    """Mute or unmute one outlet, or all."""

    kind: ClassVar[Literal["mute"]] = "mute"
    muted: bool
    outlet: str | None = None


class Resync(Entry, frozen=True):
    """Put the song's clock right: "this is bar 33 now", or with ``downbeat`` on the nearest downbeat."""

    kind: ClassVar[Literal["resync"]] = "resync"
    bar: int | None = None
    beat: int = 1
    downbeat: bool = False
    undo: bool = False
    """Take back the last shift made by hand in this item."""


class PlaySection(Entry, frozen=True):
    """What is played next: ``again`` (this section once more), ``vamp`` (until the word to go on), ``cut``
    (without the next section), ``on`` (as if none of these had been said; out of a vamp at its end)."""

    kind: ClassVar[Literal["form"]] = "form"
    what: str


class Follow(Entry, frozen=True):
    """Let clocks follow timecode, or take over by hand."""

    kind: ClassVar[Literal["follow"]] = "follow"
    on: bool


class TimecodeAnswer(Entry, frozen=True):
    """Timecode has jumped far: go there, or carry on as if it had not."""

    kind: ClassVar[Literal["timecode_answer"]] = "timecode_answer"
    take: bool


class PutLook(Entry, frozen=True):
    """Put a look of the show on the wall now, whatever the plan has there.

    ``played`` has what is otherwise than in the look (:data:`showcaller.screen.played.Played`), None for
    nothing.
    """

    kind: ClassVar[Literal["look"]] = "look"
    look: str
    by: str = "cut"
    beats: float = 0.0
    played: Mapping[str, Any] | None = None


class PlayLayer(Entry, frozen=True):
    """Change a layer of the look that stands, now: its fields (:data:`showcaller.screen.played.PLAYABLE`).

    ``layer`` is what it goes by; ``number`` that of the look it was seen in (``RunState.on_wall``), so that a
    hand that is late never moves a layer of the look that has come meanwhile.
    """

    kind: ClassVar[Literal["play_layer"]] = "play_layer"
    layer: str
    fields: Mapping[str, Any]
    number: int


class BackToPlan(Entry, frozen=True):
    """Put the last planned look on the wall again, without what was played or put up by hand since."""

    kind: ClassVar[Literal["to_plan"]] = "to_plan"
    by: str = "cut"
    beats: float = 0.0


class Fault(Entry, frozen=True):
    """Panels of a surface, the first if none is named, are dead (or dim, or flicker), or have been mended;
    counted from 1, left and top."""

    kind: ClassVar[Literal["fault"]] = "fault"
    column: int
    row: int
    columns: int = 1
    rows: int = 1
    what: str = "dead"
    mended: bool = False
    words: str = ""
    surface: str | None = None


class AnnounceDelay(Entry, frozen=True):
    """What comes next was announced not to begin before ``for_s`` from now; 0 if it is not so any more."""

    kind: ClassVar[Literal["delay"]] = "delay"
    for_s: float
    by: str = ""


class MarkMoment(Entry, frozen=True):
    """A moment of the evening that is no item's: the ``last note``, or the ``house lights``; ``undo`` if it
    was pressed by mistake."""

    kind: ClassVar[Literal["moment"]] = "moment"
    what: str
    undo: bool = False


class ChangeTonight(Entry, frozen=True):
    """Change the show that is on: items and looks, nothing that has fired.

    ``change`` is one of :mod:`showcaller.editing.changes` in its JSON, ``words`` what it is for people,
    ``by`` who made it. ``cannot`` is the engine's word on messages that cannot be sent.
    """

    kind: ClassVar[Literal["change"]] = "change"
    change: Mapping[str, Any]
    words: str
    by: str = ""
    cannot: str = ""


class OpenPage(Entry, frozen=True):
    """A page that is read aloud is opened, by a person named ``by``; its clock begins."""

    kind: ClassVar[Literal["open_page"]] = "open_page"
    page: str
    by: str = ""


class ClosePage(Entry, frozen=True):
    """That page is done with."""

    kind: ClassVar[Literal["close_page"]] = "close_page"
    page: str
    by: str = ""


class TickLine(Entry, frozen=True):
    """A line of an open page (counted from 1) has been said, or done."""

    kind: ClassVar[Literal["tick_line"]] = "tick_line"
    page: str
    line: int
    by: str = ""


class UntickLine(Entry, frozen=True):
    """It has not been after all."""

    kind: ClassVar[Literal["untick_line"]] = "untick_line"
    page: str
    line: int
    by: str = ""


class End(Entry, frozen=True):
    """End the run."""

    kind: ClassVar[Literal["end"]] = "end"
    why: str = ""


class Tick(Entry, frozen=True):
    """Time has come for something that fires by itself."""

    kind: ClassVar[Literal["tick"]] = "tick"


class Recovered(Entry, frozen=True):
    """The engine is back after ``gap_ns`` without one.

    ``missing`` records of the log are nowhere; ``heard`` has what the whole ones behind them tell, each with
    its instant (ns), None if there are none; ``why`` says what is wrong with the log, if anything is.
    ``doubts`` names what was fired and is not known to have left: cue and outlet, a line feed between them.
    """

    kind: ClassVar[Literal["recovered"]] = "recovered"
    gap_ns: int
    rebooted: bool = False
    missing: int = 0
    heard: tuple[tuple[int, tuple[Event, ...]], ...] | None = None
    why: str = ""
    doubts: tuple[str, ...] = ()


class RaiseTerm(Entry, frozen=True):
    """This engine, on ``machine``, takes the run over in the term ``term``; ``by`` says who wanted it.
    ``planned``: the engine before has told all it did and fires nothing more."""

    kind: ClassVar[Literal["raise_term"]] = "raise_term"
    term: int
    machine: str
    by: str = ""
    planned: bool = False


class HigherTerm(Entry, frozen=True):
    """Another machine's engine has taken the run over in a higher term."""

    kind: ClassVar[Literal["higher_term"]] = "higher_term"
    term: int
    machine: str


class HeardApart(Entry, frozen=True):
    """What an engine of the earlier term ``term``, on ``machine``, did while this one did not hear it: the
    records that are in its log alone, each its instant (ns) and events."""

    kind: ClassVar[Literal["heard_apart"]] = "heard_apart"
    term: int
    machine: str
    heard: tuple[tuple[int, tuple[Event, ...]], ...] | None = None


class Settle(Entry, frozen=True):
    """A cue that was fired and is not known to have left: send its messages now, or leave it."""

    kind: ClassVar[Literal["settle"]] = "settle"
    cue: str
    send: bool


class Timecode(Entry, frozen=True):
    """Timecode behaves differently from now on, or its place has moved.

    ``mode`` is one of the chase's; ``zero_ns`` the instant at which the code showed midnight, while it can be
    told; ``words`` one sentence.
    """

    kind: ClassVar[Literal["timecode"]] = "timecode"
    mode: str
    zero_ns: int | None = None
    words: str = ""


class Report(Entry, frozen=True):
    """An outlet's word on what became of a cue's messages, or on itself. Changes no place."""

    kind: ClassVar[Literal["report"]] = "report"
    event: Event


class UnknownInput(Struct, frozen=True):
    """An input of a kind that a later version added; ``body`` is all of it, ``kind`` included."""

    kind: str
    body: Mapping[str, Any]


Command = (
    Start
    | Standby
    | Answer
    | StandBy
    | Go
    | Hold
    | Resume
    | Skip
    | Jump
    | Locate
    | Back
    | WriteNote
    | OpenIncident
    | WriteIncident
    | Clear
    | OverrideClearance
    | Mute
    | TakeOver
    | Wrong
    | Resend
    | Insert
    | MarkWalkStep
    | StopWalk
    | UnmarkWalkStep
    | Handover
    | AskForCalls
    | GiveCalls
    | TakeCalls
    | Resync
    | PlaySection
    | Follow
    | TimecodeAnswer
    | PutLook
    | PlayLayer
    | BackToPlan
    | Fault
    | Settle
    | Unsay
    | ChangeTonight
    | MarkMoment
    | AnnounceDelay
    | OpenPage
    | ClosePage
    | TickLine
    | UntickLine
    | End
)
"""What a desk may send."""

Input = (
    Command
    | NotCalling
    | Tick
    | Recovered
    | RaiseTerm
    | HigherTerm
    | HeardApart
    | Report
    | Timecode
    | UnknownInput
)

COMMANDS: Mapping[str, type[Entry]] = {kind.kind: kind for kind in get_args(Command)}

INPUTS: Mapping[str, type[Entry]] = {
    **COMMANDS,
    **{
        kind.kind: kind
        for kind in (NotCalling, Tick, Recovered, RaiseTerm, HigherTerm, HeardApart, Report, Timecode)
    },
}
"""The journal's name of every kind."""
