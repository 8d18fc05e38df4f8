"""What of a run must be known afterwards, in the order it happened: hazards, overrides, slips, failures."""

from collections.abc import Callable, Iterable

from showcaller.model import Cue
from showcaller.model.clockwords import m_ss
from showcaller.review.counting import wrong_marks
from showcaller.review.pages import line_words
from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.commands import Back, Clear, Input, Jump, Locate, Mute
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct


class Notable(Struct, frozen=True):
    """One thing: seconds since the first item began (negative before it), its kind, and words.

    ``t_ns`` is the instant on the run's clock.
    """

    t_s: float
    kind: str
    words: str
    t_ns: int


def notable(plan: Plan, records: Iterable[Record]) -> tuple[Notable, ...]:
    """Everything of a run that somebody will ask about. Every hazardous cue that fired is among it."""
    whole = list(records)
    begun_ns = next(
        (r.t_ns for r in whole for e in r.events if isinstance(e, ev.ItemStarted)),
        whole[0].t_ns if whole else 0,
    )
    say, marks = _Sayer(plan), wrong_marks(whole)
    found = []
    for record in whole:
        for event in record.events:
            words = say.words(event, record.input)
            if isinstance(event, ev.MarkedWrong) and record.seq not in marks:
                continue
            if words is not None:
                t_s = (record.t_ns - begun_ns) / NS
                found.append(Notable(t_s, words[0], words[1], record.t_ns))
    return tuple(found)


def cue_names(plan: Plan) -> Callable[[Iterable[str]], str]:
    """Names cues by their ids: ``Lights 12, Video 3``; ``a cue`` where the plan has none of them."""
    departments = {d.id: d.name for d in plan.show.departments}
    cues = {c.cue.id: c.cue for item in plan.items for c in item.cues}

    def names(ids: Iterable[str]) -> str:
        found = [cues[c] for c in ids if c in cues]
        return ", ".join(f"{departments[c.department]} {c.number}" for c in found) or "a cue"

    return names


class _Sayer:
    def __init__(self, plan: Plan) -> None:
        show = plan.show
        self._cues: dict[str, Cue] = {c.cue.id: c.cue for item in plan.items for c in item.cues}
        self._items = {item.item.id: item.item.name for item in plan.items}
        self._departments = {d.id: d.name for d in show.departments}
        self._clearances = {c.id: c.name for c in show.clearances}
        self._outlets = {o.id: o.name for o in show.outlets}
        self._looks = {k.id: k.name for k in show.looks}
        self._pages = {p.id: p for p in show.pages}
        self._names = cue_names(plan)

    def words(self, event: ev.Event, given: Input) -> tuple[str, str] | None:
        """(kind, words) of an event worth noting, else None."""
        e = event
        match e:
            case ev.Fired():
                return self._fired(e)
            case ev.CommandRefused():
                return ("refused", e.why) if e.command in ("go", "take", "resend") else None
            case ev.Muted() if isinstance(given, Mute):
                which = "all outputs" if e.outlet is None else self._outlets.get(e.outlet, e.outlet)
                return "outputs", f"{which} {'muted' if e.muted else 'went live: messages left from here on'}"
            case ev.Overridden():
                name = self._clearances.get(e.clearance, e.clearance)
                return "override", f"'{name}' overridden by {e.by}: {e.reason}"
            case ev.MarkedWrong():
                return "wrong go", f"{self._names(e.cues)} was a wrong go"
            case ev.WentUnanswered():
                silent = ", ".join(self._departments[d] for d in e.departments)
                return "no answer", f"{self._names(e.cues)} went, not acknowledged by {silent}"
            case ev.Missed():
                return "missed", f"{self._names([e.cue])} missed: {e.why}"
            case ev.TakenBack() if isinstance(given, Back | Jump | Locate):  # else its section is repeated
                what = "taken back" if isinstance(given, Back) else "to be called again after a jump back"
                return ("taken back", f"{self._names(e.cues)} {what}") if e.cues else None
            case ev.Jumped():
                return (
                    "jumped",
                    f"jumped from '{self._items[e.from_item]}' to '{self._items[e.to_item]}'",
                )
            case ev.Held() | ev.HoldReason() if e.reason:
                return "held", f"on hold: {e.reason}"
            case ev.Cleared() if not e.ok and isinstance(given, Clear):
                return "clearance", f"'{self._clearances.get(e.clearance, '')}' withdrawn"
            case ev.Skipped() if e.why == ev.LEFT_OUT:
                return "skipped", f"{self._names([e.cue])} skipped"
            case ev.MessagesFailed():
                outlet = self._outlets.get(e.outlet, e.outlet)
                return "message", f"{self._names([e.cue])} did not reach {outlet}: {e.why}"
            case ev.EngineBack():
                return (
                    "engine",
                    f"the engine was restarted ({e.gap_s:.0f} s after the last entry before it)",
                )
            case ev.CallsWith() if e.from_desk:
                return "handover", f"{e.caller} took the calls from {e.from_caller}: {e.why}"
            case ev.HandedOver():
                return "handover", f"{e.from_caller} handed over to {e.to_caller}"
            case ev.NoteTaken() if e.about:
                return e.about, f"{e.about}: {e.text}"
            case ev.FaultMarked():
                count = len(e.panels)
                what = "mended" if e.mended else e.what
                return "wall", f"{count} panel{'' if count == 1 else 's'} of the wall {what}"
            case ev.LookShown() if e.cue is None:
                return "by hand", f"“{self._looks.get(e.look, e.look)}” was put on the wall by hand"
            case ev.UnplannedStarted():
                return "unplanned", f"“{e.name}” was inserted"
            case ev.FormTurned() if e.what in ("again", "vamp", "cut"):
                how = {"again": "once more", "vamp": f"vamped, pass {e.passes + 1}", "cut": "cut"}[e.what]
                item = self._items.get(e.item, e.item)
                return "form", f"'{item}', {e.section}: {how} ({-e.shift_s:+.0f} s)"
            case ev.DelayAnnounced():
                what = f"delay of {m_ss(round(e.for_s))} announced" if e.for_s else "no delay any more"
                return "delay", f"{what}, {e.by}" if e.by else what
            case ev.MomentMarked():
                return "moment", f"{e.what} taken back" if e.undone else e.what
            case ev.ShowChanged():
                return "changed", f"{e.words} ({e.by})" if e.by else e.words
            case ev.ItemSkipped():
                return "left out", f"'{self._items.get(e.item, e.item)}' was cut"
            case ev.PageOpened() | ev.PageClosed() | ev.LineTicked() | ev.LineUnticked():
                return "page", self._page(e)
            case _:
                return None

    def _page(self, event: ev.PageOpened | ev.PageClosed | ev.LineTicked | ev.LineUnticked) -> str:
        page = self._pages.get(event.page)
        name, by = f"'{page.name if page else event.page}'", f" ({event.by})" if event.by else ""
        if isinstance(event, ev.PageOpened):
            return f"page {name} opened{by}"
        if isinstance(event, ev.PageClosed):
            took = f"after {m_ss(round(event.open_s))}, {event.ticked} of {event.lines} lines ticked"
            return f"page {name} closed {took}{by}"
        says = line_words(page, event.line)
        if isinstance(event, ev.LineUnticked):
            return f"{name}: tick taken back: {says}{by}"
        return f"{name}: {says}{f' [{event.stood}]' if event.stood else ''}{by}"

    def _fired(self, event: ev.Fired) -> tuple[str, str] | None:
        cue = self._cues.get(event.cue)
        name = self._names([event.cue])
        if cue is not None and cue.hazard is not None:
            return "hazard", f"{name} ({cue.hazard.kind}) fired, responsible {cue.hazard.responsible}"
        return ("by hand", f"{name} was fired by hand") if event.by == "hand" else None
