"""Taking back what was said, marked or shifted, and saying again what nobody acknowledged. Pure."""

from collections.abc import Iterator

from showcaller.calling.wording import seconds_moved
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runbook import RunBook, form_words
from showcaller.values import Struct


class LastAct(Struct, frozen=True):
    """What the key that takes back would take back, if it is not a go: in words, and by which command."""

    words: str
    undo: c.Command


def last_act(book: RunBook) -> LastAct | None:
    """The last line called, step of a walk marked or shift of the clock that still counts; None if a go or a
    move of the place came after it, which is then what is to be taken back."""
    found = (_undoing(book, event) for event in _since_the_last_go(book))
    return next((act for act in found if act is not None), None)


def _since_the_last_go(book: RunBook) -> Iterator[ev.Event]:
    """What happened since a go was last given or the place moved, the latest first; what was refused did
    not."""
    for record in reversed(book.records):
        if any(isinstance(event, ev.CommandRefused) for event in record.events):
            continue
        yield from reversed(record.events)
        if isinstance(record.input, c.Go | c.Back | c.Jump | c.Locate | c.Skip):
            return


def _undoing(book: RunBook, event: ev.Event) -> LastAct | None:
    state = book.state
    match event:
        case ev.LineSaid() if event.line in state.said:
            words = book.line_words(event.line) or event.what
            cues = event.cues if event.what == "standby" else ()
            return LastAct(words, c.Unsay(line=event.line, cues=cues))
        case ev.WalkStep() if (event.item, event.step) in state.walked:
            return LastAct(f"walk step: {event.step}", c.UnmarkWalkStep(event.item, event.step))
        case ev.FormSet() if state.turn is not None and state.turn.what == event.what:
            return LastAct(form_words(event.section, event.what), c.PlaySection("on"))
        case ev.MomentMarked() if not event.undone and event.what in state.moments:
            return LastAct(event.what, c.MarkMoment(event.what, undo=True))
        case ev.Resynced() if not event.undone and state.resynced is not None:
            if (event.item, round(event.shift_s * 1e9)) == state.resynced:
                words = f"the clock moved by {seconds_moved(event.shift_s)}"
                return LastAct(words, c.Resync(undo=True))
    return None


def taken_back_last(book: RunBook) -> str | None:
    """A cue of the last go, if that go was taken back and none was given since."""
    for record in reversed(book.records):
        if any(isinstance(event, ev.CommandRefused) for event in record.events):
            continue
        if any(isinstance(event, ev.Fired) and event.by == "go" for event in record.events):
            return None
        if isinstance(record.input, c.Back):
            cues = (cue for event in record.events if isinstance(event, ev.TakenBack) for cue in event.cues)
            return next(cues, None)
    return None


def last_said(book: RunBook) -> ev.LineSaid | None:
    """The warning or standby that was called last and still counts; None if a go or a move of the place came
    after it."""
    said = (e for e in _since_the_last_go(book) if isinstance(e, ev.LineSaid) and e.line in book.state.said)
    return next(said, None)


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
