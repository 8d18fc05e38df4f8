"""How a caller did: every go against its instant, by caller, since a run may have more than one."""

from collections import Counter
from collections.abc import Iterable
from statistics import median, stdev

from showcaller.review.counting import taken_back_gos, wrong_marks
from showcaller.review.standbys import go_leads
from showcaller.review.tables import cue_table
from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct

NEAR_S = 0.5
"""A go within this of its instant is near (common practice, no source)."""


class Score(Struct, frozen=True):
    """One caller's goes at firm instants that stood; errors in seconds, late positive. ``near`` is a share,
    0 to 1. A go is one however many cues it fires: its error is the middle one of theirs.

    ``spread_s`` is the standard deviation of the errors about their mean, None for a single go. ``unsaid``
    counts goes whose standby was not called, ``hurried`` those whose standby came later than its least lead.
    """

    caller: str
    goes: int
    median_error_s: float
    median_abs_error_s: float
    worst_s: float
    near: float
    unanswered: int
    wrong: int
    spread_s: float | None = None
    unsaid: int = 0
    hurried: int = 0


def scores(plan: Plan, records: Iterable[Record]) -> tuple[Score, ...]:
    """A score for each caller who gave a go that could be early or late, in the order they called.

    Raises:
        ReviewError: no item was started, or the run was of another edition.
    """
    whole = list(records)
    begun_ns = next((r.t_ns for r in whole for e in r.events if isinstance(e, ev.ItemStarted)), 0)
    callers: list[tuple[float, str]] = []
    slips: dict[str, set[tuple[str, str]]] = {}
    marks, undone = wrong_marks(whole), taken_back_gos(whole)
    for record in whole:
        for event in record.events:
            t_s = (record.t_ns - begun_ns) / NS
            if isinstance(event, ev.RunStarted):
                callers.append((t_s, event.caller))
            elif isinstance(event, ev.HandedOver):
                callers.append((t_s, event.to_caller))
            elif isinstance(event, ev.CallsWith):
                callers.append((t_s, event.caller))
            elif isinstance(event, ev.MarkedWrong) and record.seq not in marks:
                continue
            elif isinstance(event, ev.WentUnanswered | ev.MarkedWrong) and callers:
                slips.setdefault(callers[-1][1], set()).add((event.kind, str(record.seq)))
    stood: dict[float, list[float]] = {}
    for row in cue_table(plan, whole):
        if row.status == "go" and row.stood and row.firm and row.late_s is not None and row.t_s is not None:
            stood.setdefault(row.t_s, []).append(row.late_s)
    errors: dict[str, list[float]] = {}
    for t_s, late in stood.items():
        if callers:
            who = [name for since_s, name in callers if since_s <= t_s] or [callers[0][1]]
            errors.setdefault(who[-1], []).append(median(late))
    standbys = _standbys(plan, [r for r in whole if r.seq not in undone])
    return tuple(
        _score(name, found, slips.get(name, set()), standbys.get(name, Counter()))
        for name, found in errors.items()
    )


def _standbys(plan: Plan, records: Iterable[Record]) -> dict[str, Counter[str]]:
    """Caller → how many goes went without their standby (``unsaid``), or sooner after it than the least
    lead of their cues (``hurried``)."""
    found: dict[str, Counter[str]] = {}
    for lead in go_leads(plan, records):
        mine = found.setdefault(lead.caller, Counter())
        mine["unsaid"] += lead.lead_s is None
        mine["hurried"] += lead.hurried
    return found


def _score(caller: str, errors: list[float], slips: set[tuple[str, str]], standbys: Counter[str]) -> Score:
    return Score(
        caller=caller,
        goes=len(errors),
        median_error_s=median(errors),
        median_abs_error_s=median(abs(e) for e in errors),
        worst_s=max(errors, key=abs),
        near=sum(abs(e) <= NEAR_S for e in errors) / len(errors),
        unanswered=sum(kind == ev.WentUnanswered.kind for kind, _ in slips),
        wrong=sum(kind == ev.MarkedWrong.kind for kind, _ in slips),
        spread_s=stdev(errors) if len(errors) > 1 else None,
        unsaid=standbys["unsaid"],
        hurried=standbys["hurried"],
    )
