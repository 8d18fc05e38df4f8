"""What is true of a run at a moment. Frozen values: a step makes a new state and shares what did not change.

All instants are integer nanoseconds of the run's own monotonic clock; item times are nanoseconds on the
item's clock, which stands still while the show is held or timecode that led it is lost.
"""

from collections.abc import Mapping
from typing import Any, Literal

from showcaller.run.events import LookShown
from showcaller.screen.faults import Panel
from showcaller.values import Struct, field, replace

Phase = Literal["idle", "running", "held", "ended"]
Status = Literal["standby", "answered", "fired", "skipped", "missed"]
TimecodeMode = Literal["waiting", "locked", "freewheeling", "holding", "reversing"]
Lead = Literal["hand", "timecode", "stands", "asks"]
"""Who leads the clock of the item that is on. hand: it runs by itself. timecode: it follows that. stands: it
followed, the code is gone, and it stands. asks: the code is far away, and the caller is asked whether to go
there; meanwhile a clock that followed stands, and one that ran by itself runs on."""


class Mark(Struct, frozen=True):
    """What has become of a cue; a cue without a mark waits. ``at_ns`` is on the item's clock."""

    status: Status
    at_ns: int


class Place(Struct, frozen=True):
    """The next go: item and go, both counted from 0. Past the last item: the show has been called."""

    item: int
    go: int


class Given(Struct, frozen=True):
    """The last word on a clearance."""

    ok: bool
    value: float | None
    at_ns: int
    overridden: bool = False
    by: str = ""


class TimecodeWord(Struct, frozen=True):
    """The last word on timecode. ``zero_ns`` is the instant at which it showed, or would have, midnight."""

    mode: TimecodeMode = "waiting"
    zero_ns: int | None = None


class Unplanned(Struct, frozen=True):
    """An item that is not in the plan, and since when it is on."""

    name: str
    since_ns: int


class Doubt(Struct, frozen=True):
    """A cue that was fired and is not known to have left for one of its outlets."""

    cue: str
    outlet: str


class Turn(Struct, frozen=True):
    """At ``at_ns`` of the item's clock it goes to ``to_ns``: the item's ``section``-th section is played
    again, vamped, or cut."""

    what: Literal["again", "vamp", "cut"]
    section: int
    at_ns: int
    to_ns: int


class CallsRequest(Struct, frozen=True):
    """A desk that watches and asks for the calls, and who sits at it."""

    desk: str
    caller: str


class LineTick(Struct, frozen=True):
    """A line of a page was ticked, and by whom."""

    at_ns: int
    by: str


class PageState(Struct, frozen=True):
    """A page that is open: since when, and its lines (counted from 1) that have been ticked."""

    since_ns: int
    ticks: Mapping[int, LineTick] = field(default_factory=dict)


class LoggedIncident(Struct, frozen=True):
    """An incident: when its key was pressed, by whom, and what is written of it
    (:data:`showcaller.run.incidents.FIELDS`)."""

    at_ns: int
    by: str
    fields: Mapping[str, str] = field(default_factory=dict)


class OnWall(Struct, frozen=True):
    """The look that stands on the wall.

    Attributes:
        number: how many looks have come in this run, this one included.
        shown: the look as it came.
        planned: the last one that a cue brought; None before the first.
        played: what a hand has set since, by layer (:data:`showcaller.screen.played.Played`).
        came: layers whose source a hand has changed → when: the item that was on, s on its clock.
    """

    number: int
    shown: LookShown
    planned: LookShown | None
    played: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    came: Mapping[str, tuple[str, float]] = field(default_factory=dict)


class Before(Struct, frozen=True):
    """What a go changed, kept so that it can be taken back."""

    place: Place
    item: int
    clock_ns: int | None
    marks: tuple[Mapping[int, Mark], ...]
    held_ns: int


class RunState(Struct, frozen=True):
    """A run at a moment.

    Attributes:
        phase: idle until started; held while nothing may fire.
        place: the next go.
        item: the item that is on, whether or not its clock runs yet.
        clock_ns: the instant at which that item's clock showed 0; None while it is cued up.
        held_at_ns: when the hold began.
        held_ns: the length of all holds so far that are over.
        marks: for every item, what became of its cues (by their place in the planned item).
        said: ids of call lines that have been said.
        begun_ns: when the first item started: the show clock's zero.
        history: what the last goes changed, oldest first.
        unplanned: the item slipped in that is on.
        walked: (walk-on, step) → when it happened.
        taken_over: whether a cue that fires by itself was ever fired by hand.
        timecode: the last word on timecode.
        follows: whether the caller lets clocks follow timecode at all.
        lead: who leads the clock of the item that is on.
        stood_at_ns: where that clock stands for want of timecode or an answer; None while it runs.
        declined_ns: the code's ``zero_ns`` that the caller chose not to follow.
        resynced: (item, shift in ns) of the last shift of its clock by hand, to be taken back.
        calling: the id of the desk that has the calls; empty while no desk has opened the run.
        asking: the desk that asks for them.
        doubts: what was fired and may not have left, until a person says what becomes of it.
        faults: panel of a surface → what is wrong with it.
        turn: what the caller has said of the form of the item that is on.
        let_out: sections of that item that are vamps by the plan and have had the word to go on.
        since_ns: where that item's clock was put last.
        passes: how often the section that is on has been repeated.
        moments: when the last note was and the house lights came up, by their names (ns of the run's clock).
        pages: the pages read aloud that are open, by their ids.
        on_wall: the look that stands; None before any.
        delay_until_ns: until when a delay was announced; None where none is.
        incidents: those of the run, by their ids, in the order of their moments.
        term: how often another machine has taken the run over.
        held_back: the machine that has taken over from this one, whose outputs are held; else empty.
    """

    phase: Phase
    place: Place
    item: int
    clock_ns: int | None
    marks: tuple[Mapping[int, Mark], ...]
    held_at_ns: int | None = None
    hold_reason: str = ""
    held_ns: int = 0
    said: frozenset[str] = frozenset()
    begun_ns: int | None = None
    muted: frozenset[str] = frozenset()
    all_muted: bool = False
    caller: str = ""
    clearances: Mapping[str, Given] = field(default_factory=dict)
    history: tuple[Before, ...] = ()
    unplanned: Unplanned | None = None
    walked: Mapping[tuple[str, str], int] = field(default_factory=dict)
    taken_over: bool = False
    timecode: TimecodeWord = TimecodeWord()
    follows: bool = True
    lead: Lead = "hand"
    stood_at_ns: int | None = None
    declined_ns: int | None = None
    faults: Mapping[Panel, str] = field(default_factory=dict)
    doubts: tuple[Doubt, ...] = ()
    resynced: tuple[str, int] | None = None
    calling: str = ""
    asking: CallsRequest | None = None
    turn: Turn | None = None
    let_out: frozenset[int] = frozenset()
    since_ns: int = 0
    passes: int = 0
    moments: Mapping[str, int] = field(default_factory=dict)
    pages: Mapping[str, PageState] = field(default_factory=dict)
    on_wall: OnWall | None = None
    delay_until_ns: int | None = None
    incidents: Mapping[str, LoggedIncident] = field(default_factory=dict)
    term: int = 0
    held_back: str = ""

    @property
    def cued_up(self) -> bool:
        """The next go starts (or picks up) an item's clock."""
        return self.place.item != self.item or self.clock_ns is None

    def item_ns(self, now_ns: int) -> int | None:
        """The item's clock at ``now_ns``; None while it does not run."""
        if self.clock_ns is None:
            return None
        if self.stood_at_ns is not None:
            return self.stood_at_ns
        return (self.held_at_ns if self.held_at_ns is not None else now_ns) - self.clock_ns

    @property
    def led(self) -> bool:
        """The item's clock follows timecode, or did and waits for it."""
        return self.lead == "timecode" or self.stands

    @property
    def stands(self) -> bool:
        """The item's clock stands for want of timecode or an answer, so nothing fires by itself."""
        return self.stood_at_ns is not None

    def by_hand(self) -> "RunState":
        """The clock led by nobody: what timecode did to it concerned another item."""
        return replace(self, lead="hand", stood_at_ns=None, declined_ns=None)

    def is_muted(self, outlet: str) -> bool:
        """Whether messages to this outlet stay here."""
        return self.all_muted or outlet in self.muted
