"""What a desk knows of a run: the log so far, the state it leads to, and what was made of each part of it.

The desk puts the engine's records through the engine's own state machine, so the two cannot disagree.
"""

from collections.abc import Iterable
from typing import assert_never

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.firing import look_shown
from showcaller.run.machine import first_state, step
from showcaller.run.reported import DesksTold
from showcaller.run.runlog import Record
from showcaller.run.state import OnWall, RunState
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.calls.sheet import CallSheet
from showcaller.values import Struct, replace

_LONGEST_SAID = 60

_FORM = {"again": "{} once more", "vamp": "vamp: {}, out on the word", "cut": "without {}"}
_TURNED = {"again": "{} again", "vamp": "vamp: {}, pass {}", "cut": "{} is cut", "on": "on after {}",
           "missed": "{} was to turn, and its end had passed"}  # fmt: skip


def form_words(section: str, what: str) -> str:
    """What the caller has said of the form."""
    return _FORM.get(what, "{}").format(section)


def turned_words(event: ev.FormTurned) -> str:
    """Where the clock has turned. The first time through is the first pass."""
    return _TURNED.get(event.what, "{}").format(event.section, event.passes + 1)


class Said(Struct, frozen=True):
    """A line that has been said, and for a go how late it was (s; None where that means nothing)."""

    text: str
    late_s: float | None
    go: bool
    does: str = ""
    missed: bool = False
    """It should have happened by itself and did not."""
    by: ev.FiredBy = "go"
    name: str = ""
    """The cues of a go, by name."""


class Slipped(Struct, frozen=True):
    """An item that is not in the plan, before the item ``before`` (empty: after all); ``length_s`` is None
    while it is on."""

    before: str
    name: str
    since_ns: int
    length_s: float | None = None


class OutletWord(Struct, frozen=True):
    """The last word on an outlet: ``late_ms`` of its last message, or what is wrong."""

    state: str = "open"
    late_ms: float | None = None
    why: str = ""


class RunBook:
    """The run's log, folded. ``take`` ignores records it has; ``missing_from`` says what to ask for."""

    def __init__(self, compiled: CompiledShow, sheets: tuple[CallSheet, ...]) -> None:
        self.compiled = compiled
        self.sheets = sheets
        self.state: RunState = first_state(compiled)
        self.records: list[Record] = []
        self.desks: dict[str, str] = {}
        """DesksTold that are heard from: id → name."""
        self.said: list[Said] = []
        self.notes: list[ev.NoteTaken] = []
        self.outlets: dict[str, OutletWord] = {}
        self.ended_ns: int | None = None
        self.started_ns: dict[str, int] = {}
        self.lengths_s: dict[str, float] = {}
        self.skipped_items: set[str] = set()
        self.closed_pages: set[str] = set()
        self.slipped: list[Slipped] = []
        """Items that are not in the plan, in the order they came."""
        self.missed: list[ev.Missed] = []
        self.resynced: ev.Resynced | None = None
        """The last shift of a clock by hand."""
        self.refused: str | None = None
        self.refused_ns = 0
        self.recovered_ns: int | None = None
        self.taken_over: tuple[str, int] | None = None
        """The machine that took the run over last, and when."""
        self.looks: list[ev.LookShown] = []
        """The run's looks in the order they came, as the log has them."""
        self.ended_as: dict[int, OnWall] = {}
        """Looks that a hand has changed, by their place in ``looks``: as they stood when the next came."""
        self.timecode_port: tuple[str, str] = ("", "")
        self.timecode_since_ns = 0
        self.reported = DesksTold()
        """What the departments' desks have told of their cues."""
        self.desk_ports: dict[str, ev.ReportsHeard] = {}
        """The last word on the place where each department's desk is heard."""
        self.version = 0
        self.changes: list[tuple[Record, c.ChangeTonight]] = []
        """Tonight's changes of the show, each with its record."""
        self.answers: list[tuple[c.ChangeTonight, str | None]] = []
        """What the engine has said to every change that reached it: None, or why it refused."""
        self._ahead: dict[int, Record] = {}
        self._go_text: dict[str, str] = {}
        self._line_text: dict[str, str] = {}
        self._learn_words()

    def _learn_words(self) -> None:
        """What is said for gos and lines. Those of an earlier edition stay: some have been said."""
        for item, sheet in zip(self.compiled.items, self.sheets, strict=True):
            self._go_text |= {item.go_ids[x.go]: x.text for x in sheet.goes if x.go is not None}
            self._line_text |= {line.id: line.text for line in sheet.lines}

    def take(self, records: Iterable[Record]) -> None:
        """Add records; one that comes before its turn waits for those before it."""
        for record in records:
            if record.seq > len(self.records):
                self._ahead[record.seq] = record
        while (following := self._ahead.pop(len(self.records) + 1, None)) is not None:
            self._fold(following)

    def missing_from(self, engine_seq: int) -> int | None:
        """The number of the first record this book lacks, if the engine is known to have it."""
        if self._ahead or engine_seq > len(self.records):
            return len(self.records) + 1
        return None

    def go_words(self, item: int, go: int) -> str:
        """What the caller says for a go, also for one that cannot be said in time."""
        return self._go_text[self.compiled.items[item].go_ids[go]]

    def cue_name(self, cue: str) -> str:
        """``Lights 43``."""
        i, k = self.compiled.where[cue]
        found = self.compiled.items[i].planned.cues[k].cue
        return f"{self.compiled.plan.show.department(found.department).spoken} {found.number}"

    def page_name(self, page: str) -> str:
        """A page that is read aloud, by its id."""
        return next((p.name for p in self.compiled.plan.show.pages if p.id == page), page)

    def line_words(self, line: str) -> str | None:
        """What is said for a line, by its id; None for one of another plan."""
        return self._line_text.get(line)

    def _fold(self, record: Record) -> None:
        before = self.state
        self.state, out = step(self.compiled, self.state, record.input, record.t_ns)
        if out.compiled is not None:
            self.compiled, self.sheets = out.compiled, compile_show_calls(out.compiled.plan)
            self._learn_words()
        if isinstance(record.input, c.ChangeTonight):
            self.changes += [(record, record.input)] if out.compiled is not None else []
            self.answers.append((record.input, out.refused))
        self.records.append(record)
        self.reported.take(self.compiled.plan, record)
        self.version += 1
        if not isinstance(record.input, c.Report | c.PlayLayer):  # neither is a word of somebody's
            self.refused = None
        if isinstance(record.input, c.Go) and self.state.place != before.place:
            self._add_go(before, record)
        last = len(self.looks) - 1
        for event in record.events:
            self._take_event(event, record)
        if len(self.looks) - 1 > last and before.on_wall is not None and before.on_wall.played:
            self.ended_as[last] = before.on_wall

    def _add_go(self, before: RunState, record: Record) -> None:
        i, g = before.place.item, before.place.go
        item = self.compiled.items[i]
        late: float | None = None
        at_ns = self.state.item_ns(record.t_ns)
        if not before.cued_up and item.planned.goes[g].firm and at_ns is not None:
            late = (at_ns + item.go_lead_ns[g] - item.go_at_ns[g]) / NS
        name = ", ".join(self.cue_name(item.ids[k]) for k in item.planned.goes[g].cues)
        labels = [item.planned.cues[k].cue.label for k in item.planned.goes[g].cues]
        self.said.append(
            Said(self.go_words(i, g), late, True, "; ".join(dict.fromkeys(filter(None, labels))), name=name)
        )

    def _add_automatic(self, event: ev.Fired) -> None:
        """What fires by itself is one line, however many they are, until something is said again."""
        name = self.cue_name(event.cue)
        last = self.said[-1] if self.said else None
        if last is not None and last.by == event.by and len(last.text) < _LONGEST_SAID:
            self.said[-1] = Said(f"{last.text}, {name}", None, False, by=event.by)
        else:
            how = "automatic" if event.by == "itself" else "by hand"
            self.said.append(Said(f"{how}: {name}", None, False, by=event.by))

    def _take_event(self, event: ev.Event, record: Record) -> None:
        match event:
            case ev.LineSaid():
                self.said.append(Said(self._line_text.get(event.line, event.what), None, False))
            case ev.LineUnsaid():
                words = self.line_words(event.line) or "a line"
                self.said.append(Said(f"taken back: {words}", None, False))
            case ev.TakenBack() if any(isinstance(e, ev.FormTurned) for e in record.events):
                pass  # they come again because their section does
            case ev.TakenBack():
                names = ", ".join(self.cue_name(cue) for cue in event.cues if cue in self.compiled.where)
                words = f"taken back: {names}; what was sent stays sent" if names else "taken back"
                self.said.append(Said(words, None, False))
            case ev.ItemStarted():
                self.started_ns[event.item] = record.t_ns
                self.lengths_s.pop(event.item, None)
                self.skipped_items.discard(event.item)
            case ev.ItemEnded():
                self.lengths_s[event.item] = event.length_s
            case ev.ItemSkipped():
                self.skipped_items.add(event.item)
            case ev.PageOpened():
                self.closed_pages.discard(event.page)
            case ev.PageClosed():
                self.closed_pages.add(event.page)
            case ev.UnplannedStarted():
                items, place = self.compiled.plan.items, self.state.place.item
                before_item = items[place].item.id if place < len(items) else ""
                self.slipped.append(Slipped(before_item, event.name, record.t_ns))
            case ev.UnplannedEnded() if self.slipped:
                self.slipped[-1] = replace(self.slipped[-1], length_s=event.length_s)
            case ev.RunEnded():
                self.ended_ns = record.t_ns
            case ev.LookShown():
                self.looks.append(event)
            case ev.Fired():
                self._look_of(event, record)
                if event.by != "go":
                    self._add_automatic(event)
            case ev.Missed():
                self.missed.append(event)
                self.said.append(
                    Said(f"{self.cue_name(event.cue)} did not fire: {event.why}", None, False, missed=True)
                )
            case ev.NoteTaken():
                self.notes.append(event)
            case ev.CommandRefused(command=c.PlayLayer.kind):
                pass  # a hand that came late; who calls has other things to read
            case ev.CommandRefused():
                self.refused, self.refused_ns = event.why, record.t_ns
            case ev.Resynced():
                self.resynced = event
            case ev.EngineBack():
                self.recovered_ns = record.t_ns
                self.desks.clear()  # those that are still there are heard again
            case ev.DeskJoined():
                self.desks[event.desk] = event.name
            case ev.DeskLeft():
                self.desks.pop(event.desk, None)
            case ev.FormSet():
                self.said.append(Said(form_words(event.section, event.what), None, False))
            case ev.FormTurned():
                self.said.append(Said(turned_words(event), None, False))
            case ev.MomentMarked():
                self.said.append(Said(f"not yet: {event.what}" if event.undone else event.what, None, False))
            case ev.DelayAnnounced():
                words = (
                    f"delay announced: {event.for_s / 60:.0f} minutes" if event.for_s else "no delay any more"
                )
                self.said.append(Said(words, None, False))
            case ev.TermRaised():
                self.taken_over = event.machine, record.t_ns
                self.said.append(Said(f"{event.machine} has taken over", None, False))
            case ev.ApartHeard():
                self.said.append(Said(f"{event.machine} is heard again", None, False))
            case ev.ShowChanged():
                self.said.append(Said(f"tonight: {event.words}", None, False))
            case ev.CallsWith():
                self.said.append(Said(f"{event.caller} has the calls", None, False))
            case ev.PageOpened():
                self.said.append(Said(f"page opened: {self.page_name(event.page)}", None, False))
            case ev.WalkStepUndone():
                self.said.append(Said(f"not yet: {event.step}", None, False))
            case ev.MessagesSent():
                self.outlets[event.outlet] = OutletWord("open", event.late_ms)
            case ev.MessagesFailed():
                self.outlets[event.outlet] = OutletWord("failed", None, event.why)
            case ev.OutletState():
                self.outlets[event.outlet] = OutletWord(event.state, None, event.why)
            case ev.ReportsHeard():
                if event.state in ("open", "closed"):
                    self.desk_ports[event.department] = event
            case ev.TimecodeTold():
                if event.what == self.state.timecode.mode:
                    self.timecode_since_ns = record.t_ns
            case ev.TimecodePortState():
                self.timecode_port = (event.state, event.why)
            case (
                ev.RunStarted() | ev.Answered() | ev.WentUnanswered() | ev.MarkedWrong() | ev.Resent()
                | ev.UnplannedEnded() | ev.WalkStep() | ev.HandedOver() | ev.Skipped()
                | ev.Held() | ev.HoldReason() | ev.Resumed() | ev.Jumped() | ev.FaultMarked() | ev.Cleared()
                | ev.Overridden() | ev.Muted() | ev.RemoteAsked() | ev.LogGap() | ev.CuesDoubtful()
                | ev.DoubtSettled() | ev.OutputsHeld() | ev.JournalState() | ev.EngineStalled()
                | ev.WallClockSet() | ev.WalkStopped() | ev.IncidentOpened() | ev.IncidentWritten()
                | ev.CueReported() | ev.CallsAsked() | ev.PageClosed() | ev.LineTicked() | ev.LineUnticked()
                | ev.LayerPlayed() | ev.Unknown()
            ):  # fmt: skip
                pass  # what they lead to is in the state
            case _:
                assert_never(event)

    def _look_of(self, event: ev.Fired, record: Record) -> None:
        """A run of an older version has no word on looks; then the plan has."""
        i, k = self.compiled.where.get(event.cue, (-1, -1))
        fact = self.compiled.items[i].looks.get(k) if i >= 0 else None
        if fact is not None and not any(isinstance(e, ev.LookShown) for e in record.events):
            self.looks.append(look_shown(fact, event.item, event.cue, event.actual_s))
