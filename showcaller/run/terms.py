"""Two machines and one show: which engine's word counts, and what the other may have done unseen. Pure.

A second engine that takes over raises the run's term. Nothing that the first may have fired meanwhile is
fired again by itself: it counts as fired, is named in doubt, and a person says whether it is sent.
"""

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run import incidents
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.firing import after
from showcaller.run.marking import automatic_due, with_marks
from showcaller.run.outcome import Outcome
from showcaller.run.state import Doubt, Mark, RunState
from showcaller.run.turning import next_turn, turned
from showcaller.values import replace

WRITTEN = (ev.NoteTaken, ev.IncidentOpened, ev.IncidentWritten)
"""What people wrote is true whichever engine counts."""

TELL_APART = (ev.Fired, ev.CuesDoubtful, ev.ItemStarted, *WRITTEN)
"""What counts of an engine that was not heard."""


def raise_term(
    compiled: CompiledShow, state: RunState, given: c.RaiseTerm, now_ns: int, out: Outcome
) -> RunState:
    """This engine takes over. What has come due by itself since the other was heard is in doubt."""
    if given.term <= state.term:
        out.refused = f"the show is in term {state.term} already; take over once more"
        return state
    raised = ev.TermRaised(term=given.term, machine=given.machine, by=given.by, planned=given.planned)
    out.events.append(raised)
    state = replace(state, term=given.term, held_back="")
    if given.planned:
        return state
    return _unseen(compiled, state, now_ns, out)


def _unseen(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome) -> RunState:
    """Whatever has come due by itself and is not in the log may have left the other machine."""
    cues: list[str] = []
    doubts: list[Doubt] = []
    while state.phase == "running" and not state.stands:
        due, at_ns, turn = automatic_due(compiled, state), state.item_ns(now_ns), next_turn(compiled, state)
        comes = turn is not None and at_ns is not None and turn.at_ns <= at_ns
        if turn is not None and comes and (due is None or turn.at_ns <= due[0]):
            state = turned(compiled, state, turn, now_ns, out)
            continue
        if due is None or at_ns is None or due[0] > at_ns:
            break
        due_ns, k = due
        item = compiled.items[state.item]
        cues.append(item.ids[k])
        doubts += [Doubt(item.ids[k], outlet) for outlet in item.outlets[k]]
        state = with_marks(state, state.item, {k: Mark("fired", due_ns)})
    return _doubtful(state, cues, doubts, out)


def _doubtful(state: RunState, cues: list[str], doubts: list[Doubt], out: Outcome) -> RunState:
    if not cues:
        return state
    out.events.append(ev.CuesDoubtful(cues=tuple(dict.fromkeys(cues))))
    return replace(state, doubts=tuple(dict.fromkeys((*state.doubts, *doubts))))


def higher_term(state: RunState, given: c.HigherTerm, out: Outcome) -> RunState:
    """Another engine counts from here on: nothing leaves this one any more, whatever is asked of it."""
    if given.term <= state.term:
        out.refused = f"this engine's term is {state.term}, so {given.machine} does not go before it"
        return state
    out.events.append(ev.OutputsHeld(term=given.term, machine=given.machine))
    return replace(state, held_back=given.machine)


def held_back(state: RunState) -> str:
    """Why nothing can be asked of an engine that another has taken over from."""
    return f"{state.held_back} has taken over: this machine's outputs are held; ask there"


def heard_apart(
    compiled: CompiledShow, state: RunState, given: c.HeardApart, now_ns: int, out: Outcome
) -> RunState:
    """What an engine of an earlier term did while it was not heard.

    What it fired counts as fired and is in doubt, since nobody knows what it reached; the place goes behind
    gos that it gave from here on. What people wrote is told again. Clocks and clearances stay as they are
    here, and the whole of it is in the input.
    """
    told = [e for _, events in given.heard or () for e in events]
    fired = [e for e in told if isinstance(e, ev.Fired)]
    at_s = {e.cue: e.actual_s for e in fired}
    in_doubt = [cue for e in told if isinstance(e, ev.CuesDoubtful) for cue in e.cues]
    cues: list[str] = []
    twice: list[str] = []
    doubts: list[Doubt] = []
    for cue in dict.fromkeys((*at_s, *in_doubt)):
        if cue not in compiled.where:
            continue
        i, k = compiled.where[cue]
        mark = state.marks[i].get(k)
        if mark is not None and mark.status == "fired":
            if cue in at_s and all(d.cue != cue for d in (*state.doubts, *doubts)):
                twice.append(cue)
            continue
        cues.append(cue)
        doubts += [Doubt(cue, outlet) for outlet in compiled.items[i].outlets[k]]
        here_ns = (state.item_ns(now_ns) or 0) if i == state.item else 0
        then_ns = round(at_s[cue] * NS) if cue in at_s else compiled.items[i].at_ns[k]
        state = with_marks(state, i, {k: Mark("fired", min(here_ns, then_ns))})
    given_gos = {e.go for e in fired if e.go is not None}
    begun = [e for e in told if isinstance(e, ev.ItemStarted)]
    given_gos |= {compiled.items[compiled.item_index[e.item]].go_ids[0] for e in begun
                  if e.item in compiled.item_index and e.at_s == 0}  # fmt: skip
    place = state.place
    while place.item < len(compiled.items) and compiled.items[place.item].go_ids[place.go] in given_gos:
        place = after(compiled, place.item, place.go)
    state = replace(state, place=place)
    out.events.append(
        ev.ApartHeard(
            term=given.term, machine=given.machine, records=len(given.heard or ()),
            cues=tuple(dict.fromkeys(cues)), twice=tuple(dict.fromkeys(twice)),
        )
    )  # fmt: skip
    for t_ns, events in given.heard or ():
        for event in events:
            if isinstance(event, WRITTEN):
                out.events.append(event)
                state = incidents.recalled(state, event, t_ns)
    return _doubtful(state, cues, doubts, out)
