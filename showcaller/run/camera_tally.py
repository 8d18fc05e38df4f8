"""Which cameras are on the wall and which come with the next look, from what a run's state says. Pure."""

from showcaller.model import Look
from showcaller.run.compiled import CompiledShow
from showcaller.run.playing import look_now
from showcaller.run.state import RunState
from showcaller.screen.cameras import cameras_of
from showcaller.screen.looks import resolved

OFF, NEXT, ON = 0, 1, 2


def tallies(compiled: CompiledShow, state: RunState) -> dict[str, int]:
    """Each camera's tally: on the wall as it stands and was played, else in the next look that is planned."""
    show = compiled.plan.show
    on = state.on_wall
    seen = set() if on is None else seen_in(look_now(show, on))
    coming = coming_look(compiled, state)
    after = set() if coming is None else seen_in(coming)
    return {c.id: ON if c.id in seen else NEXT if c.id in after else OFF for c in cameras_of(show)}


def seen_in(look: Look) -> set[str]:
    """Ids of the sources that a look shows."""
    return {layer.source for layer in look.layers if layer.opacity > 0}


def coming_look(compiled: CompiledShow, state: RunState) -> Look | None:
    """The next look that a cue brings: after the last that one brought in this item, else in the next."""
    on = state.on_wall
    last = "" if on is None or on.planned is None else on.planned.cue or ""
    for n in (state.item, state.item + 1):
        if n >= len(compiled.items):
            break
        cues = [p.cue for p in compiled.items[n].planned.cues]
        at = next((k + 1 for k, cue in enumerate(cues) if cue.id == last), 0)
        found = next((cue.look for cue in cues[at:] if cue.look is not None), None)
        if found is not None:
            return resolved(compiled.plan.show, found)
    return None
