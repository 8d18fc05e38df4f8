"""What was otherwise tonight than in the book, each with the change that would put it there. Pure.

Looks put up or played by hand, gos far from their place, vamps. What was changed in the show itself while it
was on is offered elsewhere, as the changes that it was made of.
"""

from collections.abc import Iterator, Sequence
from fractions import Fraction

from showcaller.editing import Change, ChangeError, SetFields, apply
from showcaller.editing.cues import move_cue
from showcaller.editing.snapping import anchor_near, moved_anchor
from showcaller.model import Layer, Look, Show, Song
from showcaller.review.clock_path import Stretch, place_at
from showcaller.review.strip import Band, song_strip
from showcaller.review.tables import CueRow, cue_table
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.kept_changes import as_cue, as_variation
from showcaller.run.playing import look_of
from showcaller.run.runlog import Record
from showcaller.run.state import OnWall
from showcaller.screen.looks import overridden
from showcaller.timing.plan import Plan, compile_plan
from showcaller.values import Struct, replace

FAR_S = 1.0
"""A go this far from its place is one to think about; nearer is a hand's own (common practice, no source)."""

_THERE_S = 0.6
"""A new cue this near to where a look was put up is that look's."""


class Difference(Struct, frozen=True):
    """One of them: when on the run's clock and on the song's, in words, and what the book would become.

    ``change`` is None where the book cannot say it; ``why`` then says so.
    """

    t_ns: int
    item: str
    at_s: float
    to_s: float
    bar: int | None
    words: str
    does: str
    change: Change | None
    why: str = ""
    late_cue: str = ""


def differences(
    plan: Plan, path: Sequence[Stretch], records: Sequence[Record], book: Show
) -> tuple[Difference, ...]:
    """All of a run, in the order in which they came; what the book has already is not among them.

    Args:
        plan: what the run ended with.
        path: its clock.
        records: its whole log.
        book: the document that would be changed.
    """
    found = [
        *_of_looks(plan, path, records, book),
        *_of_gos(plan, records, book),
        *_of_the_form(plan, path, records, book),
    ]
    return tuple(sorted((d for d in found if d.why or d.change is not None), key=lambda d: d.t_ns))


def _of_looks(
    plan: Plan, path: Sequence[Stretch], records: Sequence[Record], book: Show
) -> Iterator[Difference]:
    came = [e for r in records for e in r.events if isinstance(e, ev.LookShown)]
    seen: set[int] = set()
    new = _brought(plan, book)
    for n, planned in enumerate(plan.items):
        for band in song_strip(plan, path, records, n).tonight:
            event = came[band.number]
            if band.number in seen or band.t_ns is None or event.to_plan:
                continue
            if (band.by_hand or band.played) and event.item == planned.item.id:
                seen.add(band.number)
                on = _on_wall(came, band)
                if band.by_hand and _has_it(
                    new.get(event.item, ()), band.from_s, look_of(plan.show, on.shown)
                ):
                    continue
                yield _look(plan, n, band, on, book)


class _Brought(Struct, frozen=True):
    """A look that the book brings somewhere; whether its cue is one that the run's show did not have."""

    at_s: float
    layers: tuple[Layer, ...]
    new: bool


def _brought(plan: Plan, book: Show) -> dict[str, list[_Brought]]:
    """Item → the looks that the book brings in it, in order."""
    known, looks = {c.id for c in plan.show.all_cues()}, {k.id: k for k in book.looks}
    return {
        p.item.id: [
            _Brought(
                float(c.at_s),
                overridden(looks[c.cue.look.look], c.cue.look.overrides).layers,
                c.cue.id not in known,
            )
            for c in p.cues
            if c.cue.look is not None
        ]
        for p in compile_plan(book).items
    }


def _has_it(brought: Sequence[_Brought], at_s: float, look: Look) -> bool:
    """Whether a new cue of the book is that look's: right there, or before and it is still what stands."""
    if any(b.new and abs(b.at_s - at_s) < _THERE_S for b in brought):
        return True
    before = max((b for b in brought if b.at_s <= at_s), key=lambda b: b.at_s, default=None)
    return before is not None and before.new and before.layers == look.layers


def _on_wall(came: Sequence[ev.LookShown], band: Band) -> OnWall:
    planned = next((e for e in reversed(came[: band.number + 1]) if e.cue is not None), None)
    return OnWall(band.number + 1, came[band.number], planned, band.played)


def _look(plan: Plan, n: int, band: Band, on: OnWall, book: Show) -> Difference:
    planned, now_in = plan.items[n], plan.show
    name = look_of(now_in, on.shown).name
    bar = planned.bar_number_at(Fraction(round(band.from_s * NS), NS))
    place = anchor_near(planned, band.from_s)
    where = f"bar {place['bar']} / {place['beat']}" if place["at"] == "bar" else f"{band.from_s:.1f} s"
    change, why = None, ""
    try:
        if band.by_hand:
            at_s = Fraction(round(band.from_s * 10), 10)
            words = f"“{name}” put up by hand{', and played' if band.played else ''}"
            does = f"a cue at {where} that brings it: {band.how}"
            change = as_cue(book, on, now_in, planned.item.id, place, at_s, as_it_came=True)
        else:
            words = f"“{name}” played by hand"
            does = "its cue brings it so from now on, here alone"
            change = as_variation(book, on, now_in)
        change = _if_new(book, change)
    except ChangeError as error:
        why = str(error)
    since_s = band.played_s[0] if band.played_s and not band.by_hand else band.from_s
    return Difference(band.t_ns or 0, planned.item.id, since_s, band.to_s, bar, words, does, change, why)


def _of_gos(plan: Plan, records: Sequence[Record], book: Show) -> Iterator[Difference]:
    begun_ns = next((r.t_ns for r in records for e in r.events if isinstance(e, ev.ItemStarted)), None)
    if begun_ns is None:
        return
    seen: set[tuple[str, float]] = set()
    for row in cue_table(plan, records):
        far = row.status == "go" and row.firm and row.stood and row.late_s is not None
        if not far or row.late_s is None or row.actual_s is None or row.t_s is None:
            continue
        if abs(row.late_s) < FAR_S or (row.item, row.actual_s) in seen:
            continue
        seen.add((row.item, row.actual_s))
        one = _go(plan, begun_ns, row, row.actual_s, book)
        moved_s = _clock_moved_s(records, row.item, one.t_ns)
        if moved_s:
            why = f"the clock was put right by {moved_s:+.1f} s afterwards: perhaps it was not the go"
            one = replace(one, does="", change=None, why=why)
        yield one


def _clock_moved_s(records: Sequence[Record], item: str, since_ns: int) -> float:
    """By how much the item's clock was put right by hand after an instant, while it ran, seconds."""
    moved_s = 0.0
    for record in records:
        if record.t_ns >= since_ns:
            for event in record.events:
                if isinstance(event, ev.ItemStarted) and event.item != item:
                    return moved_s if abs(moved_s) >= FAR_S else 0.0
                if isinstance(event, ev.Resynced) and event.item == item:
                    moved_s += event.shift_s
    return moved_s if abs(moved_s) >= FAR_S else 0.0


def _go(plan: Plan, begun_ns: int, row: CueRow, actual_s: float, book: Show) -> Difference:
    planned = next(p for p in plan.items if p.item.id == row.item)
    cue = next(c for c in planned.cues if c.cue.id == row.cue)
    anchor = moved_anchor(planned, cue, actual_s)
    side = "late" if (row.late_s or 0) > 0 else "early"
    where = f"bar {anchor['bar']} / {anchor['beat']}" if anchor["at"] == "bar" else f"{actual_s:.1f} s"
    change, why = None, ""
    try:
        change = _if_new(book, move_cue(book, row.cue, anchor))
    except ChangeError as error:
        why = str(error)
    bar = planned.bar_number_at(Fraction(round(actual_s * NS), NS))
    name = f"{row.department} {row.number}"
    words = f"{name} was called {abs(row.late_s or 0):.1f} s {side}"
    t_ns = begun_ns + round((row.t_s or 0) * NS)
    does = f"{name} to {where}"
    return Difference(t_ns, row.item, actual_s, actual_s + 5, bar, words, does, change, why, row.cue)


def _of_the_form(
    plan: Plan, path: Sequence[Stretch], records: Sequence[Record], book: Show
) -> Iterator[Difference]:
    told = {"again": "played once more", "vamp": "vamped", "cut": "left out"}
    seen: set[tuple[str, str, str]] = set()
    for record in records:
        for event in record.events:
            if not isinstance(event, ev.FormTurned) or event.what not in told:
                continue
            key = (event.item, event.section, event.what)
            place = place_at(path, record.t_ns)
            item = next((i for i in book.items if i.id == event.item), None)
            if key in seen or place is None or not isinstance(item, Song):
                continue
            seen.add(key)
            planned = plan.items[place[0]]
            bar = planned.bar_number_at(Fraction(round(event.at_s * NS), NS))
            words = f"{event.section} was {told[event.what]}"
            yield Difference(
                record.t_ns, event.item, event.at_s, event.at_s + 5, bar, words, *_form(book, item, event)
            )


def _form(book: Show, item: Song, event: ev.FormTurned) -> tuple[str, Change | None, str]:
    if event.what != "vamp":
        return "", None, "a song's form is its tempo and sections: change those in the Book, if it stays so"
    sections = [s.model_dump(mode="json", exclude_defaults=True) for s in item.sections]
    marked = [s | {"vamp": True} if s["name"] == event.section else s for s in sections]
    change = SetFields(at=("items", item.id), fields={"sections": marked})
    return f"{event.section} is a vamp", _if_new(book, change), ""


def _if_new(book: Show, change: Change) -> Change | None:
    """The change, unless the book is so already.

    Raises:
        ChangeError: the book cannot take it.
    """
    after, _ = apply(book, change)
    return None if after == book else change
