"""What a remote may do, decided purely: the same one-press-one-go as at the desk, and never a hazard."""

from showcaller.run import commands as c
from showcaller.run.compiled import CompiledShow
from showcaller.run.marking import open_cues
from showcaller.run.state import RunState
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.values import Struct

GAP_NS = 400_000_000
"""Two asks for a go nearer than this are one, as at the desk (common practice, no source)."""


class Asked(Struct, frozen=True):
    """What was asked, from where, when (monotonic ns); ``text`` is a note's."""

    what: str
    source: str
    at_ns: int
    text: str = ""


class Gate:
    """Turns what is asked into a command, or says why not."""

    def __init__(self) -> None:
        self._last_go_ns = -(10**18)

    def admit(self, asked: Asked, compiled: CompiledShow, state: RunState) -> c.Input | str:
        """The command, or a sentence."""
        if asked.what == "go":
            return self._go(asked, compiled, state)
        if asked.what == "standby":
            return self._standby(compiled, state)
        if asked.what == "hold":
            return c.Hold(f"by {asked.source}")
        if asked.what == "note":
            return c.WriteNote(asked.text)
        return f"'{asked.what}' is not something a remote can ask for: it sends go, standby, hold or note"

    def _go(self, asked: Asked, compiled: CompiledShow, state: RunState) -> c.Input | str:
        near = asked.at_ns - self._last_go_ns < GAP_NS
        self._last_go_ns = asked.at_ns  # a trembling foot cannot wait it out
        if near:
            return "that came too soon after the last go, as one press; press again"
        i, g = state.place.item, state.place.go
        if i >= len(compiled.items):
            return "every go of this show has been given: jump back at the desk, or end the show"
        planned = compiled.items[i].planned
        if any(planned.cues[k].cue.hazard is not None for k in planned.goes[g].cues):
            return "the next go is hazardous: give it at the desk, with its second key"
        return c.Go(compiled.items[i].go_ids[g])

    def _standby(self, compiled: CompiledShow, state: RunState) -> c.Input | str:
        sheets = compile_show_calls(compiled.plan)  # of items that did not change a look-up
        for i in range(state.item, len(compiled.items)):
            ids = compiled.items[i].ids
            for line in sheets[i].lines:
                if line.what != "go" and line.id not in state.said and open_cues(state, i, line.cues):
                    return c.Standby(line.id, tuple(ids[k] for k in line.cues), line.what)
        return "there is no standby left to call; the next key is the go"
