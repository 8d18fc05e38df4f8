"""The plan compiled: every cue with its instant, follow-ons resolved, goes grouped; item by item.

Times are seconds into the item, exact. A go is what one press of the key fires: all called cues of one
instant, or all that wait for the same sight. The first go of every item starts the item's clock.
"""

from fractions import Fraction
from functools import lru_cache

from showcaller.model import (
    AfterAnchor,
    BarAnchor,
    Cue,
    Item,
    Show,
    Song,
    TimeAnchor,
    TimecodeAnchor,
    VisualAnchor,
    WordAnchor,
)
from showcaller.model.base import ById
from showcaller.model.quantities import format_number
from showcaller.timing.lyrics import SungLine, sung_lines, word_instant, word_words
from showcaller.timing.tempo import TempoMap
from showcaller.timing.timecode import seconds_between
from showcaller.values import Struct


class Problem(Struct, frozen=True):
    """Something in the plan that cannot be run as written."""

    path: str
    sentence: str

    def __str__(self) -> str:
        return f"{self.path}: {self.sentence}"

    @property
    def plain(self) -> str:
        """For people: the item's name and the sentence, without the place in the document."""
        name = self.path.partition("] ")[2].rpartition(": ")[0]
        return f"{name}: {self.sentence}" if name else self.sentence


class PlannedCue(Struct, frozen=True):
    """A cue with its planned instant, in seconds into its item.

    ``firm`` is False where the instant is a guess: a cue by eye or on a word, or one that follows such a cue.
    ``follows`` is the place, in the item's ``cues``, of the cue it follows.
    """

    cue: Cue
    at_s: Fraction
    firm: bool
    follows: int | None = None

    @property
    def automatic(self) -> bool:
        """It fires without a go."""
        return self.cue.fires == "by itself"


class PlannedGo(Struct, frozen=True):
    """What one go fires. ``cues`` are places in the item's ``cues``; empty only for an item's start.

    ``sees`` is what a person watches or listens for; ``word`` is the word of the lyrics it is, if it is one:
    the line's id and the word, counted from 1.
    """

    id: str
    at_s: Fraction
    firm: bool
    cues: tuple[int, ...]
    starts_item: bool = False
    sees: str | None = None
    word: tuple[str, int] | None = None

    @property
    def when(self) -> str | None:
        """``when she waves``, ``on the word “lit”`` (without its line, which ``sees`` has); None where
        nothing is waited for."""
        if self.sees is None:
            return None
        return (
            f"when {self.sees}" if self.word is None else self.sees.partition(": ")[0]
        )  # no word has a space


class PlannedItem(Struct, frozen=True):
    """An item with its cues in planned order, its goes, and what is wrong with it."""

    item: Item
    cues: tuple[PlannedCue, ...]
    goes: tuple[PlannedGo, ...]
    tempo: TempoMap | None
    problems: tuple[Problem, ...]
    lyrics: tuple[SungLine, ...] = ()
    """The lines of a song in the order in which they are sung."""

    def bar_at(self, at_s: Fraction) -> tuple[int, Fraction] | None:
        """Bar and beat at ``at_s`` into the item; None where the item has no tempo."""
        if self.tempo is None or not isinstance(self.item, Song):
            return None
        return self.tempo.position(at_s - self.item.downbeat_s)

    def bar_number_at(self, at_s: Fraction) -> int | None:
        """The bar alone."""
        if self.tempo is None or not isinstance(self.item, Song):
            return None
        return self.tempo.bar_at(at_s - self.item.downbeat_s)


class Plan(Struct, frozen=True):
    """What is played tonight, compiled: ``items`` leaves out what the show leaves out.

    ``starts_s[i]`` is where item ``i`` begins if all goes to plan.
    """

    show: Show
    items: tuple[PlannedItem, ...]
    starts_s: tuple[Fraction, ...]

    @property
    def length_s(self) -> Fraction:
        """Planned length of the show."""
        return self.starts_s[-1] + self.items[-1].item.length_s

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Everything that cannot be run as written, in running order."""
        place = {item.id: i for i, item in enumerate(self.show.items)}
        return tuple(
            Problem(f"items[{place[planned.item.id]}] {planned.item.name}: {p.path}", p.sentence)
            for planned in self.items
            for p in planned.problems
        )


def compile_plan(show: Show) -> Plan:
    """Compile what is played tonight. Items that did not change since the last call cost a look-up."""
    items = tuple(compile_item(item, show.timecode_rate) for item in show.items if not item.out)
    starts: list[Fraction] = []
    total = Fraction(0)
    for planned in items:
        starts.append(total)
        total += planned.item.length_s
    return Plan(show, items, tuple(starts))


def compile_item(item: Item, timecode_rate: str) -> PlannedItem:
    """Compile one item on its own, remembering the last few hundred."""
    return _compile_item(ById(item), timecode_rate)


@lru_cache(maxsize=512)
def _compile_item(wrapped: ById, timecode_rate: str) -> PlannedItem:
    item: Item = wrapped.part
    tempo = _tempo_of(item) if isinstance(item, Song) and item.tempo else None
    problems: list[Problem] = []
    lyrics = sung_lines(item, tempo) if isinstance(item, Song) and item.lyrics else ()
    instants = _instants(item, tempo, lyrics, timecode_rate, problems)
    order = sorted(range(len(item.cues)), key=lambda i: (instants[i][0], i))
    place = {item.cues[old].id: new for new, old in enumerate(order)}
    cues = []
    for old in order:
        cue = item.cues[old]
        at_s, firm = instants[old]
        follows = place.get(cue.anchor.cue) if isinstance(cue.anchor, AfterAnchor) else None
        cues.append(PlannedCue(cue, at_s, firm, follows))
        if at_s > item.length_s:
            problems.append(
                Problem(
                    f"cues[{old}].anchor",
                    f"'{cue.label}' falls {format_number(round(at_s, 3))} s into the item, past its end at "
                    f"{format_number(item.length_s)} s; move it earlier or lengthen the item",
                )
            )
    return PlannedItem(item, tuple(cues), _goes(item, cues), tempo, tuple(problems), lyrics)


def _tempo_of(song: Song) -> TempoMap:
    """A song's tempo, the same one as long as its marks are: an edit of a cue leaves them as they were."""
    return _tempo_map(tuple(map(ById, song.tempo)), tuple(map(ById, song.meters)))


@lru_cache(maxsize=512)
def _tempo_map(tempo: tuple[ById, ...], meters: tuple[ById, ...]) -> TempoMap:
    return TempoMap(tuple(m.part for m in tempo), tuple(m.part for m in meters))


def _instants(
    item: Item,
    tempo: TempoMap | None,
    lyrics: tuple[SungLine, ...],
    rate: str,
    problems: list[Problem],
) -> list[tuple[Fraction, bool]]:
    """(seconds into the item, firm) of every cue, in document order."""
    known: dict[str, tuple[Fraction, bool]] = {}
    index = {cue.id: i for i, cue in enumerate(item.cues)}
    last = Fraction(0)
    for i, cue in enumerate(item.cues):
        if isinstance(cue.anchor, WordAnchor):
            word_s = word_instant(lyrics, cue.anchor.line, cue.anchor.word)
            assert word_s is not None, "references are checked"
            last, _ = known[cue.id] = word_s, False
        elif not isinstance(cue.anchor, AfterAnchor):
            known[cue.id] = _own_instant(item, cue, tempo, rate, last, f"cues[{i}].anchor", problems)
            last = known[cue.id][0]
    for i, cue in enumerate(item.cues):
        _follow(item, index, i, known, problems)
        assert cue.id in known
    return [known[cue.id] for cue in item.cues]


def _own_instant(
    item: Item,
    cue: Cue,
    tempo: TempoMap | None,
    rate: str,
    last: Fraction,
    path: str,
    problems: list[Problem],
) -> tuple[Fraction, bool]:
    anchor = cue.anchor
    if isinstance(anchor, TimeAnchor):
        return anchor.seconds, True
    if isinstance(anchor, VisualAnchor):
        # Without a guess it is expected no earlier than the cue written before it.
        return (last if anchor.expect_s is None else anchor.expect_s), False
    if isinstance(anchor, BarAnchor) and tempo is not None and isinstance(item, Song):
        beats = tempo.beats_in_bar(anchor.bar)
        if anchor.beat >= beats + 1:
            problems.append(
                Problem(
                    path,
                    f"beat {format_number(anchor.beat)} is not in bar {anchor.bar}, which has {beats}; "
                    f"give a beat from 1 to under {beats + 1}",
                )
            )
        at_s = tempo.seconds(anchor.bar, anchor.beat)
        return (item.downbeat_s + at_s if item.downbeat_s else at_s), True
    if isinstance(anchor, TimecodeAnchor):
        start = item.timecode_start if isinstance(item, Song) else None
        if start is None:
            problems.append(
                Problem(path, "this item has no timecode start to count from; give it one, or use seconds")
            )
            return last, False
        try:
            at_s = seconds_between(start, anchor.timecode, rate)
        except ValueError as error:
            problems.append(Problem(path, str(error)))
            return last, False
        if at_s < 0:
            problems.append(
                Problem(
                    path, f"{anchor.timecode} is before the item's timecode start {start}; move one of them"
                )
            )
            return Fraction(0), True
        return at_s, True
    problems.append(Problem(path, "there is nothing here to count it from"))
    return last, False


def _follow(
    item: Item,
    index: dict[str, int],
    i: int,
    known: dict[str, tuple[Fraction, bool]],
    problems: list[Problem],
) -> None:
    """Resolve cue ``i`` and the chain it hangs on; walks a list rather than the call stack."""
    chain: list[int] = []
    seen: set[int] = set()
    at: int | None = i
    base = (Fraction(0), False)
    while at is not None:
        cue = item.cues[at]
        if cue.id in known:
            base = known[cue.id]
            break
        if at in seen:
            names = " → ".join(f"'{item.cues[k].label}'" for k in [*chain[chain.index(at) :], at])
            problems.append(
                Problem(
                    f"cues[{at}].anchor.cue", f"cues follow each other in a circle: {names}; free one of them"
                )
            )
            break
        seen.add(at)
        chain.append(at)
        assert isinstance(cue.anchor, AfterAnchor)
        nxt = index.get(cue.anchor.cue)
        if nxt is None:
            problems.append(
                Problem(
                    f"cues[{at}].anchor.cue",
                    f"'{cue.label}' follows a cue of another item; give it its own anchor",
                )
            )
        at = nxt
    for k in reversed(chain):
        anchor = item.cues[k].anchor
        assert isinstance(anchor, AfterAnchor)
        base = (base[0] + anchor.delay_s, base[1])
        known[item.cues[k].id] = base


def _goes(item: Item, cues: list[PlannedCue]) -> tuple[PlannedGo, ...]:
    groups: list[tuple[Fraction, bool, str | None, tuple[str, int] | None, list[int]]] = [
        (Fraction(0), True, None, None, [])
    ]
    # An instant as two whole numbers: hashing a fraction takes longer than all the rest here.
    place: dict[tuple[int, int, bool, str | None], list[int]] = {(0, 1, True, None): groups[0][4]}
    lines = {line.id: line for line in item.lyrics} if isinstance(item, Song) else {}
    for i, planned in enumerate(cues):
        if planned.automatic:
            continue
        anchor, at_s = planned.cue.anchor, planned.at_s
        sees, word = anchor.sees if isinstance(anchor, VisualAnchor) else None, None
        if isinstance(anchor, WordAnchor):
            word = anchor.line, anchor.word
            sees = word_words(lines[anchor.line], anchor.word)
        key = (at_s.numerator, at_s.denominator, planned.firm, sees)
        if key not in place:
            place[key] = []
            groups.append((at_s, planned.firm, sees, word, place[key]))
        place[key].append(i)
    return tuple(
        PlannedGo(
            f"{item.id}:{'start' if n == 0 else cues[members[0]].cue.id}",
            at_s,
            firm,
            tuple(members),
            n == 0,
            sees,
            word,
        )
        for n, (at_s, firm, sees, word, members) in enumerate(groups)
    )
