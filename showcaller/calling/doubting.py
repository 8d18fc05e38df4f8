"""What was fired and is not known to have left, in words for the person who decides about it. Pure."""

from showcaller.run.runbook import RunBook
from showcaller.values import Struct


class InDoubt(Struct, frozen=True):
    """A cue whose messages may not have left: its id, its name, where they were for, whether it may be
    sent."""

    cue: str
    name: str
    outlets: tuple[str, ...]
    hazard: bool

    @property
    def words(self) -> str:
        """One sentence."""
        return (
            f"{self.name} was fired, and its messages to {' and '.join(self.outlets)} may not have been sent"
        )


def in_doubt(book: RunBook) -> tuple[InDoubt, ...]:
    """Every cue in doubt, in the order they were fired in."""
    show = book.compiled.plan.show
    outlets = {o.id: o.name for o in show.outlets}
    found: dict[str, list[str]] = {}
    for doubt in book.state.doubts:
        found.setdefault(doubt.cue, []).append(outlets.get(doubt.outlet, doubt.outlet))
    rows = []
    for cue_id, names in found.items():
        if cue_id not in book.compiled.where:
            rows.append(InDoubt(cue_id, "a cue that was cut tonight", tuple(names), False))
            continue
        i, k = book.compiled.where[cue_id]
        cue = book.compiled.items[i].planned.cues[k].cue
        name = f"{show.department(cue.department).spoken} {cue.number}"
        rows.append(InDoubt(cue_id, name, tuple(names), cue.hazard is not None))
    return tuple(rows)


def doubt_line(book: RunBook, key: str) -> str:
    """The line over the desk while something is in doubt; empty when nothing is."""
    rows = in_doubt(book)
    if not rows:
        return ""
    names = ", ".join(row.name for row in rows[:4]) + (f" and {len(rows) - 4} more" if len(rows) > 4 else "")
    return f"Fired, but may not have been sent: {names}. {key}: send now, or leave."
