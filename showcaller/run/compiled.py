"""A plan made ready for the state machine: integer nanoseconds, and tables instead of searches."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from showcaller.model import Cue, LookChange, Show, Song
from showcaller.run.events import ChangeBy
from showcaller.screen.looks import beats_s, resolved
from showcaller.screen.picture import as_facts
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.timing.sections import section_spans
from showcaller.timing.timecode import frame_number, rate_named, seconds_at
from showcaller.values import Struct

NS = 1_000_000_000

LATE_LIMIT_S = 1
"""An automatic cue found this late (the engine was down, the machine slept) is not fired but named missed:
a look or a move out of its place does more harm than one left out. Real seconds."""


def to_ns(seconds: Fraction) -> int:
    """Exact seconds as the nearest whole nanosecond."""
    return round(seconds * NS)


class LookFact(Struct, frozen=True):
    """What the log keeps of a change of look: all it takes to compose it again when the show has changed.

    ``over_s`` is how long the change takes; ``layers`` are those of the look, from the back, each with all
    that is not as usual.
    """

    look: str
    by: ChangeBy
    beats: float
    over_s: float
    ease: str
    layers: tuple[Mapping[str, Any], ...]


class CompiledSection(Struct, frozen=True):
    """A section from ``start_ns`` up to ``end_ns`` on the item's clock."""

    name: str
    start_ns: int
    end_ns: int
    vamp: bool


class CompiledItem(Struct, frozen=True):
    """One item: per cue its planned instant and id; which fire by themselves, and after what."""

    planned: PlannedItem
    at_ns: tuple[int, ...]
    ids: tuple[str, ...]
    go_at_ns: tuple[int, ...]
    go_ids: tuple[str, ...]
    go_lead_ns: tuple[int, ...]
    """How long before its instant each go is to land: what its slowest department needs to react."""
    automatic: tuple[tuple[int, int | None, int], ...]
    """(cue, the cue it follows or None, delay or planned instant in ns) for each that fires by itself."""
    timed: tuple[tuple[int, int], ...]
    """(instant in ns, cue) of those that wait for an instant, in the order they fire in."""
    following: tuple[tuple[int, int, int], ...]
    """(cue, the cue it follows, delay in ns) of the others."""
    followers: dict[int, tuple[int, ...]]
    length_ns: int
    timecode_ns: int | None
    """The timecode that runs at the item's start, in ns from midnight; None where it has none."""
    looks: Mapping[int, LookFact]
    """Cue → what the log says of the look it brings."""
    outlets: tuple[tuple[str, ...], ...] = ()
    """Per cue: where its messages go, those of its look included."""
    sections: tuple[CompiledSection, ...] = ()


class CompiledTimecode(Struct, frozen=True):
    """How timecode is followed: its rate, and in ns a frame, a day of labels, and the far jump."""

    rate: str
    frame_ns: int
    day_ns: int
    ask_over_ns: int


class CompiledShow(Struct, frozen=True):
    """All items, and where each cue id stands."""

    plan: Plan
    items: tuple[CompiledItem, ...]
    starts_ns: tuple[int, ...]
    where: dict[str, tuple[int, int]]
    """Cue id → (item, cue)."""
    item_index: dict[str, int]
    late_limit_ns: int
    timecode: CompiledTimecode | None = None
    """None where no timecode comes in."""


def compile_show(plan: Plan, speed: float = 1.0) -> CompiledShow:
    """A plan (which should have no problems) made ready for the state machine and a clock of this speed."""
    rate = plan.show.timecode_rate
    reacts_ns = {d.id: to_ns(d.reaction_s) for d in plan.show.departments}
    items = tuple(_item(plan.show, planned, rate, reacts_ns) for planned in plan.items)
    where = {cue: (i, c) for i, item in enumerate(items) for c, cue in enumerate(item.ids)}
    index = {planned.item.id: i for i, planned in enumerate(plan.items)}
    starts_ns = tuple(to_ns(s) for s in plan.starts_s)
    return CompiledShow(
        plan, items, starts_ns, where, index, round(LATE_LIMIT_S * speed * NS), _timecode(plan)
    )


def recompiled(before: CompiledShow, plan: Plan) -> CompiledShow:
    """The same for an edition of the show whose items and looks may be others; what did not change is the
    same object, and costs a look-up."""
    show, was = plan.show, before.plan.show
    rate = show.timecode_rate
    reacts_ns = {d.id: to_ns(d.reaction_s) for d in show.departments}
    same = {id(item.planned): item for item in before.items} if show.looks is was.looks else {}
    items = tuple(same.get(id(p)) or _item(show, p, rate, reacts_ns) for p in plan.items)
    return CompiledShow(
        plan,
        items,
        tuple(to_ns(s) for s in plan.starts_s),
        {cue: (i, c) for i, item in enumerate(items) for c, cue in enumerate(item.ids)},
        {planned.item.id: i for i, planned in enumerate(plan.items)},
        before.late_limit_ns,
        before.timecode,
    )


def _timecode(plan: Plan) -> CompiledTimecode | None:
    if plan.show.timecode_in is None:
        return None
    rate = rate_named(plan.show.timecode_rate)
    day_ns = to_ns(seconds_at(rate.frames_per_day, rate.name))
    return CompiledTimecode(
        rate.name, to_ns(1 / rate.fps), day_ns, to_ns(plan.show.timecode_in.chase.ask_over_s)
    )


def _item(show: Show, planned: PlannedItem, rate: str, reacts_ns: dict[str, int]) -> CompiledItem:
    automatic: list[tuple[int, int | None, int]] = []
    followers: dict[int, list[int]] = {}
    for i, cue in enumerate(planned.cues):
        if not cue.automatic:
            continue
        if cue.follows is None:
            automatic.append((i, None, to_ns(cue.at_s)))
        else:
            delay = cue.at_s - planned.cues[cue.follows].at_s
            automatic.append((i, cue.follows, to_ns(delay)))
            followers.setdefault(cue.follows, []).append(i)
    return CompiledItem(
        planned=planned,
        at_ns=tuple(to_ns(c.at_s) for c in planned.cues),
        ids=tuple(c.cue.id for c in planned.cues),
        go_at_ns=tuple(to_ns(g.at_s) for g in planned.goes),
        go_ids=tuple(g.id for g in planned.goes),
        go_lead_ns=tuple(
            max((reacts_ns[planned.cues[k].cue.department] for k in g.cues), default=0) for g in planned.goes
        ),
        automatic=tuple(automatic),
        timed=tuple(sorted((ns, k) for k, follows, ns in automatic if follows is None)),
        following=tuple((k, follows, ns) for k, follows, ns in automatic if follows is not None),
        followers={k: tuple(v) for k, v in followers.items()},
        length_ns=to_ns(planned.item.length_s),
        timecode_ns=_timecode_ns(planned, rate),
        looks={
            k: look_fact(show, planned, c.at_s, c.cue.look)
            for k, c in enumerate(planned.cues)
            if c.cue.look is not None
        },
        outlets=tuple(_outlets(show, c.cue) for c in planned.cues),
        sections=tuple(
            CompiledSection(s.name, to_ns(s.start_s), to_ns(s.end_s), s.vamp) for s in section_spans(planned)
        ),
    )


def _outlets(show: Show, cue: Cue) -> tuple[str, ...]:
    of_look = [sends.outlet for sends in show.sends] if cue.look is not None else []
    return tuple(dict.fromkeys([m.outlet for m in cue.messages] + of_look))


def look_fact(show: Show, planned: PlannedItem, at_s: Fraction, change: LookChange) -> LookFact:
    """What the log keeps of a change of look: all it takes to compose it again when the show has changed."""
    look = resolved(show, change)
    over_s = 0.0 if change.by == "cut" else float(beats_s(planned, at_s, change.beats))
    return LookFact(look.id, change.by, change.beats, over_s, change.ease, tuple(as_facts(look.layers)))


def _timecode_ns(planned: PlannedItem, rate: str) -> int | None:
    start = planned.item.timecode_start if isinstance(planned.item, Song) else None
    try:
        return None if start is None else to_ns(seconds_at(frame_number(start, rate), rate))
    except ValueError:  # the plan's problems say so
        return None
