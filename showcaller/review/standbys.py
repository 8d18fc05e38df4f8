"""How long before each go its standby was called."""

from collections.abc import Iterable, Iterator

from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct

LEAD_SLACK_S = 1.0
"""A standby this much nearer to its go than planned is not called hurried (common practice, no source)."""


class GoLead(Struct, frozen=True):
    """A go whose cues want a standby: who gave it, its cues, and for the one that was worst off the seconds
    from its standby to the go and what it wants at least. ``lead_s`` is None where one had no standby;
    ``firm`` is False for a go by eye, which comes when it comes."""

    caller: str
    cues: tuple[str, ...]
    lead_s: float | None
    least_s: float
    firm: bool

    @property
    def hurried(self) -> bool:
        """It was called, and too late."""
        return self.firm and self.lead_s is not None and self.lead_s - self.least_s < -LEAD_SLACK_S


def go_leads(plan: Plan, records: Iterable[Record]) -> Iterator[GoLead]:
    """Each go of these records, in order, but those whose cues want no standby."""
    least = {cue.cue.id: float(cue.cue.standby_s) for item in plan.items for cue in item.cues}
    firm = {cue.cue.id: cue.firm for item in plan.items for cue in item.cues}
    caller, said_ns = "", dict[str, int]()
    for record in records:
        fired = []
        for event in record.events:
            match event:
                case ev.RunStarted() | ev.CallsWith():
                    caller = event.caller
                case ev.HandedOver():
                    caller = event.to_caller
                case ev.LineSaid() if event.what == "standby":
                    said_ns.update(dict.fromkeys(event.cues, record.t_ns))
                case ev.LineUnsaid():
                    for cue in event.cues:
                        said_ns.pop(cue, None)
                case ev.Fired() if event.by == "go" and least.get(event.cue, 0) > 0:
                    fired.append(event.cue)
        if not fired:
            continue
        if any(cue not in said_ns for cue in fired):
            yield GoLead(caller, tuple(fired), None, max(least[cue] for cue in fired), firm[fired[0]])
            continue
        worst = min(fired, key=lambda cue: (record.t_ns - said_ns[cue]) / NS - least[cue])
        yield GoLead(caller, tuple(fired), (record.t_ns - said_ns[worst]) / NS, least[worst], firm[worst])
