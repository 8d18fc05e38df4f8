"""The plan as words spoken at a moment: warnings, standbys and goes, each with the time it takes to say.

A go is said so that its last word, *go*, lands on the cue's instant less the time its departments need to
react. Standbys and warnings are placed around the goes with as few utterances as possible, by
:mod:`showcaller.timing.calls.solver`. What cannot be said in time is left out and explained.

All instants are exact seconds into the item and may be negative: said before the item begins.
"""

from bisect import bisect_right
from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import lru_cache
from math import ceil
from operator import attrgetter
from typing import Literal

from showcaller.model import Department, Show, Speaking
from showcaller.timing.calls.collisions import Lost, explain
from showcaller.timing.calls.sheet import CallLine, CallSheet, Collision, Stretch, spoken_intervals
from showcaller.timing.calls.solver import Solver
from showcaller.timing.calls.tasks import (
    FOREVER,
    NS,
    STANDBY,
    WARNING,
    Gaps,
    Problem,
    Solution,
    Task,
    down_ns,
    up_ns,
)
from showcaller.timing.plan import Plan, PlannedGo, PlannedItem, compile_item
from showcaller.timing.speech import Naming

__all__ = [
    "CallLine", "CallSheet", "Collision", "Stretch", "compile_calls", "compile_show_calls", "go_text",
    "item_sheet", "spoken_intervals",
]  # fmt: skip


def _nothing() -> None:
    """What is done between the steps of a work that nobody else waits for."""


_LAST = 40
"""Lines of items before that can reach into an item; what is said before them need not be looked at again."""

_KINDS: tuple[Literal["standby"], Literal["warning"]] = ("standby", "warning")


def compile_calls(
    planned: PlannedItem,
    departments: tuple[Department, ...],
    speaking: Speaking,
    taken: tuple[Stretch, ...] = (),
    between: Callable[[], object] = _nothing,
) -> CallSheet:
    """The call sheet of one item; unchanged items cost a look-up.

    The end of a standby lies in [lands − standby_s − early_s, lands − standby_s] of its cue's go, a warning's
    likewise with warning_s and before its standby; between utterances there is a breath. Where departments
    of different ``reaction_s`` share a go, it is given early enough for the slowest. Cues that fire by
    themselves have no lines; the instants of visual goes are taken as expected. ``taken`` are stretches in
    which the caller is still busy with the item before; goes are not kept out of them, since an item does
    not start before the one before it is over. ``between`` is called between the steps of the work, so that
    a thread that does it can let others go first.
    """
    return _compile_calls(_Key(planned, departments, speaking, taken, between))


def compile_show_calls(plan: Plan, between: Callable[[], object] = _nothing) -> tuple[CallSheet, ...]:
    """The call sheet of every item, with what is said ahead of an item kept clear of the end of the last.

    ``between`` as in :func:`compile_calls`.
    """
    show = plan.show
    sheets: list[CallSheet] = []
    said: list[tuple[Fraction, tuple[CallLine, ...]]] = []
    """The items that can reach into a later one: their starts, their last lines."""
    for planned, start_s in zip(plan.items, plan.starts_s, strict=True):
        first_s = _first_need(planned, show.speaking)
        taken = _taken([(began_s - start_s, lines) for began_s, lines in said], first_s)
        between()
        sheet = compile_calls(planned, show.departments, show.speaking, taken, between)
        sheets.append(sheet)
        said.append((start_s, sheet.lines[-_LAST:]))
        while sum(len(lines) for _, lines in said[1:]) >= 2 * _LAST:
            del said[0]
    return tuple(sheets)


def _taken(said: Sequence[tuple[Fraction, tuple[CallLine, ...]]], first_s: int) -> tuple[Stretch, ...]:
    """What is said before an item and lands after ``first_s``; ``said`` are items before, each with its start
    as seen from this one, and its last lines."""
    if first_s >= 0:
        return ()
    return tuple(
        (line.starts_s + shift_s, line.lands_s + shift_s)
        for shift_s, lines in said
        for line in lines[bisect_right(lines, first_s - shift_s, key=attrgetter("lands_s")) :]
    )


def item_sheet(show: Show, index: int, between: Callable[[], object] = _nothing) -> CallSheet:
    """The call sheet of one item of a show as it is being edited, kept clear of the end of the one before.

    ``between`` as in :func:`compile_calls`.
    """
    planned = compile_item(show.items[index], show.timecode_rate)
    taken: tuple[Stretch, ...] = ()
    before = next((i for i in reversed(show.items[:index]) if not i.out), None)
    if before is not None and (first_s := _first_need(planned, show.speaking)) < 0:
        last = compile_item(before, show.timecode_rate)
        lines = compile_calls(last, show.departments, show.speaking, (), between).lines[-_LAST:]
        taken = _taken([(-before.length_s, lines)], first_s)
    return compile_calls(planned, show.departments, show.speaking, taken, between)


def go_text(planned: PlannedItem, go: int, departments: Sequence[Department]) -> str:
    """The words of a go, also of one that a sheet has to leave out."""
    return _go_words(planned, planned.goes[go], Naming(planned, departments))


class _Key:
    """What a sheet depends on. The planned item goes by identity, as in :mod:`showcaller.timing.plan`.

    ``between`` is no part of it: it changes nothing in the sheet.
    """

    __slots__ = ("_hash", "between", "departments", "planned", "speaking", "taken")

    def __init__(
        self,
        planned: PlannedItem,
        departments: tuple[Department, ...],
        speaking: Speaking,
        taken: tuple[Stretch, ...],
        between: Callable[[], object],
    ) -> None:
        self.planned = planned
        self.between = between
        self.departments = departments
        self.speaking = speaking
        self.taken = taken
        # Not of the stretches themselves: a fraction's hash takes longer than comparing two.
        self._hash = hash((id(planned), len(departments), len(taken)))

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, _Key)
            and self.planned is other.planned
            and self.taken == other.taken
            and self.departments == other.departments
            and self.speaking == other.speaking
        )


@lru_cache(maxsize=1024)
def _compile_calls(key: _Key) -> CallSheet:
    sheet = _Compiler(key).sheet()
    key.between = _nothing  # the key is kept, and what does the work is not
    return sheet


def _go_words(planned: PlannedItem, go: PlannedGo, naming: Naming) -> str:
    return naming.go(go.cues) if go.cues else f"{planned.item.name}, {naming.go_word}"


def _first_need(planned: PlannedItem, speaking: Speaking) -> int:
    """No standby or warning of the item is said before this, in whole seconds; 0 where it has none."""
    first = FOREVER
    for cue in planned.cues:
        if not cue.automatic:
            at_s, standby_s, warning_s = cue.at_s, cue.cue.standby_s, cue.cue.warning_s
            at = at_s.numerator // at_s.denominator
            first = min(first, at + -standby_s.numerator // standby_s.denominator)
            if warning_s is not None:
                first = min(first, at - ceil(warning_s))
    # A minute is longer than any utterance and any reaction.
    return min(0, first - ceil(speaking.early_s) - 60)


def _lands(planned: PlannedItem, departments: Sequence[Department]) -> list[Fraction]:
    """When each go's last word must end: early enough for the slowest of its departments."""
    reactions = sorted((d.reaction_s, d.id) for d in departments)
    # The rank of each department: comparing whole numbers is so much sooner than comparing fractions.
    rank = {department: n for n, (_, department) in enumerate(reactions)}
    cues = planned.cues
    found: list[Fraction] = []
    for go in planned.goes:
        reaction_s = reactions[max([rank[cues[i].cue.department] for i in go.cues])][0] if go.cues else None
        found.append(go.at_s - reaction_s if reaction_s else go.at_s)
    return found


class _Seconds(dict[int, Fraction]):
    """How long so many words take to say."""

    def __init__(self, words_per_minute: int) -> None:
        self._rate = words_per_minute

    def __missing__(self, words: int) -> Fraction:
        found = self[words] = Fraction(60 * words, self._rate)
        return found


class _Nanoseconds(dict[int, int]):
    """The same in whole nanoseconds, rounded up; ``words`` leads back."""

    def __init__(self, words_per_minute: int) -> None:
        self._rate = words_per_minute
        self.words: dict[int, int] = {}

    def __missing__(self, words: int) -> int:
        found = self[words] = -(-60 * NS * words // self._rate)
        self.words[found] = words
        return found


class _Compiler:
    """Builds one sheet."""

    def __init__(self, key: _Key) -> None:
        self.planned = key.planned
        self.speaking = key.speaking
        self.taken = key.taken
        self.between = key.between
        self.naming = Naming(key.planned, key.departments, key.speaking.wording)
        self.words: dict[str, int] = {}
        """How many words each line has, by its id."""
        self._takes_s = _Seconds(key.speaking.words_per_minute)
        self._takes_ns = _Nanoseconds(key.speaking.words_per_minute)
        self.lands = _lands(key.planned, key.departments)
        """When each go's last word must end."""

    def sheet(self) -> CallSheet:
        self.between()
        goes, unsaid = self._goes()
        self.between()
        tasks, place = self._tasks()
        solution = self._solve(goes, tasks, place)
        self.between()
        lines = [*goes, *self._movable(solution, tasks, place)]
        lines.sort(key=lambda line: (down_ns(line.lands_s), line.id))
        lost = [Lost(_KINDS[tasks[t].kind], place[t]) for t in solution.lost]
        collisions: tuple[Collision, ...] = ()
        if lost or unsaid:
            collisions = explain(
                self.planned, self.naming, self.speaking, self.lands, lines, self.taken, unsaid, lost,
                self.between,
            )  # fmt: skip
        self.between()
        return CallSheet(tuple(lines), collisions, self._load(lines), solution.proven, tuple(unsaid))

    def _load(self, lines: list[CallLine]) -> Fraction:
        length_s = self.planned.item.length_s
        length_ns = down_ns(length_s)
        spoken = Fraction(0)
        words = 0
        in_time = bool(lines) and up_ns(lines[-1].lands_s) <= length_ns  # the last, and so all of them
        for line in lines:
            if line.starts_s.numerator >= 0 and (in_time or line.lands_s <= length_s):
                words += self.words[line.id]
            else:
                spoken += max(Fraction(0), min(line.lands_s, length_s) - max(line.starts_s, Fraction(0)))
        return (spoken + Fraction(60 * words, self.speaking.words_per_minute)) / length_s

    def _goes(self) -> tuple[list[CallLine], list[CallLine]]:
        """The goes that can be said, and those that must be left out: as few cues as possible."""
        made: list[tuple[int, Fraction, int, CallLine]] = []
        for n, go in enumerate(self.planned.goes):
            text = _go_words(self.planned, go, self.naming)
            words = self.naming.go_words(go.cues) if go.cues else self.naming.pattern.word_count(text)
            takes_s = self._takes_s[words]
            lands_s = self.lands[n]
            line = CallLine(f"{go.id}:go", "go", go.cues, n, text, lands_s - takes_s, takes_s, lands_s)
            self.words[line.id] = words
            # In whole nanoseconds first: comparing fractions takes longer than all the rest here.
            made.append((down_ns(lands_s), lands_s, n, line))
        made.sort()
        return _most([line for *_, line in made], [lands_ns for lands_ns, *_ in made], self.speaking.breath_s)

    def _tasks(self) -> tuple[list[Task], list[int]]:
        """Standbys and warnings with their windows in whole nanoseconds, rounded inwards; and their cues."""
        tasks: list[Task] = []
        place: list[int] = []
        early_ns = down_ns(self.speaking.early_s)

        def add(kind: int, lands: Fraction, lead: Fraction, before: int | None) -> None:
            below = lands.denominator * lead.denominator
            above = lands.numerator * lead.denominator - lead.numerator * lands.denominator
            hi, rest = divmod(above * NS, below)
            tasks.append(Task(kind, hi - early_ns + (rest > 0), hi, before))

        for lands, go in zip(self.lands, self.planned.goes, strict=True):
            for i in go.cues:
                cue = self.planned.cues[i].cue
                standby = len(tasks)
                add(STANDBY, lands, cue.standby_s, None)
                place.append(i)
                if cue.warning_s is not None:
                    add(WARNING, lands, cue.warning_s, standby)
                    place.append(i)
        return tasks, place

    def _solve(self, goes: list[CallLine], tasks: list[Task], place: list[int]) -> Solution:
        if not tasks:
            return Solution((), (), True)
        busy = [(down_ns(line.starts_s), up_ns(line.lands_s)) for line in goes]
        busy += [(down_ns(start), up_ns(end)) for start, end in self.taken]
        breath, takes_ns = up_ns(self.speaking.breath_s), self._takes_ns
        words, growing_words = self.naming.standby_words, self.naming.growing_standby_words

        def takes(members: tuple[int, ...]) -> int:
            return takes_ns[words(sorted([place[t] for t in members]))]

        def growing(members: tuple[int, ...]) -> list[int]:
            return [takes_ns[n] for n in growing_words([place[t] for t in members])]

        return Solver(Problem(tasks, takes, Gaps(busy, breath), breath, growing, self.between)).solve()

    def _movable(self, solution: Solution, tasks: list[Task], place: list[int]) -> list[CallLine]:
        lines: list[CallLine] = []
        item_id = self.planned.item.id
        for members, start, end in solution.said:
            what = _KINDS[tasks[members[0]].kind]
            cues = tuple(sorted([place[t] for t in members]))
            text = self.naming.standby(what, cues)
            words = self._takes_ns.words[end - start]
            takes_s = self._takes_s[words]
            lands_s = Fraction(end, NS)
            name = f"{item_id}:{what}:{self.planned.cues[cues[0]].cue.id}"
            self.words[name] = words
            lines.append(CallLine(name, what, cues, None, text, lands_s - takes_s, takes_s, lands_s))
        return lines


def _most(
    lines: list[CallLine], lands_ns: list[int], breath: Fraction
) -> tuple[list[CallLine], list[CallLine]]:
    """Of fixed utterances in order of their ends, a set without overlap of the most cues; and the rest.

    Weighted interval scheduling: the best of the first n either leaves the n-th out, or holds it and the
    best of those that end a breath before it starts. Exact.
    """
    best = [0]
    before: list[int] = []
    breath_ns = down_ns(breath)
    for n, line in enumerate(lines):
        starts_ns, cues, k = down_ns(line.starts_s), len(line.cues), n
        # In whole nanoseconds as far as these can tell: two are rounded down, and one is.
        while k and (
            (apart := starts_ns - lands_ns[k - 1] - breath_ns) < -1
            or (apart < 2 and lines[k - 1].lands_s + breath > line.starts_s)
        ):
            k -= 1
        before.append(k)
        holding = best[k] + (cues or 1)
        best.append(holding if holding > best[n] else best[n])
    keep: set[int] = set()
    n = len(lines)
    while n:
        if best[n] == best[n - 1]:
            n -= 1
        else:
            keep.add(n - 1)
            n = before[n - 1]
    return [lines[n] for n in sorted(keep)], [line for n, line in enumerate(lines) if n not in keep]
