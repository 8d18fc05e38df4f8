"""What the departments' desks have told of their cues, folded from the log: the third instant of a cue. Pure.

A cue is *said* by the voice, *given* by the go (or fires by itself), and *done* once its desk reports it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from showcaller.model import Cue, Department
from showcaller.model.reports import can_tell
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct, replace

FORGOTTEN_NS = 30 * NS
"""So long what was not seen, or came by itself, stays in sight of who calls (common practice, no source)."""


class CueTold(Struct, frozen=True):
    """A cue that was given, told of, or both. ``given_ns`` and ``done_ns`` are on the run's clock."""

    cue: str
    given_ns: int | None
    done_ns: int | None = None
    stood_by: bool = False
    """It stood by when its desk told of it: the go may be a finger's breadth behind."""
    awaited: bool = True
    """Its desk is to tell of it."""

    @property
    def took_s(self) -> float | None:
        """From go to done; negative where the desk was before the go."""
        if self.given_ns is None or self.done_ns is None:
            return None
        return (self.done_ns - self.given_ns) / NS


class Seen(Struct, frozen=True):
    """A word on a cue for who calls: not seen at its desk in time, or fired there by itself."""

    cue: str
    what: Literal["not seen", "by itself"]
    since_ns: int


@dataclass
class DesksTold:
    """What has been told, in the order it came. ``take`` is given every record once."""

    told: list[CueTold] = field(default_factory=list)
    _open: dict[str, int] = field(default_factory=dict)
    """Cue → where in ``told`` its last firing is."""
    _stand_by: set[str] = field(default_factory=set)
    _muted: dict[str | None, bool] = field(default_factory=dict)
    """Outlet (None: all of them) → what was said of it in this run."""

    _plan: Plan | None = None
    _tells: Mapping[str, tuple[Department, Cue]] = field(default_factory=dict)

    def of(self, plan: Plan, cue: str) -> tuple[Department, Cue] | None:
        """The department and the cue, if its desk can tell of it."""
        if plan is not self._plan:
            self._plan, self._tells = plan, telling(plan)
        return self._tells.get(cue)

    def take(self, plan: Plan, record: Record) -> None:
        """Fold one record; ``plan`` is the show's from there on."""
        for event in record.events:
            match event:
                case ev.RunStarted():
                    self._muted[None] = event.muted
                case ev.Muted():
                    self._muted[event.outlet] = event.muted
                case ev.LineSaid(what="standby"):
                    self._stand_by.update(event.cues)
                case ev.LineUnsaid():
                    self._stand_by.difference_update(event.cues)
                case ev.Fired():
                    self._given(plan, event.cue, record.t_ns)
                    self._stand_by.discard(event.cue)
                case ev.TakenBack():
                    for cue in event.cues:
                        self._open.pop(cue, None)
                case ev.CueReported(cue=str() as cue):
                    self._done(cue, event.at_ns)
                case _:
                    pass

    def _given(self, plan: Plan, cue: str, t_ns: int) -> None:
        found = self.of(plan, cue)
        if found is None:
            return
        before = self.told[self._open[cue]] if cue in self._open else None
        done_ns = None if before is None or before.given_ns is not None else before.done_ns
        if before is not None and done_ns is not None and t_ns - done_ns <= within_ns(found[0]):
            self.told[self._open[cue]] = replace(before, given_ns=t_ns)
            return
        self._open[cue] = len(self.told)
        self.told.append(CueTold(cue, t_ns, awaited=self._leaves(plan, found[1])))

    def _leaves(self, plan: Plan, cue: Cue) -> bool:
        """Whether its desk hears of it: not if all that it sends is muted, nor in a rehearsal of the voice
        alone."""
        own = {o.id: o.muted for o in plan.show.outlets}
        muted = [self._muted.get(m.outlet, own.get(m.outlet, False)) for m in cue.messages]
        return not self._muted.get(None, False) and not (muted and all(muted))

    def _done(self, cue: str, at_ns: int) -> None:
        n = self._open.get(cue)
        if n is not None and self.told[n].done_ns is None:
            self.told[n] = replace(self.told[n], done_ns=at_ns)
            return
        self._open[cue] = len(self.told)
        self.told.append(CueTold(cue, None, at_ns, stood_by=cue in self._stand_by))


def telling(plan: Plan) -> dict[str, tuple[Department, Cue]]:
    """The cues that have three instants, since their departments' desks can tell of them."""
    desks = {d.id: d for d in plan.show.departments if d.reports}
    if not desks:
        return {}
    return {
        planned.cue.id: (desks[planned.cue.department], planned.cue)
        for item in plan.items
        for planned in item.cues
        if planned.cue.department in desks
        and any(can_tell(report, planned.cue.number) for report in desks[planned.cue.department].reports)
    }


def within_ns(department: Department) -> int:
    """How long after its go a cue may take to be seen."""
    return round(department.seen_within_s * NS)


def words_on(plan: Plan, desks: DesksTold, now_ns: int) -> Iterator[Seen]:
    """What is to be said of the last half minute: cues not seen in their time, and those that came without a
    go. One that stood by is waited for as long as its department has: the desk's hand may be the quicker."""
    for told in reversed(desks.told):
        newest_ns = told.done_ns if told.given_ns is None else told.given_ns
        if newest_ns is None or now_ns - newest_ns > FORGOTTEN_NS:
            return
        found = desks.of(plan, told.cue)
        if found is None:
            continue
        limit_ns = within_ns(found[0])
        if told.given_ns is None and told.done_ns is not None:
            if not told.stood_by or now_ns - told.done_ns > limit_ns:
                yield Seen(told.cue, "by itself", told.done_ns)
        elif (
            told.done_ns is None
            and told.awaited
            and told.given_ns is not None
            and now_ns - told.given_ns > limit_ns
        ):
            yield Seen(told.cue, "not seen", told.given_ns)
