"""What is to be decided of a run: verdicts, and what was otherwise than planned, with its change. No Qt."""

from collections.abc import Sequence

from showcaller.calling.wording import span
from showcaller.desk.actions import ACTIONS
from showcaller.desk.areas.drift.driftview import DriftView
from showcaller.desk.areas.drift.lists import Row
from showcaller.editing import Change, SetFields
from showcaller.hearing import ASKED, SURE
from showcaller.model import Show
from showcaller.model.quantities import to_json
from showcaller.review.differences import Difference, differences
from showcaller.review.instead import asked_in, still_to_do
from showcaller.review.verdicts import Judged, is_applied, nights_words, settled_in
from showcaller.review.voice import heard_in
from showcaller.values import Struct, replace

EARLIER_S = 4
"""So much more standby is offered for a cue that was late where it was judged bad."""
GIVEN = "to "
"""Before the name of who does it, in what was decided."""
_NEAR_S = 5.0
INSTEAD_WORD = ACTIONS["drift.instead"].word
_TONES = {"good": "accent", "bad": "missed", "idea": "caution"}


class Decision(Struct, frozen=True):
    """One thing to decide, as a line, with its change if one is ready."""

    row: Row
    t_ns: int
    change: Change | None = None
    does: str = ""
    why: str = ""
    settled: str = ""
    heard: str = ""
    """A line that is asked about: was it said?"""
    in_book: bool = False
    """The book has it: there is nothing to open again."""


class Decisions:
    """Worked out when the list is first looked at, and when the book or what was decided is another."""

    def __init__(self) -> None:
        self._of: tuple[DriftView, Show] | None = None
        self._found: tuple[Decision, ...] = ()
        self._rows: tuple[Row, ...] = ()

    def of(self, view: DriftView, book: Show) -> tuple[Decision, ...]:
        """Those of a run, in the order of its clock: what is settled stays in its place."""
        if self._of is None or self._of[0] is not view or self._of[1] is not book:
            self._of = (view, book)
            self._found = decisions(view, book)
            self._rows = tuple(d.row for d in self._found)
        return self._found

    def of_row(self, view: DriftView, book: Show, row: Row) -> Decision | None:
        """What is to be decided in a line; None if nothing is."""
        return next((d for d in self.of(view, book) if d.row is row), None)

    def rows(self, view: DriftView, book: Show) -> tuple[Row, ...]:
        """Their lines."""
        self.of(view, book)
        return self._rows


def decisions(view: DriftView, book: Show) -> tuple[Decision, ...]:
    """Verdicts and differences of a run for the book as it is; one with a verdict on it is one line."""
    report = view.report
    other = differences(report.plan, view.path, report.records, book)
    settled = {
        t_ns: words for t_ns, words in settled_in(report.remarks).items() if not _undone(t_ns, words, other)
    }
    mine = [j for j in view.verdicts if j.run == view.run.number]
    told: set[int] = set()
    found: list[Decision] = []
    for one in mine:
        asked = asked_in(one.word)
        if asked:
            found.append(_instead(view, one, asked, settled.get(one.t_ns, ""), book))
            continue
        near = _near(one, other)
        made = _verdict(view, replace(one, settled=settled.get(one.t_ns, "")), near, book)
        if near is not None and made.change is near.change:
            told.add(near.t_ns)
        found.append(made)
    found += [_plain(d, settled.get(d.t_ns, "")) for d in other if d.t_ns not in told]
    found += _doubtful(view)
    found.sort(key=lambda d: d.t_ns)
    return tuple(found)


def deciding_ways(one: Decision) -> tuple[tuple[str, str], ...]:
    """(action, what it does) of the keys that do something about it."""
    if one.heard:
        return ("apply", "yes, it was said"), ("settle", "no")
    if one.in_book:
        return ()
    if one.settled:
        return (("settle", "opens it again"),)
    ready = (("apply", "applies it to the book"),) if one.change is not None else ()
    return *ready, ("assign", "who does it"), ("settle", "leave it as it is")


def same_line(before: Sequence[Row], chosen: int, now: Sequence[Row]) -> int:
    """Where the line that was chosen stands now: that of its moment and name; else as far down as it was."""
    if chosen < len(before):
        was = before[chosen]
        for alike in (lambda r: (r.t_ns, r.name) == (was.t_ns, was.name), lambda r: r.t_ns == was.t_ns):
            found = next((n for n, r in enumerate(now) if alike(r)), None)
            if found is not None:
                return found
    return min(chosen, max(0, len(now) - 1))


def _doubtful(view: DriftView) -> list[Decision]:
    """Lines that may have been heard in the headset track."""
    texts = {x.id: x for x in view.lines}
    found = []
    for one in heard_in(view.report.remarks):
        line = texts.get(one.line)
        if line is not None and ASKED <= one.sure < SURE:
            words = f"heard “{line.text}”? {100 * one.sure:.0f} % sure"
            row = Row("was it said?", words, "yes or no", tone="caution", t_ns=one.begins_ns)
            found.append(Decision(row, one.begins_ns, heard=one.line))
    return found


def _undone(t_ns: int, words: str, other: Sequence[Difference]) -> bool:
    """It was put into the book, and taken out again."""
    return is_applied(words) and any(d.t_ns == t_ns and d.change is not None for d in other)


def _near(one: Judged, other: Sequence[Difference]) -> Difference | None:
    """The one difference that a verdict is about: of the picture, or, where it was bad, a go that was late.
    Where it may be one of several, each stands for itself: nobody's change is taken for another's."""
    if one.at_s is None:
        return None
    here = [
        d for d in other if d.item == one.item and d.at_s - 0.5 <= one.at_s < max(d.to_s, d.at_s + _NEAR_S)
    ]
    meant = [d for d in here if one.verdict == "bad" or not d.late_cue]
    return meant[0] if len(meant) == 1 else None


def _instead(view: DriftView, one: Judged, asked: str, settled: str, book: Show) -> Decision:
    """An idea that says what is to be there: ready again where the book does not have it any more."""
    does, change, why = still_to_do(view.report.plan, view.path, one.t_ns, book, asked)
    has_it = change is None and not why
    if has_it:
        settled = settled if is_applied(settled) else "the book has it"
    elif is_applied(settled):
        settled = ""
    text = f"“{asked}” instead · {why}" if why and not settled else f"instead · {settled or does}"
    name = f"{_place(one.bar, one.at_s)} · {one.verdict}"
    tone = "quiet" if settled else _TONES[one.verdict]
    row = Row(name, text, _figure(change, settled), tone=tone, t_ns=one.t_ns, item=one.item)
    return Decision(row, one.t_ns, change, does, why or "the book has it", settled, in_book=has_it)


def _verdict(view: DriftView, one: Judged, near: Difference | None, book: Show) -> Decision:
    change, does, why = None, "", "nothing was otherwise here: change it in the Book, then settle it"
    if near is not None and one.verdict != "bad":
        change, does, why = near.change, near.does, near.why
    elif near is not None and near.late_cue:
        change, does, why = _earlier(book, near.late_cue)
    elif near is not None:
        does, why = "", f"nothing is ready for it: put something else there with {INSTEAD_WORD}"
    words = [w for w in (f"“{one.word}”" if one.word else "", near.words if near is not None else "") if w]
    words.append(nights_words(one, view.verdicts, view.counted_runs))
    text = " · ".join(w for w in (*words, one.settled or does) if w) or "no word yet"
    name = f"{_place(one.bar, one.at_s)} · {one.verdict}"
    tone = "quiet" if one.settled else _TONES[one.verdict]
    row = Row(name, text, _figure(change, one.settled), tone=tone, t_ns=one.t_ns, item=one.item)
    return Decision(row, one.t_ns, change, does, why, one.settled, in_book=is_applied(one.settled))


def _plain(d: Difference, settled: str) -> Decision:
    text = " · ".join(w for w in (d.words, settled or d.does or d.why) if w)
    tone = "quiet" if settled else "text"
    row = Row(_place(d.bar, d.at_s), text, _figure(d.change, settled), tone=tone, t_ns=d.t_ns, item=d.item)
    return Decision(row, d.t_ns, d.change, d.does, d.why, settled, in_book=is_applied(settled))


def _earlier(book: Show, cue_id: str) -> tuple[Change | None, str, str]:
    item = next((i for i in book.items if any(c.id == cue_id for c in i.cues)), None)
    cue = None if item is None else next(c for c in item.cues if c.id == cue_id)
    if item is None or cue is None:
        return None, "", "that cue is not in the book any more"
    fields = {"standby_s": to_json(cue.standby_s + EARLIER_S)}
    change = SetFields(at=("items", item.id, "cues", cue.id), fields=fields)
    name = f"{book.department(cue.department).name} {cue.number}"
    return change, f"standby for {name} {EARLIER_S} s earlier", ""


def _place(bar: int | None, at_s: float | None) -> str:
    return f"bar {bar}" if bar is not None else "between items" if at_s is None else span(at_s)


def _figure(change: Change | None, settled: str) -> str:
    if settled:
        return "given" if settled.startswith(GIVEN) else "settled"
    return "ready" if change is not None else ""
