"""Whether messages reached their outlets, and how timecode behaved."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from statistics import median

from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct


class Delivery(Struct, frozen=True):
    """An outlet's evening: messages sent, how late after their instant (ms), cues that did not get through.

    ``away_s`` is how long it was closed; the figures of lateness are None where nothing was sent.
    """

    outlet: str
    sent: int
    median_late_ms: float | None
    worst_late_ms: float | None
    failed: int
    away_s: float
    last_why: str


@dataclass(slots=True)
class _Outlet:
    sent: int = 0
    late_ms: list[float] = field(default_factory=list)
    failed: int = 0
    away_ns: int = 0
    closed_ns: int | None = None
    why: str = ""


def deliveries(plan: Plan, records: Iterable[Record]) -> tuple[Delivery, ...]:
    """A row for every outlet of the show, in its order."""
    found = {o.id: _Outlet() for o in plan.show.outlets}
    last_ns = 0
    for record in records:
        last_ns = record.t_ns
        for event in record.events:
            if not isinstance(event, ev.MessagesSent | ev.MessagesFailed | ev.OutletState):
                continue
            outlet = found.get(event.outlet)
            if outlet is None:
                continue
            if isinstance(event, ev.MessagesSent):
                outlet.sent += event.messages
                outlet.late_ms.append(event.late_ms)
            elif isinstance(event, ev.MessagesFailed):
                outlet.failed += 1
                outlet.why = event.why
            elif isinstance(event, ev.OutletState) and event.state == "closed":
                outlet.closed_ns = record.t_ns if outlet.closed_ns is None else outlet.closed_ns
                outlet.why = event.why or outlet.why
            elif isinstance(event, ev.OutletState) and outlet.closed_ns is not None:
                outlet.away_ns += record.t_ns - outlet.closed_ns
                outlet.closed_ns = None
    rows = []
    for o in plan.show.outlets:
        one = found[o.id]
        away_ns = one.away_ns + (last_ns - one.closed_ns if one.closed_ns is not None else 0)
        rows.append(
            Delivery(
                o.name,
                one.sent,
                median(one.late_ms) if one.late_ms else None,
                max(one.late_ms) if one.late_ms else None,
                one.failed,
                away_ns / NS,
                one.why,
            )
        )
    return tuple(rows)


class TimecodeQuality(Struct, frozen=True):
    """How timecode behaved over a run. Seconds; ``worst_shift_s`` is the farthest it moved a clock.

    ``good_s`` of ``heard_s`` it was locked or freewheeling since it was first heard; ``losses`` counts times
    it was lost, ``longest_loss_s`` the worst of them; ``jumps`` were asked about, ``by_hand`` taken over.
    """

    heard_s: float
    good_s: float
    losses: int
    longest_loss_s: float
    shifts: int
    worst_shift_s: float
    jumps: int
    by_hand: int

    @property
    def share(self) -> float:
        """The part of the time it was good, 0 to 1."""
        return self.good_s / self.heard_s if self.heard_s else 0.0


_GOOD = ("locked", "freewheeling")
_LOST = ("holding", "reversing", "waiting")


def timecode_quality(records: Iterable[Record]) -> TimecodeQuality | None:
    """The evening of timecode; None where none was ever heard."""
    mode, since_ns, first_ns, end_ns = "", 0, None, 0
    good_ns = losses = longest_ns = shifts = jumps = by_hand = 0
    worst_s = 0.0

    def settle(t_ns: int) -> None:
        nonlocal good_ns, longest_ns
        if mode in _GOOD:
            good_ns += t_ns - since_ns
        elif mode in _LOST:
            longest_ns = max(longest_ns, t_ns - since_ns)

    for record in records:
        end_ns = record.t_ns
        for event in record.events:
            if not isinstance(event, ev.TimecodeTold):
                continue
            what = event.what
            if what in (*_GOOD, *_LOST) and what != mode:
                if first_ns is None and what in _GOOD:
                    first_ns = record.t_ns
                if first_ns is not None:
                    settle(record.t_ns)
                    losses += mode in _GOOD and what in _LOST
                    mode, since_ns = what, record.t_ns
            if event.shift_s:
                shifts += 1
                worst_s = max(worst_s, event.shift_s, key=abs)
            jumps += what == "asks"
            by_hand += what == "off"
    if first_ns is None:
        return None
    settle(end_ns)
    return TimecodeQuality(
        (end_ns - first_ns) / NS, good_ns / NS, losses, longest_ns / NS, shifts, worst_s, jumps, by_hand
    )
