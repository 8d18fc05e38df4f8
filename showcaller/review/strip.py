"""A song as a strip: what the plan has on the wall above, what stood tonight below, on its own clock. Pure.

Both are on the item's clock in seconds, so that they have one scale; where a part was played twice, the last
time counts.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import pairwise

from showcaller.model import Look, LookChange
from showcaller.review.clock_path import Stretch, place_at
from showcaller.review.windows import counted_sections
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.playing import look_of
from showcaller.run.runlog import Record
from showcaller.screen.looks import looks_of
from showcaller.screen.picture import change_words
from showcaller.screen.played import Played, merged, with_played
from showcaller.timing.plan import Plan
from showcaller.values import Struct, field, replace

SAME_S = 0.3
"""A look that comes so much before or after its planned instant is no other look (a hand's own spread; common
practice, no source)."""


class Band(Struct, frozen=True):
    """A look in a lane, from ``from_s`` to ``to_s``.

    Attributes:
        look: as it stood at its end, with what was played.
        how: how it came: ``mix over 8 beats``.
        by_hand: no cue brought it.
        t_ns: when it came on the run's clock; None in the plan's lane.
        number: which look of the run, from 0; −1 in the plan's lane.
        cue: the cue that brought it; empty for none.
        played_s: when a hand changed it, on the item's clock.
        played: what that hand has set, by layer.
    """

    from_s: float
    to_s: float
    look: Look
    how: str
    by_hand: bool = False
    t_ns: int | None = None
    number: int = -1
    cue: str = ""
    played_s: tuple[float, ...] = ()
    played: Played = field(default_factory=dict)


def band_words(band: Band) -> str:
    """How a look came."""
    hand = ", by hand" if band.by_hand else ", then played by hand" if band.played_s else ""
    return f"{band.how}{hand}"


class TapeStrip(Struct, frozen=True):
    """An item's strip. ``differs`` are spans in which tonight had other looks than the plan, seconds."""

    item: str
    name: str
    length_s: float
    sections: tuple[tuple[str, float, float], ...]
    plan: tuple[Band, ...]
    tonight: tuple[Band, ...]
    differs: tuple[tuple[float, float], ...]


class _Came(Struct, frozen=True):
    t_ns: int
    until_ns: int
    event: ev.LookShown
    played: tuple[tuple[int, ev.LayerPlayed], ...]


def song_strip(plan: Plan, path: Sequence[Stretch], records: Iterable[Record], item: int) -> TapeStrip:
    """The strip of the ``item``-th item."""
    planned = plan.items[item]
    looks = looks_of(plan, item)
    starts = [s.at_s for s in looks.standing] + [looks.length_s]
    above = tuple(
        Band(a, b, s.look, change_words(s.change) if s.cue else "from before", cue=s.cue)
        for s, (a, b) in zip(looks.standing, pairwise(starts), strict=True)
        if b > a
    )
    tonight = tuple(_tonight(plan, path, list(_came(records)), item))
    length_s = max([float(planned.item.length_s), *(b.to_s for b in tonight)])
    return TapeStrip(
        planned.item.id,
        planned.item.name,
        length_s,
        tuple((name, float(a), float(b)) for name, a, b in counted_sections(planned)),
        above,
        tonight,
        tuple(_differs(above, tonight)),
    )


def _came(records: Iterable[Record]) -> Iterator[_Came]:
    now: tuple[int, ev.LookShown] | None = None
    played: list[tuple[int, ev.LayerPlayed]] = []
    last_ns = 0
    for record in records:
        last_ns = record.t_ns
        for event in record.events:
            if isinstance(event, ev.LookShown):
                if now is not None:
                    yield _Came(now[0], record.t_ns, now[1], tuple(played))
                now, played = (record.t_ns, event), []
            elif isinstance(event, ev.LayerPlayed) and now is not None:
                played.append((record.t_ns, event))
    if now is not None:
        yield _Came(now[0], last_ns, now[1], tuple(played))


def _tonight(plan: Plan, path: Sequence[Stretch], came: Sequence[_Came], item: int) -> Iterator[Band]:
    found: list[Band] = []
    for n, one in enumerate(came):
        for low_s, high_s in _on_clock(path, item, one.t_ns, one.until_ns):
            found = [part for band in found for part in _without(band, low_s, high_s)]
            found.append(_band(plan, path, one, n, item, low_s, high_s))
    yield from sorted(found, key=lambda band: band.from_s)


def _on_clock(path: Sequence[Stretch], item: int, from_ns: int, to_ns: int) -> Iterator[tuple[float, float]]:
    """Where on the item's clock a span of the run lies; parts that join are one."""
    open_: tuple[int, int] | None = None
    for part in path:
        begun, ended = max(part.from_ns, from_ns), min(part.to_ns, to_ns)
        if part.item != item or begun >= ended or not part.moves:
            continue
        low = part.at_ns + begun - part.from_ns
        high = low + ended - begun
        if open_ is not None and open_[1] == low:
            open_ = (open_[0], high)
            continue
        if open_ is not None:
            yield open_[0] / NS, open_[1] / NS
        open_ = (low, high)
    if open_ is not None:
        yield open_[0] / NS, open_[1] / NS


def _without(band: Band, low_s: float, high_s: float) -> Iterator[Band]:
    """What is left of a band beside a span that was played once more."""
    if high_s <= band.from_s or low_s >= band.to_s:
        yield band
        return
    if band.from_s < low_s:
        yield replace(band, to_s=low_s)
    if high_s < band.to_s:
        yield replace(band, from_s=high_s)


def _band(
    plan: Plan, path: Sequence[Stretch], one: _Came, n: int, item: int, low_s: float, high_s: float
) -> Band:
    played: Mapping[str, Mapping[str, object]] = {}
    played_s = []
    for t_ns, hand in one.played:
        played = merged(played, hand.layer, hand.fields)
        place = place_at(path, t_ns)
        if place is not None and place[0] == item:
            played_s.append(place[1] / NS)
    event = one.event
    change = LookChange(look=event.look, by=event.by, beats=event.beats)
    look = with_played(look_of(plan.show, event), played)
    how, cue = change_words(change), event.cue or ""
    return Band(low_s, high_s, look, how, event.cue is None, one.t_ns, n, cue, tuple(played_s), played)


def _differs(above: Sequence[Band], tonight: Sequence[Band]) -> Iterator[tuple[float, float]]:
    """Spans in which tonight's look is another, or was played by then; only where tonight is known."""
    edges = sorted({x for b in (*above, *tonight) for x in (b.from_s, b.to_s, *b.played_s)})
    open_: tuple[float, float] | None = None
    for low, high in pairwise(edges):
        middle = (low + high) / 2
        planned = next((b for b in reversed(above) if b.from_s <= middle), None)  # the last one stays
        stood = next((b for b in tonight if b.from_s <= middle < b.to_s), None)
        other = stood is not None and (
            planned is None
            or stood.look.id != planned.look.id
            or any(at_s <= low + 1e-9 for at_s in stood.played_s)
        )
        if other and open_ is not None and open_[1] == low:
            open_ = (open_[0], high)
            continue
        if open_ is not None and open_[1] - open_[0] > SAME_S:
            yield open_
        open_ = (low, high) if other else None
    if open_ is not None and open_[1] - open_[0] > SAME_S:
        yield open_


def run_ns_at(path: Sequence[Stretch], item: int, at_s: float) -> int | None:
    """The last instant of the run at which the item's clock showed this; None if it never did."""
    at_ns = round(at_s * NS)
    for part in reversed(path):
        if part.item != item:
            continue
        through = part.to_ns - part.from_ns if part.moves else 0
        if part.at_ns <= at_ns <= part.at_ns + through:
            return part.from_ns + at_ns - part.at_ns
    return None


def snapped(strip: TapeStrip, marks: Sequence[float], at_s: float, within_s: float) -> float:
    """The mark, or the beginning of a look or section, that a hand at ``at_s`` means; ``at_s`` if none is
    near. Marks go before looks, and looks before sections."""
    looks = [band.from_s for band in (*strip.tonight, *strip.plan)]
    for kind in (marks, looks, [from_s for _, from_s, _ in strip.sections]):
        near = min(kind, key=lambda x: abs(x - at_s), default=None)
        if near is not None and abs(near - at_s) <= within_s:
            return near
    return at_s
