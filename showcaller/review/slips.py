"""What went wrong with cues: missed, late, skipped, doubled, wrong, refused, without an answer."""

from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Literal

from showcaller.review.counting import wrong_marks
from showcaller.review.notable import cue_names
from showcaller.review.tables import CueRow
from showcaller.review.timeline import NS
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct

SlipKind = Literal[
    "missed", "late", "skipped", "doubled", "wrong", "refused", "not acknowledged", "not delivered"
]

LATE_S = 1.0
"""A cue further behind its instant than this was late for all who watched (common practice, no source)."""


class Slip(Struct, frozen=True):
    """One of them: when (seconds since the first item began), which cues, and why if that is known."""

    t_s: float
    t_ns: int
    kind: SlipKind
    cues: tuple[str, ...]
    names: str
    why: str


def slips(plan: Plan, records: Iterable[Record], rows: Iterable[CueRow] = ()) -> tuple[Slip, ...]:
    """Everything that went wrong with cues, in order.

    A cue is doubled when it fired again without having been taken back in between. Late are those of ``rows``
    (the run's cue table) that stood and were more than :data:`LATE_S` behind a firm instant; a go's together.
    """
    whole = list(records)
    begun_ns = next((r.t_ns for r in whole for e in r.events if isinstance(e, ev.ItemStarted)), 0)
    gos = {go.id: [item.cues[k].cue.id for k in go.cues] for item in plan.items for go in item.goes}
    name = cue_names(plan)
    marks = wrong_marks(whole)
    fired: Counter[str] = Counter()
    found: list[Slip] = []

    def add(record: Record, kind: SlipKind, cues: Iterable[str], why: str = "") -> None:
        ids = tuple(cues)
        found.append(Slip((record.t_ns - begun_ns) / NS, record.t_ns, kind, ids, name(ids), why))

    for record in whole:
        for event in record.events:
            match event:
                case ev.Fired():
                    fired[event.cue] += 1
                    if fired[event.cue] > 1:
                        add(record, "doubled", [event.cue], "it had fired already")
                case ev.TakenBack():
                    for cue in event.cues:
                        fired[cue] = 0
                case ev.Missed():
                    add(record, "missed", [event.cue], event.why)
                case ev.Skipped():
                    add(record, "skipped", [event.cue], "" if event.why == ev.LEFT_OUT else event.why)
                case ev.MarkedWrong() if record.seq in marks:
                    add(record, "wrong", event.cues)
                case ev.WentUnanswered():
                    add(record, "not acknowledged", event.cues)
                case ev.MessagesFailed():
                    add(record, "not delivered", [event.cue], event.why)
                case ev.CommandRefused() if event.command in ("go", "take"):
                    cues = _asked(gos, record)
                    add(record, "refused", cues, event.why)
    late: dict[tuple[float, str], list[CueRow]] = {}
    for row in rows:
        fired_late = row.status in ("go", "automatic") and row.firm and row.stood
        if fired_late and row.t_s is not None and row.late_s is not None and row.late_s > LATE_S:
            late.setdefault((row.t_s, row.status), []).append(row)
    for (t_s, _), mine in late.items():
        ids = tuple(row.cue for row in mine)
        words = f"{max(row.late_s or 0.0 for row in mine):.1f} s late"
        found.append(Slip(t_s, begun_ns + round(t_s * NS), "late", ids, name(ids), words))
    return tuple(sorted(found, key=lambda slip: slip.t_ns))


def _asked(gos: Mapping[str, list[str]], record: Record) -> list[str]:
    """The cues that a refused go, or a refused taking over, was to fire."""
    match record.input:
        case c.Go():
            return gos.get(record.input.go, [])
        case c.TakeOver():
            return [record.input.cue]
    return []


def counted(found: Iterable[Slip]) -> dict[str, int]:
    """How many of each kind, only those there were."""
    return dict(Counter(slip.kind for slip in found))
