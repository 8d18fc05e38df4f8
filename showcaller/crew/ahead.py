"""What is to come for a position, and its running sheet, worked out from the run book. Pure.

Everything is told in figures and codes, no sentences: the page says them in the language of whoever reads it.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Any, Literal

from showcaller.calling.form_view import is_open, shift_s, turn_of
from showcaller.calling.rungs import item_bases, status_of
from showcaller.crew.outline import Outline, OwnCue
from showcaller.model import Song
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.run.state import Turn
from showcaller.timing.plan import PlannedItem
from showcaller.values import Struct


class Coming(Struct, frozen=True):
    """A cue that is to come.

    ``in_s`` is how long until its go lands (an automatic one: until it fires), ``standby_in_s`` until its
    standby is called, None where there is none to come. ``how``: by a go, automatic, or a go by eye.
    ``firm`` is False where that is no instant to rely on: by eye, waiting for another item to begin.
    """

    cue: str
    name: str
    does: str
    notes: str
    item: str
    place: dict[str, Any]
    how: Literal["go", "automatic", "eye"]
    in_s: float
    standby_in_s: float | None
    firm: bool
    status: str
    sees: str
    hazard: str


def coming(book: RunBook, mine: Outline, now_ns: int, most: int) -> list[Coming]:
    """The next ``most`` cues of a position, the soonest first."""
    found: list[Coming] = []
    for i, base_s in item_bases(book, now_ns):
        if len(found) >= most or book.state.phase == "ended":
            break  # what other items have comes later still
        found += _of_item(book, mine[i], i, base_s)
    return sorted(found, key=lambda one: one.in_s)[:most]


def _of_item(book: RunBook, own: tuple[OwnCue, ...], i: int, base_s: float) -> Iterator[Coming]:
    state, item = book.state, book.compiled.items[i]
    marks, turn = state.marks[i], turn_of(book, i)
    given = state.place.go if i == state.place.item else 0
    if i == state.item and state.place.item != i:
        given = len(item.go_ids)  # all of its gos
    starts = i == state.place.item and state.cued_up
    for cue in own:
        if cue.go is not None and cue.go < given:
            continue
        if status_of(marks, cue.k) not in (None, "standby", "answered"):
            continue
        later_s = shift_s(turn, item.at_ns[cue.k])
        if later_s is not None:
            yield _coming(book, i, cue, base_s + later_s, starts, turn)


def _coming(book: RunBook, i: int, own: OwnCue, base_s: float, starts: bool, turn: Turn | None) -> Coming:
    item = book.compiled.items[i]
    cue = item.planned.cues[own.k].cue
    go = None if own.go is None else item.planned.goes[own.go]
    firm = not starts and not is_open(turn, item.at_ns[own.k])
    in_s = base_s + item.at_ns[own.k] / NS
    if go is not None and own.go is not None:
        in_s = base_s + (item.go_at_ns[own.go] - item.go_lead_ns[own.go]) / NS
        firm = firm and go.firm and not go.starts_item
    sees = go.sees if go is not None else None
    to_call = [at_s for line, at_s in own.standbys if line not in book.state.said]
    return Coming(
        cue=cue.id,
        name=book.cue_name(cue.id),
        does=cue.label,
        notes=cue.notes,
        item=item.planned.item.name,
        place=place_of(item.planned, own.k),
        how="automatic" if go is None else "eye" if sees is not None else "go",
        in_s=in_s,
        standby_in_s=base_s + to_call[0] if to_call and go is not None else None,
        firm=firm,
        status=status_of(book.state.marks[i], own.k) or "",
        sees=sees or "",
        hazard=cue.hazard.caution if cue.hazard is not None else "",
    )


def place_of(planned: PlannedItem, k: int) -> dict[str, Any]:
    """Where a cue falls: bar and beat, or seconds into its item."""
    at_s = planned.cues[k].at_s
    bar = planned.bar_at(at_s)
    if bar is None or bar[0] < 1:
        return {"s": round(float(at_s))}
    return {"bar": bar[0], "beat": int(bar[1])}


def now_playing(book: RunBook, now_ns: int) -> dict[str, Any] | None:
    """The item that is on, where it is in it, and the one after; None while nothing is."""
    state, items = book.state, book.compiled.items
    at_ns = state.item_ns(now_ns)
    if state.phase == "ended" or at_ns is None:
        return None
    planned = items[state.item].planned
    found: dict[str, Any] = {
        "name": planned.item.name if state.unplanned is None else state.unplanned.name,
        "kind": planned.item.kind,
        "length_s": round(float(planned.item.length_s), 1),
    }
    section = [s.name for s in items[state.item].sections if s.start_ns <= at_ns < s.end_ns]
    if section:
        found["section"] = section[-1]
    if isinstance(planned.item, Song) and planned.tempo is not None:
        bar = planned.bar_at(Fraction(at_ns, NS))
        if bar is not None and bar[0] >= 1:
            found["bar"] = bar[0]
    # Where the caller has jumped on to, that comes next.
    following = state.item + 1 if state.place.item == state.item else state.place.item
    if following < len(items):
        found["then"] = items[following].planned.item.name
    return found


def sheet_of(book: RunBook, mine: Outline) -> list[dict[str, Any]]:
    """A position's running sheet: every item with its cues, what has become of each."""
    rows: list[dict[str, Any]] = []
    for i, item in enumerate(book.compiled.items):
        planned, marks = item.planned, book.state.marks[i]
        cues = []
        for own in mine[i]:
            cue = planned.cues[own.k].cue
            cues.append(
                {
                    "cue": cue.id,
                    "name": book.cue_name(cue.id),
                    "does": cue.label,
                    "notes": cue.notes,
                    "place": place_of(planned, own.k),
                    "how": "automatic" if own.go is None else "go",
                    "status": status_of(marks, own.k) or "",
                    "hazard": cue.hazard.caution if cue.hazard is not None else "",
                }
            )
        rows.append(
            {
                "item": planned.item.name,
                "length_s": round(float(planned.item.length_s)),
                "on": i == book.state.item and book.state.clock_ns is not None,
                "over": planned.item.id in book.lengths_s or planned.item.id in book.skipped_items,
                "cues": cues,
            }
        )
    return rows
