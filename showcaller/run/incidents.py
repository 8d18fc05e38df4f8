"""Incidents: stamped when their key is pressed, written afterwards, field by field. Pure.

What is written of one is never taken out of the log; a field that is written again counts as written last.
"""

from collections.abc import Mapping

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow
from showcaller.run.notes import note_taken
from showcaller.run.outcome import Outcome
from showcaller.run.runlog import INCIDENTS
from showcaller.run.state import LoggedIncident, RunState
from showcaller.values import replace

BY_MISTAKE = "by mistake"
"""The kind of one whose key was pressed by mistake."""
DRAFT = "draft"
"""The field that has what was typed so far and not yet given."""
FORM = ("person", "place", "witness", "first_aid", "follow_up")
"""What can be finished later."""
FIELDS = ("kind", "what", *FORM, DRAFT)
LONGEST = 2000
"""Characters of a field."""


def open_incident(
    compiled: CompiledShow, state: RunState, given: c.OpenIncident, now_ns: int, out: Outcome
) -> RunState:
    """The key of an incident was pressed: that is its moment, whatever comes of the words."""
    if not given.incident or given.incident in state.incidents:
        out.refused = "that incident has been logged already; write what happened"
        return state
    place = note_taken(compiled, state, "", "", "", now_ns)
    opened = ev.IncidentOpened(
        incident=given.incident,
        by=given.by,
        item=place.item,
        at_s=place.at_s,
        bar=place.bar,
        beat=place.beat,
        cue=place.cue,
    )
    out.events.append(opened)
    return recalled(state, opened, now_ns)


def write_incident(state: RunState, given: c.WriteIncident, now_ns: int, out: Outcome) -> RunState:
    """Words to an incident; what was typed so far is kept until they are given."""
    out.refused = _wrong(state, given)
    if out.refused is not None:
        return state
    fields = {name: str(words).strip() for name, words in given.fields.items()}
    if "what" in fields or fields.get("kind") == BY_MISTAKE:
        fields[DRAFT] = ""
    written = ev.IncidentWritten(incident=given.incident, fields=fields, by=given.by)
    out.events.append(written)
    return recalled(state, written, now_ns)


def _wrong(state: RunState, given: c.WriteIncident) -> str | None:
    if given.incident not in state.incidents:
        return "that incident is not in this run's log; press its key first"
    for name, words in given.fields.items():
        if name not in FIELDS:
            return f"an incident has no field '{name[:20]}'; it has {', '.join(FIELDS)}"
        if not isinstance(words, str):
            return f"{name} of an incident must be words"
        if len(words) > LONGEST:
            return f"{name} is longer than {LONGEST} characters; write the rest into the venue's own report"
    kinds = (*INCIDENTS, BY_MISTAKE)
    if given.fields.get("kind", BY_MISTAKE) not in kinds:
        return f"an incident is one of {', '.join(kinds)}; not '{given.fields['kind'][:20]}'"
    return None if given.fields else "nothing was written; type what happened"


def recalled(state: RunState, event: ev.Event, t_ns: int) -> RunState:
    """The state with what an event tells of an incident."""
    match event:
        case ev.IncidentOpened():
            one = LoggedIncident(t_ns, event.by)
        case ev.IncidentWritten():
            was = state.incidents.get(event.incident, LoggedIncident(t_ns, event.by))  # opened in a gap
            one = replace(was, fields=with_words(was.fields, event))
        case _:
            return state
    return replace(state, incidents={**state.incidents, event.incident: one})


def with_words(fields: Mapping[str, str], event: ev.IncidentWritten) -> dict[str, str]:
    """Fields of an incident with those that were written; one written empty is taken out."""
    found = {**fields, **{name: str(words) for name, words in event.fields.items()}}
    return {name: words for name, words in found.items() if words}


def to_come(fields: Mapping[str, str]) -> bool:
    """Whether nobody has said yet what happened."""
    return fields.get("kind") != BY_MISTAKE and not (fields.get("kind") and fields.get("what"))


def blank(fields: Mapping[str, str]) -> tuple[str, ...]:
    """Fields of its form that are still to be filled in."""
    if fields.get("kind") == BY_MISTAKE:
        return ()
    return tuple(name for name in FORM if not fields.get(name))
