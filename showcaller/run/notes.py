"""A note of a run, stamped with the place it was taken at. Pure."""

from fractions import Fraction

from showcaller.run import events as ev
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.state import RunState

LONGEST_AGO_S = 3600.0
"""Nobody types a note for longer than an hour."""


def note_taken(
    compiled: CompiledShow,
    state: RunState,
    text: str,
    to: str,
    about: str,
    now_ns: int,
    ago_s: float = 0.0,
) -> ev.NoteTaken:
    """A note of ``ago_s`` before ``now_ns``: on the item that is on, its bar, and the cue that fired last.
    What was pressed before the item began is put at its beginning."""
    planned = compiled.items[state.item].planned
    ago_s = min(max(0.0, ago_s), LONGEST_AGO_S)
    at_ns = state.item_ns(now_ns)
    if at_ns is not None and state.held_at_ns is None and not state.stands:
        at_ns = max(0, at_ns - round(ago_s * NS)) if at_ns >= 0 else at_ns
    position = None if at_ns is None else planned.bar_at(Fraction(at_ns, NS))
    until_ns = at_ns if at_ns is not None and ago_s else None
    fired = ((m.at_ns, k) for k, m in state.marks[state.item].items() if m.status == "fired")
    last = max((f for f in fired if until_ns is None or f[0] <= until_ns), default=None)
    return ev.NoteTaken(
        text=text,
        to=to,
        item=planned.item.id,
        at_s=None if at_ns is None else at_ns / NS,
        bar=position[0] if position else None,
        beat=int(position[1]) if position else None,
        cue=None if last is None else planned.cues[last[1]].cue.id,
        about=about,
        ago_s=ago_s or None,
    )
