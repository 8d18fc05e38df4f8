"""A section played again and again in a rehearsal. Pure."""

from showcaller.calling.cue_to_cue import tops
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.sections import section_spans
from showcaller.values import Struct


class Loop(Struct, frozen=True):
    """From the first go at or after a section's start to its end, on the item's clock (ns)."""

    item: str
    section: str
    cue: str | None
    ends_ns: int


def loop_of(book: RunBook, text: str) -> Loop | str:
    """The loop of a section of the item that is on, by its name; a sentence if there is none."""
    state = book.state
    item = book.compiled.items[state.item]
    song, sections = item.planned.item, section_spans(item.planned)
    if not sections:
        return f"'{song.name}' has no sections to loop; give it some in the Book"
    names = [s.name for s in sections]
    found = [n for n, name in enumerate(names) if text.strip().lower() in name.lower()]
    if not text.strip() or not found:
        return f"no section '{text}'; there are {', '.join(names)}"
    n = found[0]
    start_s, end_s = sections[n].start_s, sections[n].end_s
    goes = [g for g in item.planned.goes if start_s <= g.at_s < end_s and g.cues]
    cue = item.ids[goes[0].cues[0]] if goes else None
    if cue is None and n > 0:
        return f"'{names[n]}' has no go to begin from"
    return Loop(song.id, names[n], cue, round(end_s * NS))


def section_names(book: RunBook) -> tuple[str, ...]:
    """The sections of the song that is on; none for what has no bars."""
    return tuple(name for name, _ in tops(book))


def is_over(loop: Loop, book: RunBook, now_ns: int) -> bool:
    """Whether the section has been played to its end, so that the place goes back to its start."""
    state = book.state
    if book.compiled.plan.items[state.item].item.id != loop.item or state.phase != "running":
        return False
    at_ns = state.item_ns(now_ns)
    return at_ns is not None and at_ns >= loop.ends_ns
