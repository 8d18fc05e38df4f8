"""What the next caller must know, on one page. Pure."""

from showcaller.calling.caller_view import call_view
from showcaller.calling.status_view import clearance_rows, outlet_rows, running_over_s
from showcaller.calling.wording import drift, said_aloud, span
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.values import Struct

_LINES = 4
_NOTES = 4


class Heading(Struct, frozen=True):
    """A heading of the page and what stands below it, a line each."""

    title: str
    lines: tuple[str, ...]


def handover_page(book: RunBook, now_ns: int) -> tuple[Heading, ...]:
    """The page: where we are, what comes, who has not answered, what waits, what is wrong, what was noted."""
    view = call_view(book, now_ns)
    state = book.state
    item = book.compiled.items[state.item].planned.item
    at_ns = state.item_ns(now_ns)
    where = f"{item.name}, {'cued up' if at_ns is None else f'{span(at_ns / NS)} of {span(item.length_s)}'}"
    over_s = running_over_s(book, now_ns)
    place = [where]
    if state.phase == "held":
        place.append(f"ON HOLD: {state.hold_reason or 'no reason given'}")
    if over_s is not None and abs(over_s) >= 1:
        place.append(f"running {drift(over_s)}")
    place.append("all outputs muted: a rehearsal" if state.all_muted else "outputs live")
    coming = [r for r in (view.now, *view.ladder) if r is not None and r.what != "automatic"][:_LINES]
    pages = [
        Heading("Where we are", tuple(place)),
        Heading("What you call next", tuple(f"in {span(max(0.0, r.in_s))}  {r.text}" for r in coming)),
        Heading("Not acknowledged", view.waiting),
        Heading(
            "Not clear",
            tuple(f"{r.name}: {r.words}" for r in clearance_rows(book, now_ns) if r.needed and not r.there),
        ),
        Heading(
            "Outputs in trouble",
            tuple(f"{o.name}: {o.words}" for o in outlet_rows(book) if o.tone == "missed"),
        ),
        Heading("Missed", tuple(_cue_name(book, m.cue) for m in book.missed[-_NOTES:])),
        Heading("Last called", tuple(said_aloud(s.text) for s in book.said[-2:])),
        Heading("Notes", tuple(n.text for n in book.notes[-_NOTES:])),
    ]
    return tuple(page for page in pages if page.lines)


def _cue_name(book: RunBook, cue_id: str) -> str:
    i, k = book.compiled.where[cue_id]
    cue = book.compiled.items[i].planned.cues[k].cue
    return f"{book.compiled.plan.show.department(cue.department).name} {cue.number} {cue.label}"
