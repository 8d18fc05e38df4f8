"""A rehearsal from cue to cue: a little before the next go, or back to the top of a section. Pure."""

from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.sections import section_spans

LEAD_S = 15.0
"""So long before the next go a rehearsal goes on: time for its standby and a breath (common practice, no
source)."""


def before_next_go(book: RunBook, lead_s: float = LEAD_S) -> c.Command | None:
    """What takes the run to ``lead_s`` before its next go, or to its item's beginning if that is nearer;
    None when every go has been given. The go that starts an item only has its place taken up: it starts
    the clock."""
    place, items = book.state.place, book.compiled.items
    if place.item >= len(items):
        return None
    item = items[place.item]
    at_s = item.go_at_ns[place.go] / NS
    if place.go == 0 or at_s <= 0:
        return c.Jump(item=item.planned.item.id, cue=None)
    return c.Locate(item=item.planned.item.id, at_s=max(0.0, at_s - lead_s))


def tops(book: RunBook) -> tuple[tuple[str, float], ...]:
    """(section, seconds into the item) of the song that is on; none for what has no sections."""
    return tuple(
        (s.name, float(s.start_s)) for s in section_spans(book.compiled.items[book.state.item].planned)
    )


def top_of(book: RunBook, text: str) -> c.Locate | str:
    """What takes the run back to the top of a section, by its name or the beginning of it (``chorus``; with a
    number the one so counted: ``chorus 2``); a sentence if there is none."""
    wanted, count = text.strip().lower(), 1
    names = tops(book)
    head, _, last = wanted.rpartition(" ")
    if head and last.isdecimal() and not any(name.lower() == wanted for name, _ in names):
        wanted, count = head, int(last)
    found = [at_s for name, at_s in names if wanted and name.lower().startswith(wanted)]
    if len(found) < count or count < 1:
        have = ", ".join(dict.fromkeys(name for name, _ in names)) or "none"
        return f"no section '{text}' here; there are {have}"
    return c.Locate(item=book.compiled.plan.items[book.state.item].item.id, at_s=found[count - 1])
