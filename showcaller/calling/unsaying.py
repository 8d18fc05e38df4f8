"""Taking back what was said, and saying again what nobody acknowledged. Pure."""

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runbook import RunBook


def last_said(book: RunBook) -> ev.LineSaid | None:
    """The warning or standby that was called last and still counts; None if a go or a move of the place came
    after it, which is then what is to be taken back."""
    for record in reversed(book.records):
        for event in reversed(record.events):
            if isinstance(event, ev.LineSaid) and event.line in book.state.said:
                return event
            if isinstance(event, ev.CommandRefused):
                break
        else:
            if isinstance(record.input, c.Go | c.Back | c.Jump | c.Skip):
                return None
    return None


def unsay(said: ev.LineSaid) -> c.Unsay:
    """The command that takes a line back."""
    return c.Unsay(line=said.line, cues=said.cues if said.what == "standby" else ())


def not_acknowledged(book: RunBook) -> tuple[str, tuple[str, ...]] | None:
    """(the standby called last, names of its departments that have not answered); None if all have."""
    said = last_said(book)
    if said is None or said.what != "standby":
        return None
    compiled, state = book.compiled, book.state
    names: dict[str, None] = {}
    for cue in said.cues:
        i, k = compiled.where[cue]
        if k in state.marks[i] and state.marks[i][k].status == "standby":
            department = compiled.items[i].planned.cues[k].cue.department
            names[compiled.plan.show.department(department).name] = None
    words = book.line_words(said.line)
    return (words, tuple(names)) if names and words is not None else None
