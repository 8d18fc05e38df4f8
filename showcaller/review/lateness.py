"""Cues that are late, or early, night after night: habits, as against slips."""

from collections.abc import Iterable, Mapping, Sequence
from statistics import median

from showcaller.model import TimeAnchor
from showcaller.model.quantities import format_number
from showcaller.review.learned import FEWEST, Offer
from showcaller.review.tables import CueRow
from showcaller.timing.plan import Plan
from showcaller.values import Struct

HABIT_S = 0.4
"""A middle error smaller than this is a hand's own spread (common practice, no source)."""


class Habit(Struct, frozen=True):
    """A cue's goes over some runs: its middle error in seconds, late positive.

    ``off``: in how many of the ``runs`` it was off on that side by more than half of :data:`HABIT_S`.
    """

    cue: str
    name: str
    error_s: float
    off: int
    runs: int


def habits(nights: Iterable[tuple[int, Sequence[CueRow]]]) -> tuple[Habit, ...]:
    """Cues off on the same side in at least four of five runs, the worst first.

    Args:
        nights: (run number, its cue table), oldest first; runs in which the cue stood where it stands now.
    """
    errors: dict[str, list[float]] = {}
    names: dict[str, str] = {}
    for _, rows in nights:
        for row in rows:
            if row.status == "go" and row.firm and row.late_s is not None:
                errors.setdefault(row.cue, []).append(row.late_s)
                names[row.cue] = f"{row.department} {row.number}"
    found = []
    for cue, mine in errors.items():
        middle = median(mine)
        off = sum(e * middle > 0 and abs(e) > HABIT_S / 2 for e in mine)
        if len(mine) >= FEWEST and abs(middle) >= HABIT_S and off >= 0.8 * len(mine):
            found.append(Habit(cue, names[cue], middle, off, len(mine)))
    return tuple(sorted(found, key=lambda h: -abs(h.error_s)))


def habit_offers(plan: Plan, found: Iterable[Habit]) -> list[Offer]:
    """Habits in words; one hung on a time of its own can be moved to where it happens."""
    where: Mapping[str, tuple[str, TimeAnchor | None]] = {
        c.id: (item.item.id, c.anchor if isinstance(c.anchor, TimeAnchor) else None)
        for item in plan.items
        for c in item.item.cues
    }
    offers = []
    for habit in found:
        if habit.cue not in where:
            continue
        item, anchor = where[habit.cue]
        side = "late" if habit.error_s > 0 else "early"
        often = f"in {habit.off} of {habit.runs} shows"
        words = f"{habit.name} was called {abs(habit.error_s):.1f} s {side} {often}."
        if anchor is None:
            detail = "it is tied to the music: practise the call, or change the department's reaction time"
            offers.append(Offer(f"habit {habit.cue}", words, detail, "practise, or change the reaction time"))
            continue
        to = max(0.0, round(float(anchor.seconds) + habit.error_s, 1))
        detail = f"planned {format_number(anchor.seconds)} s into the item; would become {to:g} s"
        fields = {"anchor": {"at": "time", "seconds": f"{to:g}"}}
        offers.append(
            Offer(
                f"habit {habit.cue}",
                words,
                detail,
                f"to {to:g} s",
                ("items", item, "cues", habit.cue),
                fields,
            )
        )
    return offers
