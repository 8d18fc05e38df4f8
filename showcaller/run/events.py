"""What happened in a run, in plain facts: each kind of event is one frozen value.

Times ending in ``_s`` are seconds into the item. The journal's form of an event is a small dictionary whose
keys are ``kind`` and the fields in the order they have here (:mod:`showcaller.run.codec`). A field that is
added to a kind needs a default, so that older logs are read; one whose default is None is left out of the
journal where it is None.

Long, because it is a table: kinds read side by side are found sooner than in a folder of small files.
"""

from collections.abc import Callable, Mapping
from typing import Any, ClassVar, Literal, get_args

from showcaller.values import Struct

FiredBy = Literal["go", "itself", "hand"]
ChangeBy = Literal["cut", "mix", "move", "wipe"]
TimecodeWhat = Literal[
    "waiting", "locked", "freewheeling", "holding", "reversing", "moved", "followed", "stands", "asks",
    "by hand", "taken", "ignored", "on", "off",
]  # fmt: skip

LEFT_OUT = "skipped"
"""Why a cue is skipped that its caller left out; any other reason is one of the machine's sentences."""


class Entry(Struct, frozen=True):
    """What the journal has of a step: an input or an event. ``kind`` is its name there."""

    kind: ClassVar[str]


class RunStarted(Entry, frozen=True, kw_only=True):
    """The run was opened. ``digest`` is the SHA-256 of the show document; ``simulated`` the seed of a
    simulated caller, None for a person.
    """

    kind: ClassVar[Literal["run_started"]] = "run_started"
    show: str
    digest: str
    muted: bool
    caller: str
    simulated: int | None
    desk: str | None = None


class ItemStarted(Entry, frozen=True, kw_only=True):
    """An item's clock began, at ``at_s`` (not 0 if it was picked up midway)."""

    kind: ClassVar[Literal["item_started"]] = "item_started"
    item: str
    at_s: float
    planned_start_s: float


class ItemEnded(Entry, frozen=True, kw_only=True):
    """An item is over; ``length_s`` is on its own clock, so without holds."""

    kind: ClassVar[Literal["item_ended"]] = "item_ended"
    item: str
    length_s: float
    planned_s: float


class ItemSkipped(Entry, frozen=True, kw_only=True):
    """An item was left out."""

    kind: ClassVar[Literal["item_skipped"]] = "item_skipped"
    item: str


class LineSaid(Entry, frozen=True, kw_only=True):
    """A line was said: a warning or a standby."""

    kind: ClassVar[Literal["said"]] = "said"
    what: str
    item: str
    line: str
    cues: tuple[str, ...]


class LineUnsaid(Entry, frozen=True, kw_only=True):
    """A line that was said is to be said again; ``cues`` stood by for it and no longer do."""

    kind: ClassVar[Literal["unsaid"]] = "unsaid"
    line: str
    cues: tuple[str, ...]


class Answered(Entry, frozen=True, kw_only=True):
    """Departments answered their standby."""

    kind: ClassVar[Literal["answered"]] = "answered"
    departments: tuple[str, ...]
    cues: tuple[str, ...]
    who: str | None = None
    """Position and person, where a department answered for itself; None where the caller keyed it."""


class Fired(Entry, frozen=True, kw_only=True):
    """A cue fired. ``by``: go, itself (it is automatic), hand."""

    kind: ClassVar[Literal["fired"]] = "fired"
    item: str
    cue: str
    go: str | None
    planned_s: float
    actual_s: float
    by: FiredBy


class WentUnanswered(Entry, frozen=True, kw_only=True):
    """A go was given without these departments' answer."""

    kind: ClassVar[Literal["unanswered"]] = "unanswered"
    departments: tuple[str, ...]
    cues: tuple[str, ...]


class MarkedWrong(Entry, frozen=True, kw_only=True):
    """The caller says that this go was a wrong one."""

    kind: ClassVar[Literal["wrong"]] = "wrong"
    item: str
    go: str
    cues: tuple[str, ...]


class Resent(Entry, frozen=True, kw_only=True):
    """The messages of cues were sent once more; nothing was fired."""

    kind: ClassVar[Literal["resent"]] = "resent"
    cues: tuple[str, ...]


class UnplannedStarted(Entry, frozen=True, kw_only=True):
    """An item that is not in the plan was slipped in."""

    kind: ClassVar[Literal["unplanned_started"]] = "unplanned_started"
    name: str


class UnplannedEnded(Entry, frozen=True, kw_only=True):
    """It is over."""

    kind: ClassVar[Literal["unplanned_ended"]] = "unplanned_ended"
    name: str
    length_s: float


class WalkStep(Entry, frozen=True, kw_only=True):
    """A step of a walk-on; ``at_s`` is None while the walk-on is not on."""

    kind: ClassVar[Literal["walk"]] = "walk"
    item: str
    step: str
    at_s: float | None


class WalkStopped(Entry, frozen=True, kw_only=True):
    """A leg was asked for and is not clear: ``missing`` has each clearance that is not there. They wait."""

    kind: ClassVar[Literal["walk_stopped"]] = "walk_stopped"
    item: str
    step: str
    missing: tuple[str, ...]
    by: str = ""


class HandedOver(Entry, frozen=True, kw_only=True):
    """Another caller has taken the desk."""

    kind: ClassVar[Literal["handed_over"]] = "handed_over"
    from_caller: str
    to_caller: str


class WalkStepUndone(Entry, frozen=True, kw_only=True):
    """A step of a walk-on was marked by mistake."""

    kind: ClassVar[Literal["unwalked"]] = "unwalked"
    item: str
    step: str


class CallsAsked(Entry, frozen=True, kw_only=True):
    """A desk that watches would have the calls."""

    kind: ClassVar[Literal["calls_asked"]] = "calls_asked"
    desk: str
    caller: str


class CallsWith(Entry, frozen=True, kw_only=True):
    """Another desk has the calls from now on; ``why`` they changed hands."""

    kind: ClassVar[Literal["calls_with"]] = "calls_with"
    desk: str
    caller: str
    from_desk: str
    from_caller: str
    why: str


class DeskJoined(Entry, frozen=True, kw_only=True):
    """A desk is heard from; ``name`` is for people."""

    kind: ClassVar[Literal["desk_joined"]] = "desk_joined"
    desk: str
    name: str


class DeskLeft(Entry, frozen=True, kw_only=True):
    """A desk is not heard from any more."""

    kind: ClassVar[Literal["desk_left"]] = "desk_left"
    desk: str
    name: str


class Skipped(Entry, frozen=True, kw_only=True):
    """A cue will not fire. ``why`` is for people; ``left_out`` tells one that its caller left out."""

    kind: ClassVar[Literal["skipped"]] = "skipped"
    item: str
    cue: str
    why: str


class Missed(Entry, frozen=True, kw_only=True):
    """An automatic cue did not fire; ``late_s`` is how late it was found, None if its time never came."""

    kind: ClassVar[Literal["missed"]] = "missed"
    item: str
    cue: str
    planned_s: float
    late_s: float | None
    why: str


class TakenBack(Entry, frozen=True, kw_only=True):
    """Cues that had fired are to come again."""

    kind: ClassVar[Literal["taken_back"]] = "taken_back"
    item: str
    cues: tuple[str, ...]


class Held(Entry, frozen=True, kw_only=True):
    """The show is held."""

    kind: ClassVar[Literal["held"]] = "held"
    reason: str
    item: str
    at_s: float | None


class HoldReason(Entry, frozen=True, kw_only=True):
    """Why, given after the hold began."""

    kind: ClassVar[Literal["hold_reason"]] = "hold_reason"
    reason: str


class Resumed(Entry, frozen=True, kw_only=True):
    """It goes on."""

    kind: ClassVar[Literal["resumed"]] = "resumed"
    held_s: float
    reason: str
    shifted: bool | None = None
    """False where the clock went on as if never held."""


class Jumped(Entry, frozen=True, kw_only=True):
    """The place was moved."""

    kind: ClassVar[Literal["jumped"]] = "jumped"
    from_item: str
    to_item: str
    cue: str | None


class NoteTaken(Entry, frozen=True, kw_only=True):
    """Words for afterwards; ``about`` is injury, near miss or damage, else empty. ``ago_s`` is how long
    before its record its moment was; the place is that moment's."""

    kind: ClassVar[Literal["note"]] = "note"
    text: str
    to: str
    item: str
    at_s: float | None
    bar: int | None
    beat: int | None
    cue: str | None
    about: str = ""
    ago_s: float | None = None


class IncidentOpened(Entry, frozen=True, kw_only=True):
    """The key of an incident was pressed; place and cue are those of that moment."""

    kind: ClassVar[Literal["incident_opened"]] = "incident_opened"
    incident: str
    by: str
    item: str
    at_s: float | None
    bar: int | None
    beat: int | None
    cue: str | None


class IncidentWritten(Entry, frozen=True, kw_only=True):
    """Fields of an incident as they are from here on."""

    kind: ClassVar[Literal["incident"]] = "incident"
    incident: str
    fields: Mapping[str, Any]
    by: str


class LookShown(Entry, frozen=True, kw_only=True):
    """A look came on the wall, by a cue or (``cue`` is None) by hand. ``layers`` from the back, as
    composed: all that is not as usual. ``to_plan`` is True where a hand went back to the planned one.
    """

    kind: ClassVar[Literal["look"]] = "look"
    item: str
    cue: str | None
    at_s: float | None
    look: str
    by: ChangeBy
    beats: float
    over_s: float
    ease: str
    layers: tuple[Mapping[str, Any], ...]
    to_plan: bool | None = None


class LayerPlayed(Entry, frozen=True, kw_only=True):
    """A hand changed ``fields`` of a layer (what it goes by) of the look that stands. It stays so until
    another look comes."""

    kind: ClassVar[Literal["layer_played"]] = "layer_played"
    item: str
    at_s: float | None
    bar: int | None
    beat: int | None
    look: str
    layer: str
    fields: Mapping[str, Any]


class FaultMarked(Entry, frozen=True, kw_only=True):
    """Panels ((column, row), from 1) of a surface (its id; None: the first) are faulty, or were mended."""

    kind: ClassVar[Literal["fault"]] = "fault"
    panels: tuple[tuple[int, int], ...]
    what: str
    mended: bool
    words: str = ""
    item: str
    at_s: float | None
    bar: int | None
    surface: str | None = None


class Cleared(Entry, frozen=True, kw_only=True):
    """A clearance was given or withdrawn."""

    kind: ClassVar[Literal["cleared"]] = "cleared"
    clearance: str
    ok: bool
    value: float | None
    by: str


class Overridden(Entry, frozen=True, kw_only=True):
    """A clearance was passed over."""

    kind: ClassVar[Literal["overridden"]] = "overridden"
    clearance: str
    reason: str
    by: str


class CommandRefused(Entry, frozen=True, kw_only=True):
    """A command was refused."""

    kind: ClassVar[Literal["refused"]] = "refused"
    command: str
    why: str


class Muted(Entry, frozen=True, kw_only=True):
    """An outlet, or all (None), was muted or unmuted."""

    kind: ClassVar[Literal["muted"]] = "muted"
    outlet: str | None
    muted: bool


class MessagesSent(Entry, frozen=True, kw_only=True):
    """A cue's messages left, so late after the instant it was due."""

    kind: ClassVar[Literal["sent"]] = "sent"
    outlet: str
    cue: str
    late_ms: float
    messages: int


class MessagesFailed(Entry, frozen=True, kw_only=True):
    """A cue's messages did not leave."""

    kind: ClassVar[Literal["failed"]] = "failed"
    outlet: str
    cue: str
    why: str


class OutletState(Entry, frozen=True, kw_only=True):
    """An outlet opened or closed; back again it tells for how long it was away."""

    kind: ClassVar[Literal["outlet"]] = "outlet"
    outlet: str
    state: str
    why: str
    away_s: float | None = None
    attempts: int | None = None
    unsent: int | None = None


class RemoteAsked(Entry, frozen=True, kw_only=True):
    """A remote asked (``what`` is empty for a packet that asks for nothing); ``why`` is None if it was
    done.
    """

    kind: ClassVar[Literal["remote"]] = "remote"
    what: str
    source: str
    why: str | None


class CueReported(Entry, frozen=True, kw_only=True):
    """A department's desk has told that a cue happened there. ``at_ns`` is when that came in, on the run's
    clock; ``cue`` is None for a number that the show does not have."""

    kind: ClassVar[Literal["cue_reported"]] = "cue_reported"
    department: str
    cue: str | None
    number: str
    source: str
    at_ns: int


class ReportsHeard(Entry, frozen=True, kw_only=True):
    """How it stands with the place where a department's desk is heard. ``state``: open, closed, unread."""

    kind: ClassVar[Literal["reports_heard"]] = "reports_heard"
    department: str
    state: str
    source: str
    why: str


class EngineBack(Entry, frozen=True, kw_only=True):
    """The engine is back; ``last_cues`` fired just before: look whether they arrived."""

    kind: ClassVar[Literal["recovered"]] = "recovered"
    gap_s: float
    last_cues: tuple[str, ...]


class LogGap(Entry, frozen=True, kw_only=True):
    """Records of the log are nowhere; 0 if their number cannot be told."""

    kind: ClassVar[Literal["gap"]] = "gap"
    missing: int
    why: str


class CuesDoubtful(Entry, frozen=True, kw_only=True):
    """Cues that fired and are not known to have left."""

    kind: ClassVar[Literal["doubtful"]] = "doubtful"
    cues: tuple[str, ...]


class DoubtSettled(Entry, frozen=True, kw_only=True):
    """A doubt was settled: the messages left after all, or it was left."""

    kind: ClassVar[Literal["settled"]] = "settled"
    cue: str
    sent: bool


class TermRaised(Entry, frozen=True, kw_only=True):
    """A machine took the run over, by somebody's hand; ``planned``: the one before had let go of it. Before
    the first such word a run is in term 0."""

    kind: ClassVar[Literal["term_raised"]] = "term_raised"
    term: int
    machine: str
    by: str
    planned: bool


class OutputsHeld(Entry, frozen=True, kw_only=True):
    """An engine heard that another machine has taken over in this term: from here on nothing leaves it."""

    kind: ClassVar[Literal["outputs_held"]] = "outputs_held"
    term: int
    machine: str


class ApartHeard(Entry, frozen=True, kw_only=True):
    """An engine of an earlier term was heard again, and so many ``records`` of its log were not known here:
    ``cues`` it fired unseen, which are in doubt; ``twice``: those that were fired here as well."""

    kind: ClassVar[Literal["apart_heard"]] = "apart_heard"
    term: int
    machine: str
    records: int
    cues: tuple[str, ...]
    twice: tuple[str, ...]


class JournalState(Entry, frozen=True, kw_only=True):
    """How the log is kept: behind, kept, damaged, written anew, mended."""

    kind: ClassVar[Literal["journal"]] = "journal"
    state: str
    why: str


class EngineStalled(Entry, frozen=True, kw_only=True):
    """Nothing of this engine ran for so long."""

    kind: ClassVar[Literal["stalled"]] = "stalled"
    for_s: float
    why: str


class WallClockSet(Entry, frozen=True, kw_only=True):
    """The time of day was set by so much; nothing fires by it."""

    kind: ClassVar[Literal["wall_clock"]] = "wall_clock"
    shift_s: float


class TimecodeTold(Entry, frozen=True, kw_only=True):
    """What timecode does, or what was done about it. ``code`` is hh:mm:ss:ff; ``shift_s`` moved the item's
    clock.
    """

    kind: ClassVar[Literal["timecode"]] = "timecode"
    what: TimecodeWhat
    code: str | None
    shift_s: float | None
    words: str


class TimecodePortState(Entry, frozen=True, kw_only=True):
    """The port timecode comes in at: open, closed, refused."""

    kind: ClassVar[Literal["timecode_port"]] = "timecode_port"
    state: str
    why: str


class Resynced(Entry, frozen=True, kw_only=True):
    """The item's clock was put right by ``shift_s``; ``at_s`` is before it."""

    kind: ClassVar[Literal["resynced"]] = "resynced"
    item: str
    bar: int
    beat: int
    shift_s: float
    at_s: float
    undone: bool | None = None
    """True where this took the last shift back."""


class FormSet(Entry, frozen=True, kw_only=True):
    """A section is to be repeated (again, vamp) or cut, when the item's clock comes to ``at_s``."""

    kind: ClassVar[Literal["form_set"]] = "form_set"
    item: str
    section: str
    what: str
    at_s: float


class FormTurned(Entry, frozen=True, kw_only=True):
    """The item's clock went from ``at_s`` to ``to_s`` (``what``: again, vamp, cut), for the ``passes``-th
    time in this section; or (on, missed) does not turn there any more."""

    kind: ClassVar[Literal["form"]] = "form"
    item: str
    section: str
    what: str
    at_s: float
    to_s: float
    shift_s: float
    passes: int


class DelayAnnounced(Entry, frozen=True, kw_only=True):
    """A delay of so long from here was announced; 0 takes it back."""

    kind: ClassVar[Literal["delay"]] = "delay"
    for_s: float
    by: str


class MomentMarked(Entry, frozen=True, kw_only=True):
    """The last note, or the house lights; ``undone`` is True where it had been pressed by mistake."""

    kind: ClassVar[Literal["moment"]] = "moment"
    what: str
    undone: bool | None = None


class ShowChanged(Entry, frozen=True, kw_only=True):
    """The show that is on is another from here; ``items`` are those that are changed, new or out. ``change``
    is the command's, so that what is whole behind a gap of the log tells it too.
    """

    kind: ClassVar[Literal["changed"]] = "changed"
    words: str
    by: str
    items: tuple[str, ...]
    change: Mapping[str, Any] | None = None


class PageOpened(Entry, frozen=True, kw_only=True):
    """A page that is read aloud was opened; its clock counts from here."""

    kind: ClassVar[Literal["page_opened"]] = "page_opened"
    page: str
    by: str


class PageClosed(Entry, frozen=True, kw_only=True):
    """It was closed after ``open_s``, ``ticked`` of its ``lines`` ticked."""

    kind: ClassVar[Literal["page_closed"]] = "page_closed"
    page: str
    open_s: float
    ticked: int
    lines: int
    by: str


class LineTicked(Entry, frozen=True, kw_only=True):
    """A line of it (counted from 1) was said, or done; ``stood`` is how its clearance stood then."""

    kind: ClassVar[Literal["line_ticked"]] = "line_ticked"
    page: str
    line: int
    by: str
    stood: str | None = None


class LineUnticked(Entry, frozen=True, kw_only=True):
    """A tick was taken back."""

    kind: ClassVar[Literal["line_unticked"]] = "line_unticked"
    page: str
    line: int
    by: str


class RunEnded(Entry, frozen=True, kw_only=True):
    """The run is over; ``show_s`` from its first item, None if none began."""

    kind: ClassVar[Literal["run_ended"]] = "run_ended"
    why: str
    show_s: float | None


class Unknown(Struct, frozen=True):
    """An event of a kind that a later version added; ``body`` is all of it, ``kind`` included."""

    kind: str
    body: Mapping[str, Any]


Event = (
    RunStarted
    | ItemStarted
    | ItemEnded
    | ItemSkipped
    | LineSaid
    | LineUnsaid
    | Answered
    | Fired
    | WentUnanswered
    | MarkedWrong
    | Resent
    | UnplannedStarted
    | UnplannedEnded
    | WalkStep
    | WalkStepUndone
    | WalkStopped
    | HandedOver
    | CallsAsked
    | CallsWith
    | DeskJoined
    | DeskLeft
    | Skipped
    | Missed
    | TakenBack
    | Held
    | HoldReason
    | Resumed
    | Jumped
    | NoteTaken
    | IncidentOpened
    | IncidentWritten
    | LookShown
    | LayerPlayed
    | FaultMarked
    | Cleared
    | Overridden
    | CommandRefused
    | Muted
    | MessagesSent
    | MessagesFailed
    | OutletState
    | RemoteAsked
    | CueReported
    | ReportsHeard
    | EngineBack
    | LogGap
    | CuesDoubtful
    | DoubtSettled
    | TermRaised
    | OutputsHeld
    | ApartHeard
    | JournalState
    | EngineStalled
    | WallClockSet
    | TimecodeTold
    | TimecodePortState
    | Resynced
    | FormSet
    | FormTurned
    | ShowChanged
    | MomentMarked
    | DelayAnnounced
    | PageOpened
    | PageClosed
    | LineTicked
    | LineUnticked
    | RunEnded
    | Unknown
)

Reporter = Callable[[Event], None]
"""Takes what a part of the engine has to tell; may be called from any thread."""

KINDS: Mapping[str, type[Entry]] = {kind.kind: kind for kind in get_args(Event) if kind is not Unknown}
"""The journal's name of every kind."""
