"""What going to a place means: what is passed over, and how devices should stand there. Pure."""

from showcaller.calling.finding import Found
from showcaller.model import Cue
from showcaller.run.runbook import RunBook
from showcaller.values import Struct


class Going(Struct, frozen=True):
    """A place and its price.

    ``skipped`` are cues that will not be fired; ``again`` those that had been and come again; ``stand`` the
    last cue of each department before the place that sends anything: where its device should be. Hazardous
    cues are never among them. ``runs_on``: the place is in the item that is on, whose clock goes on.
    """

    found: Found
    skipped: tuple[Cue, ...]
    again: tuple[Cue, ...]
    stand: tuple[Cue, ...]
    runs_on: bool = False


def going_to(book: RunBook, found: Found) -> Going:
    """What going there means from where the run is now."""
    compiled, state = book.compiled, book.state
    to = compiled.item_index[found.item]
    target = compiled.items[to]
    at_ns = 0 if found.cue is None else target.at_ns[compiled.where[found.cue][1]]
    runs_on = to >= state.item and state.clock_ns is not None
    by_clock = {k for k, _ in compiled.items[to].timed} if runs_on and to == state.item else set()
    skipped: list[Cue] = []
    again: list[Cue] = []
    # Back in an earlier item all that came after it comes again, in the items behind it too.
    for i in range(len(compiled.items) if to < state.item else to + 1):
        planned = compiled.items[i]
        for k, cue in enumerate(planned.planned.cues):
            before = i < to or (i == to and planned.at_ns[k] < at_ns)
            mark = state.marks[i].get(k)
            fired = mark is not None and mark.status == "fired"
            if before and i >= state.item and mark is None:
                skipped.append(cue.cue)
            if not before and fired and not (i == to and k in by_clock):
                again.append(cue.cue)
    return Going(found, tuple(skipped), tuple(again), _standing(book, to, at_ns), runs_on)


def _standing(book: RunBook, item: int, before_ns: int) -> tuple[Cue, ...]:
    """Of each department the last cue that sends anything, up to an instant of an item."""
    stand: dict[str, Cue] = {}
    for i in range(item + 1):
        compiled = book.compiled.items[i]
        for k, cue in enumerate(compiled.planned.cues):
            before = i < item or compiled.at_ns[k] < before_ns
            if before and cue.cue.messages and cue.cue.hazard is None:
                stand[cue.cue.department] = cue.cue
    return tuple(stand.values())


def standing_here(book: RunBook) -> tuple[Cue, ...]:
    """Where devices should stand at the place the run is at."""
    place, items = book.state.place, book.compiled.items
    if place.item >= len(items):
        return _standing(book, len(items) - 1, items[-1].length_ns + 1)
    return _standing(book, place.item, items[place.item].go_at_ns[place.go])


def cue_names(book: RunBook, cues: tuple[Cue, ...], most: int = 6) -> str:
    """``Lights 12, Video 3 and 4 more``."""
    show = book.compiled.plan.show
    names = [f"{show.department(c.department).name} {c.number}" for c in cues[:most]]
    more = f" and {len(cues) - most} more" if len(cues) > most else ""
    return ", ".join(names) + more


def _target(book: RunBook, going: Going) -> str:
    return book.compiled.plan.items[book.compiled.item_index[going.found.item]].item.name


def going_words(book: RunBook, going: Going) -> str:
    """The price in plain lines, for the prompt."""
    lines = []
    if going.runs_on:
        here = book.compiled.plan.items[book.state.item].item
        if going.found.item == here.id:
            lines.append(
                "The song's clock runs on. STOP jumps and stops it: the next go then starts it there."
            )
        else:
            lines.append(f"'{here.name}' runs on until the next go. STOP ends it now.")
    elif book.state.clock_ns is not None:
        here = book.compiled.plan.items[book.state.item].item
        lines.append(f"'{here.name}' is stopped, and its clock; the next go starts '{_target(book, going)}'.")
    if going.skipped:
        lines.append(f"Skipped: {cue_names(book, going.skipped)}.")
    if going.again:
        lines.append(f"To be called again: {cue_names(book, going.again)}.")
    if going.stand:
        lines.append(f"Current state there: {cue_names(book, going.stand, 8)}.")
        lines.append("Enter jumps and sends nothing; SEND jumps and resends these.")
    else:
        lines.append("Enter jumps; nothing is sent.")
    return "\n".join(lines)
