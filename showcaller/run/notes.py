"""A note of a run, stamped with the place it was taken at. Pure."""

from fractions import Fraction

from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.state import RunState


def note_taken(
    compiled: CompiledShow, state: RunState, text: str, to: str, about: str, now_ns: int
) -> ev.NoteTaken:
    """A note at ``now_ns``: on the item that is on, its bar, and the cue that fired last."""
    planned = compiled.items[state.item].planned
    at_ns = state.item_ns(now_ns)
    position = None if at_ns is None else planned.bar_at(Fraction(at_ns, NS))
    last = max(
        ((m.at_ns, k) for k, m in state.marks[state.item].items() if m.status == "fired"), default=None
    )
    return ev.NoteTaken(
        text=text,
        to=to,
        item=planned.item.id,
        at_s=None if at_ns is None else at_ns / NS,
        bar=position[0] if position else None,
        beat=int(position[1]) if position else None,
        cue=None if last is None else planned.cues[last[1]].cue.id,
        about=about,
    )
