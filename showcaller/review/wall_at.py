"""The wall at any instant of a run, drawn anew from its log, and as the plan has it there. Pure."""

from collections.abc import Sequence

from showcaller.review.strip import Band, TapeStrip, band_words
from showcaller.run.compiled import NS, compile_show
from showcaller.run.events import LookShown
from showcaller.run.on_wall import looks_as_run, with_hand
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import Record
from showcaller.screen.looks import Looks, looks_of
from showcaller.screen.picture import Picture
from showcaller.screen.spread import spread_of, spread_picture
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import Plan
from showcaller.values import Struct, replace


class WallThen(Struct, frozen=True):
    """An instant: the item that was on (its place in the running order), s on its clock, both pictures, the
    name of the look that stands in each, and which look of the run tonight's is (from 0; −1 before any).
    ``of_book``: the planned one is what the book has there now, and not that night's plan."""

    item: int
    at_s: float
    planned: Picture
    tonight: Picture
    planned_name: str = ""
    tonight_name: str = ""
    number: int = -1
    of_book: bool = False


def as_the_book_has_it(then: WallThen, night: Plan, book: Plan) -> WallThen:
    """The instant with what the book has there now as its planned picture, where that is another one and can
    be drawn with that night's surfaces and sources."""
    show, name = night.show, night.items[then.item].item.id
    item = next((n for n, p in enumerate(book.items) if p.item.id == name), None)
    if item is None or book.show.surfaces != show.surfaces:
        return then
    looks, at_s, spread = looks_of(book, item), then.at_s + 1e-6, spread_of(show)
    picture, stands = spread_picture(spread, looks, at_s), _stands(looks, at_s)
    # Both at the very same instant: a clip's place in its file is part of a picture.
    was = spread_picture(spread, looks_of(night, then.item), at_s)
    if picture == was or not picture.sources <= {s.id for s in show.sources}:
        return then
    return replace(then, planned=picture, planned_name=stands, of_book=True)


class WallAfterwards:
    """A run put through its own machine up to any instant. Going on is quick; going back begins anew."""

    def __init__(self, opened: Plan, plan: Plan, records: Sequence[Record]) -> None:
        self._opened, self._plan, self._records = opened, plan, records
        self._book = self._anew()

    def _anew(self) -> RunBook:
        return RunBook(compile_show(self._opened), compile_show_calls(self._opened))

    def _arrived(self, t_ns: int) -> int:
        """Of the very instant at which a look set out: when it is there, or the next one sets out."""
        came = [(r.t_ns, e.over_s) for r in self._records for e in r.events if isinstance(e, LookShown)]
        for n, (at_ns, over_s) in enumerate(came):
            if at_ns == t_ns:
                after_ns = came[n + 1][0] - 1 if n + 1 < len(came) else self._records[-1].t_ns
                return max(t_ns, min(t_ns + round(over_s * NS), after_ns))
        return t_ns

    def at(self, t_ns: int) -> WallThen | None:
        """The wall at ``t_ns`` of the run's clock, a look that sets out then being there already; None where
        there is no wall, or no item's clock was on."""
        records = self._records
        t_ns = self._arrived(t_ns)
        count = next((n for n, r in enumerate(records) if r.t_ns > t_ns), len(records))
        if count < len(self._book.records):
            self._book = self._anew()
        self._book.take(records[len(self._book.records) : count])
        book = self._book
        show, state = book.compiled.plan.show, book.state
        at_ns = state.item_ns(t_ns)
        if show.wall is None or at_ns is None:
            return None
        # Looks are placed on microseconds: at the very instant of a cut the new one is there.
        at_s = (at_ns + 1_000) / NS
        looks = looks_as_run(book, state.item, at_s)
        if state.on_wall is not None and state.on_wall.played:
            looks = with_hand(show, looks, state.on_wall)
        name = book.compiled.plan.items[state.item].item.id
        item = next((n for n, p in enumerate(self._plan.items) if p.item.id == name), 0)
        planned = looks_of(self._plan, item)
        spread = spread_of(show)
        number = -1 if state.on_wall is None else state.on_wall.number - 1
        return WallThen(
            item,
            at_ns / NS,
            spread_picture(spread, planned, at_s),
            spread_picture(spread, looks, at_s),
            _stands(planned, at_s),
            _stands(looks, at_s),
            number,
        )


def _stands(looks: Looks, at_s: float) -> str:
    """The name of the look that is on at an instant."""
    return next((s.look.name for s in reversed(looks.standing) if s.at_s <= at_s), "")


def captions(strip: TapeStrip, then: WallThen) -> tuple[tuple[str, bool], tuple[str, bool]]:
    """The words under the planned picture and under tonight's: the look that is drawn, and how it came where
    the strip tells that of this very look; and whether a hand was in it."""
    above = [b for b in strip.plan if b.from_s <= then.at_s < b.to_s]
    below = [b for b in strip.tonight if b.number == then.number]
    hand = any(b.by_hand or b.played_s for b in below)
    return (_caption(then.planned_name, above), False), (_caption(then.tonight_name, below), hand)


def _caption(name: str, bands: Sequence[Band]) -> str:
    how = next((band_words(b) for b in bands if b.look.name == name), "")
    return " · ".join(w for w in (name, how) if w)
