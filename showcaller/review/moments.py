"""The moments of a run worth going to: cues, looks, notes, faults, items; in the order of its clock."""

from collections.abc import Iterable, Sequence
from typing import Literal

from showcaller.archive.values import Remark
from showcaller.model import Cue
from showcaller.review.notable import cue_names, notable
from showcaller.review.timeline import NS
from showcaller.review.verdicts import in_force
from showcaller.run import events as ev
from showcaller.run.incidents import BY_MISTAKE, with_words
from showcaller.run.runlog import INCIDENTS, Record
from showcaller.screen.faults import ONE_SURFACE, Names, panel_name, surface_names
from showcaller.timing.plan import Plan
from showcaller.values import Struct

MomentKind = Literal["item", "cue", "look", "note", "incident", "fault", "page"]

FAULTS = frozenset(
    {"refused", "override", "wrong go", "no answer", "missed", "taken back", "message", "engine", "held"}
)
"""Kinds of notable things that count as faults; a hazard that fired as planned is none."""


class Moment(Struct, frozen=True):
    """One of them: when on the run's clock and seconds since the show began, a name, words, whose."""

    t_ns: int
    t_s: float
    kind: MomentKind
    name: str
    words: str
    item: str = ""
    cue: str = ""
    department: str = ""


def moments(plan: Plan, records: Sequence[Record], remarks: Iterable[Remark] = ()) -> tuple[Moment, ...]:
    """Everything of a run that can be gone to.

    Args:
        plan: the edition the run was of.
        records: the run's records, all of them.
        remarks: what was written afterwards.
    """
    begun_ns = next((r.t_ns for r in records for e in r.events if isinstance(e, ev.ItemStarted)), 0)
    # Logs say what the wall showed; older ones leave it to be told from the cues.
    looks_told = any(isinstance(e, ev.LookShown) for r in records for e in r.events)
    say = _Saying(plan, looks_told, _written(records))
    found: list[tuple[int, _Said]] = []
    for record in records:
        found += [(record.t_ns, one) for event in record.events for one in say.of(event)]
    found += [
        (n.t_ns, ("fault" if n.kind in FAULTS else "page", n.kind, n.words, "", "", ""))
        for n in notable(plan, records)
        if n.kind in FAULTS or n.kind in ("page", "delay")
    ]
    for r in in_force(remarks):
        if r.kind in ("decided", "form", "heard"):
            continue
        kind: MomentKind = "incident" if r.kind in INCIDENTS else "note"
        by = f" ({r.by})" if r.by else ""
        found.append((r.t_ns, (kind, r.kind, f"{r.text}{by}", "", "", "")))
    found.sort(key=lambda m: m[0])
    return tuple(Moment(t_ns, (t_ns - begun_ns) / NS, *said) for t_ns, said in found)


_Said = tuple[MomentKind, str, str, str, str, str]
"""Kind, name, words, item, cue, department."""


def fault_words(event: ev.FaultMarked, names: Names = ONE_SURFACE) -> str:
    """``C4 dead``, ``Side left C4 to C13 mended: the words given``."""
    panels = [panel_name((column, row)) for column, row in event.panels]
    name = panels[0] if len(panels) == 1 else f"{panels[0]} to {panels[-1]}" if panels else ""
    surface = event.surface or ""
    name = f"{names.get(surface, surface)} {name}".strip() if name else ""
    what = "mended" if event.mended else event.what
    said = f": {event.words}" if name and event.words else event.words
    return f"{name} {what}{said}".strip()


def _written(records: Sequence[Record]) -> dict[str, dict[str, str]]:
    """Incident → its fields as they were written last."""
    found: dict[str, dict[str, str]] = {}
    for record in records:
        for event in record.events:
            if isinstance(event, ev.IncidentWritten):
                found[event.incident] = with_words(found.get(event.incident, {}), event)
    return found


class _Saying:
    def __init__(self, plan: Plan, looks_told: bool, incidents: dict[str, dict[str, str]]) -> None:
        self._looks_told = looks_told
        self._incidents = incidents
        show = plan.show
        self._items = {i.id: i.name for i in show.items}
        self._cues: dict[str, Cue] = {c.id: c for c in show.all_cues()}
        self._departments = {d.id: d.name for d in show.departments}
        self._looks = {look.id: look.name for look in show.looks}
        self._names = cue_names(plan)
        self._surfaces = surface_names(show)

    def of(self, event: ev.Event) -> list[_Said]:
        """What an event is; nothing for most."""
        match event:
            case ev.ItemStarted():
                return [("item", self._items.get(event.item, event.item), "", event.item, "", "")]
            case ev.Fired():
                return self._fired(event)
            case ev.LookShown():
                name = self._looks.get(event.look, event.look)
                return [("look", name, event.by, event.item or "", event.cue or "", "")]
            case ev.FaultMarked():
                return [("fault", "wall", fault_words(event, self._surfaces), event.item or "", "", "")]
            case ev.NoteTaken():
                about = event.about
                kind: MomentKind = "incident" if about else "note"
                return [(kind, about or "note", event.text, event.item or "", "", event.to or "")]
            case ev.IncidentOpened():
                fields = self._incidents.get(event.incident, {})
                what = fields.get("what") or fields.get("draft") or "nobody has said what"
                if fields.get("kind") == BY_MISTAKE:
                    return [
                        ("note", BY_MISTAKE, "the incident key was pressed by mistake", event.item, "", "")
                    ]
                return [("incident", fields.get("kind", "incident"), what, event.item, event.cue or "", "")]
            case ev.WalkStopped():
                words = f"'{event.step}' was not clear ({'; '.join(event.missing)}): stopped before it"
                return [("incident", "stopped", words, event.item, "", "")]
            case _:
                return []

    def _fired(self, event: ev.Fired) -> list[_Said]:
        cue = self._cues.get(event.cue)
        if cue is None:
            return []
        department = self._departments[cue.department]
        name = self._names([cue.id])
        made: list[_Said] = [("cue", name, cue.label, event.item, cue.id, department)]
        look = getattr(cue.look, "look", None)
        if look is not None and not self._looks_told:
            made.append(("look", self._looks.get(look, look), name, event.item, cue.id, department))
        return made


def nearest_before(found: Sequence[Moment], t_ns: int, *kinds: MomentKind) -> Moment | None:
    """The last moment at or before an instant, of some kinds or of any."""
    for moment in reversed(found):
        if moment.t_ns <= t_ns and (not kinds or moment.kind in kinds):
            return moment
    return None
