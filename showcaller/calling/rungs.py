"""The coming lines of a run as the ladder has them, worked out from the run book. Pure: no Qt, no clock.

All times are seconds; ``in_s`` counts down to an instant and is negative once it has passed.
"""

from collections.abc import Iterator
from fractions import Fraction
from typing import Literal

from showcaller.calling.checklists import unticked
from showcaller.calling.form_view import is_open, shift_s, turn_of
from showcaller.calling.wording import said_aloud, span
from showcaller.model import Cue, Department, Song
from showcaller.run.clearing import standing
from showcaller.run.compiled import NS
from showcaller.run.interventions import open_on_leg, walk_steps
from showcaller.run.runbook import RunBook
from showcaller.run.state import Mark
from showcaller.timing.calls.sheet import CallLine
from showcaller.timing.plan import PlannedGo, PlannedItem
from showcaller.timing.speech import Naming
from showcaller.values import Struct

What = Literal["warning", "standby", "go", "automatic"]
AHEAD_S = 300.0
"""How far the ladder looks."""
COUNTED_BEATS = 4
"""So many beats before a go are counted at the box (a bar of common time; common practice, no source)."""


class Sign(Struct, frozen=True):
    """A department's shape; ``filled`` once it has answered or when it is a go."""

    department: Department
    filled: bool


class Rung(Struct, frozen=True):
    """A coming line on the ladder.

    ``in_s`` is when it is to be said (a go: when its *go* lands). ``firm`` is False for what is called by eye
    or begins an item: no instant to be late for. ``go`` is the id to send, for a go.
    """

    id: str
    what: What
    text: str
    in_s: float
    takes_s: float
    firm: bool
    signs: tuple[Sign, ...]
    cues: tuple[str, ...]
    needs: tuple[str, ...] = ()
    waits: tuple[str, ...] = ()
    """Names of the clearances in ``needs`` that are not there; only looked up for the next go."""
    sees: str | None = None
    word: tuple[str, int] | None = None
    """The word of the lyrics that is listened for: its line's id, and which word from 1."""
    go: str | None = None
    hazard: str | None = None
    item: int = 0
    starts_item: bool = False
    place: str = ""
    name: str = ""
    """Its cues by name; for a go without cues what it begins."""
    does: str = ""
    """What it does, from the labels of its cues: ``first voice; pick up Wren, stage right``."""
    not_clear: tuple[str, ...] = ()
    """For a go that begins a walk-on: what its way still waits for."""
    unticked: tuple[str, ...] = ()
    """For a go that begins an item: checklists that should be ticked by then and are not."""
    beats_s: tuple[float, ...] = ()
    """How long before the instant (s) each of the last beats before it is, the earliest first."""
    vamp: bool = False
    """It comes when the vamp that is on is over: ``in_s`` is the soonest."""


def item_bases(book: RunBook, now_ns: int) -> Iterator[tuple[int, float]]:
    """(item, seconds from now until its clock shows 0) for the item that is on and those to come."""
    state = book.state
    items = book.compiled.items
    at_ns = state.item_ns(now_ns)
    ahead = 0.0
    if at_ns is not None:
        at_s = at_ns / NS
        yield state.item, -at_s
        ahead = max(0.0, float(items[state.item].planned.item.length_s) - at_s)
        turn = turn_of(book, state.item)
        ahead += shift_s(turn, items[state.item].length_ns) or 0.0
        following = state.item + 1 if state.place.item == state.item else state.place.item
    else:
        following = state.place.item
    for i in range(following, len(items)):
        offset = items[i].go_at_ns[state.place.go] / NS if i == state.place.item and at_ns is None else 0.0
        yield i, ahead - offset
        ahead += float(items[i].planned.item.length_s) - offset


def rungs_of(book: RunBook, now_ns: int) -> Iterator[Rung]:
    """Every line to come, in no order."""
    state = book.state
    for i, base_s in item_bases(book, now_ns):
        if base_s > AHEAD_S and i != state.place.item:
            return
        marks = state.marks[i]
        first_go = state.place.go if i == state.place.item else 0
        if i == state.item and state.place.item != i:
            first_go = len(book.compiled.items[i].go_ids)  # all its goes are given
        yield from _go_rungs(book, i, first_go, base_s, now_ns)
        yield from _said_rungs(book, i, first_go, base_s)
        yield from _itself_rungs(book, i, base_s, marks)
        yield from _again_rungs(book, i, base_s)


def _go_rungs(book: RunBook, i: int, first: int, base_s: float, now_ns: int) -> Iterator[Rung]:
    planned = book.compiled.items[i].planned
    sheet = book.sheets[i]
    takes = {x.go: float(x.takes_s) for x in (*sheet.lines, *sheet.unsaid) if x.go is not None}
    marks, turn = book.state.marks[i], turn_of(book, i)
    for g in range(first, len(planned.goes)):
        go = planned.goes[g]
        later_s = shift_s(turn, book.compiled.items[i].go_at_ns[g])
        if later_s is None:
            continue
        cues = [planned.cues[k].cue for k in go.cues]
        # The word lands early enough for the slowest department to be on its instant.
        at_s = base_s + later_s + float(go.at_s) - book.compiled.items[i].go_lead_ns[g] / NS
        is_next = i == book.state.place.item and g == book.state.place.go
        if at_s > AHEAD_S and not is_next:  # the next go can be given however far off it is planned
            return
        answered = {planned.cues[k].cue.department for k in go.cues if status_of(marks, k) == "answered"}
        starts = is_next and book.state.cued_up
        yield Rung(
            id=go.id,
            what="go",
            text=said_aloud(book.go_words(i, g)),
            in_s=at_s,
            takes_s=takes.get(g, 0.0),
            firm=go.firm
            and not starts
            and not go.starts_item
            and not is_open(turn, book.compiled.items[i].go_at_ns[g]),
            signs=_signs(book, [c.department for c in cues], True, answered),
            cues=tuple(c.id for c in cues),
            needs=tuple(dict.fromkeys(n for c in cues for n in c.needs)),
            waits=_waits(book, cues, now_ns) if is_next else (),
            sees=go.sees,
            word=go.word,
            go=go.id,
            hazard=_hazard(cues),
            item=i,
            starts_item=starts or go.starts_item,
            place=place_words(book, i, go),
            name=", ".join(book.cue_name(cue.id) for cue in cues) or place_words(book, i, go),
            does=does(cues),
            not_clear=_way(book, i, now_ns) if is_next and (starts or go.starts_item) else (),
            unticked=_unticked(book, i) if is_next and (starts or go.starts_item) else (),
            beats_s=_beats_s(planned, go) if is_next else (),
            vamp=is_open(turn, book.compiled.items[i].go_at_ns[g]),
        )


def _again_rungs(book: RunBook, i: int, base_s: float) -> Iterator[Rung]:
    """Gos that will come again because their section does: to be seen coming, not to be given yet."""
    turn, item = turn_of(book, i), book.compiled.items[i]
    if turn is None or turn.what == "cut":
        return
    for g, go in enumerate(item.planned.goes):
        at_ns = item.go_at_ns[g]
        in_s = base_s + (turn.at_ns - turn.to_ns + at_ns - item.go_lead_ns[g]) / NS
        if not go.cues or not turn.to_ns <= at_ns < turn.at_ns or in_s > AHEAD_S:
            continue
        yield Rung(
            id=f"{go.id}:again",
            what="automatic",
            text=f"to call again: {said_aloud(book.go_words(i, g))}",
            in_s=in_s,
            takes_s=0.0,
            firm=turn.what == "again",
            signs=_signs(book, [item.planned.cues[k].cue.department for k in go.cues], True, set()),
            cues=(),
            hazard=_hazard([item.planned.cues[k].cue for k in go.cues]),
            item=i,
        )


def _hazard(cues: list[Cue]) -> str | None:
    return next((c.hazard.caution for c in cues if c.hazard is not None), None)


def does(cues: list[Cue]) -> str:
    """What cues do, in the words of their labels, each once."""
    return "; ".join(dict.fromkeys(cue.label for cue in cues if cue.label))


def _way(book: RunBook, i: int, now_ns: int) -> tuple[str, ...]:
    """What the legs of a walk-on that are still to be walked wait for."""
    compiled, state = book.compiled, book.state
    item = compiled.plan.items[i].item.id
    steps = [step for step in walk_steps(compiled, item) if (item, step) not in state.walked]
    found = (words for step in steps for words in open_on_leg(compiled, state, item, step, now_ns))
    return tuple(dict.fromkeys(found))


def _beats_s(planned: PlannedItem, go: PlannedGo) -> tuple[float, ...]:
    """The last beats before a go that falls in a song's bars; none for what has no beat."""
    position = planned.bar_at(go.at_s)
    if planned.tempo is None or position is None or go.starts_item or go.sees is not None:
        return ()
    at_s = go.at_s - planned.item.downbeat_s if isinstance(planned.item, Song) else go.at_s
    beat_s = Fraction(60) / planned.tempo.bpm(at_s)
    return tuple(float(beat_s * n) for n in range(COUNTED_BEATS, 0, -1))


def place_words(book: RunBook, i: int, go: PlannedGo) -> str:
    """Where a go falls, for people: ``bar 69 / 1``, or the time into the item."""
    planned = book.compiled.items[i].planned
    if go.when is not None:
        return go.when
    bar = planned.bar_at(go.at_s)
    if go.starts_item:
        return f"begins {planned.item.name}"
    if bar is not None:
        beat = int(bar[1])
        return f"bar {bar[0]} / {beat}"
    return f"at {span(go.at_s)}"


def status_of(marks: object, k: int) -> str | None:
    """What has become of a cue, by its item's marks."""
    mark = marks.get(k) if isinstance(marks, dict) else None
    return mark.status if isinstance(mark, Mark) else None


def _unticked(book: RunBook, i: int) -> tuple[str, ...]:
    return tuple(one.words for one in unticked(book, i))


def _said_rungs(book: RunBook, i: int, first_go: int, base_s: float) -> Iterator[Rung]:
    planned = book.compiled.items[i].planned
    passed = {k for go in planned.goes[:first_go] for k in go.cues}
    marks, turn, at_ns = book.state.marks[i], turn_of(book, i), book.compiled.items[i].at_ns
    for line in book.sheets[i].lines:
        if line.what == "go" or line.id in book.state.said:
            continue
        left = [k for k in line.cues if k not in passed and _may_be_said(marks, k, line.what)]
        later_s = shift_s(turn, min((at_ns[k] for k in left), default=0))
        if not left or later_s is None or base_s + later_s + float(line.starts_s) > AHEAD_S:
            continue
        in_s = base_s + later_s + float(line.starts_s)
        whole = len(left) == len(line.cues)
        cues = [planned.cues[k].cue for k in left]
        yield Rung(
            id=line.id,
            what=line.what,
            text=line.text if whole else _without(book, i, line.what, left),
            in_s=in_s,
            takes_s=float(line.takes_s),
            firm=_firm(planned.goes, line) and not is_open(turn, min(at_ns[k] for k in left)),
            signs=_signs(book, [c.department for c in cues], False, set()),
            cues=tuple(c.id for c in cues),
            item=i,
            does=does(cues),
            vamp=is_open(turn, min(at_ns[k] for k in left)),
        )


def _may_be_said(marks: object, k: int, what: str) -> bool:
    """Whether a cue is still to be named: nobody who stands by is asked again."""
    status = status_of(marks, k)
    return status is None or (status == "standby" and what == "warning")


def _without(book: RunBook, i: int, what: str, left: list[int]) -> str:
    """The words of a line of which some cues were jumped over or have gone."""
    planned = book.compiled.items[i].planned
    show = book.compiled.plan.show
    return Naming(planned, show.departments, show.speaking.wording).standby(what, left)


def _firm(goes: tuple[PlannedGo, ...], line: CallLine) -> bool:
    return all(go.firm for go in goes if set(go.cues) & set(line.cues))


def _expected_s(book: RunBook, i: int, k: int, base_s: float) -> float:
    """Seconds until a cue that fires by itself will; what follows a cue that is overdue waits for it."""
    item = book.compiled.items[i]
    marks = book.state.marks[i]
    waits = {cue: (follows, ns) for cue, follows, ns in item.automatic}
    after_ns = 0
    at_ns = item.at_ns[k]
    chained = False
    for _ in item.ids:  # no chain is longer, and one in a circle ends here
        follows, delay_ns = waits.get(k, (None, 0))
        if follows is None:
            at_ns = item.at_ns[k]
            break
        if status_of(marks, follows) == "fired":
            at_ns = marks[follows].at_ns + delay_ns
            break
        k, after_ns, chained = follows, after_ns + delay_ns, True
    in_s = base_s + at_ns / NS
    return max(0.0, in_s) + after_ns / NS if chained else in_s


def _itself_rungs(book: RunBook, i: int, base_s: float, marks: object) -> Iterator[Rung]:
    compiled, turn = book.compiled.items[i], turn_of(book, i)
    for k, follows, _ in compiled.automatic:
        if status_of(marks, k) not in (None, "standby", "answered"):
            continue
        later_s = shift_s(turn, compiled.at_ns[k])
        if later_s is None:
            continue
        in_s = _expected_s(book, i, k, base_s) + later_s
        cue = compiled.planned.cues[k].cue
        # Cued up midway, what lies before the place will not fire.
        passed = i == book.state.place.item and book.state.cued_up and follows is None and in_s < 0
        if in_s > AHEAD_S or passed:
            continue
        department = book.compiled.plan.show.department(cue.department)
        how = "follows" if follows is not None else "automatic"
        name = f"{department.spoken} {cue.number}"
        yield Rung(
            id=cue.id,
            what="automatic",
            text=f"{name} {how}",
            name=name,
            in_s=in_s,
            takes_s=0.0,
            firm=not is_open(turn, compiled.at_ns[k]),
            signs=(Sign(department, False),),
            cues=(cue.id,),
            item=i,
        )


def _waits(book: RunBook, cues: list[Cue], now_ns: int) -> tuple[str, ...]:
    """Every clearance these cues need that is not there now, by name."""
    names = {c.id: c.name for c in book.compiled.plan.show.clearances}
    needs = dict.fromkeys(n for cue in cues for n in cue.needs)
    return tuple(names[n] for n in needs if not standing(book.compiled, book.state, n, now_ns)[0])


def _signs(book: RunBook, departments: list[str], go: bool, answered: set[str]) -> tuple[Sign, ...]:
    show = book.compiled.plan.show
    return tuple(Sign(show.department(d), go or d in answered) for d in dict.fromkeys(departments))
