"""What the caller says, in words, and how long it takes to say.

Speaking time is words × 60 / words a minute. The usual rate, 150 words a minute, is that of conversational
English (National Center for Voice and Speech). Figures are read out as words, each of which counts: "64" is
"sixty four", "12.5" is "twelve point five". How figures above 99 are read ("235" as "two thirty five") and
cues strung together ("65 to 67", "and" before the last) is common practice, no source.
"""

from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from showcaller.model import Department, HouseWording, Language
from showcaller.timing.plan import PlannedItem
from showcaller.timing.wording import pattern

_USUAL = HouseWording()


@lru_cache(maxsize=4096)
def number_words(number: str) -> str:
    """A number of up to six digits before the point, read out in English; decimals are read digit by digit.

    Raises:
        ValueError: not a number in plain figures.
    """
    return pattern().number_words(number)


@lru_cache(maxsize=8192)
def word_count(text: str, language: Language = "english") -> int:
    """Words in ``text`` as it is spoken: figures read out, hyphens and punctuation silent."""
    return pattern(language).word_count(text)


def speaking_s(text: str, words_per_minute: int, language: Language = "english") -> Fraction:
    """Seconds it takes to say ``text``, exact."""
    return Fraction(60 * word_count(text, language), words_per_minute)


class Naming:
    """How the cues of one item are named aloud, alone and together.

    A place is an index into ``PlannedItem.cues``. A run of three or more consecutive numbers of a department,
    with none of its cues in between, is said as "65 to 67".
    """

    def __init__(
        self,
        planned: PlannedItem,
        departments: Sequence[Department],
        wording: HouseWording = _USUAL,
    ) -> None:
        """``departments`` hold every department that the item's cues name; ``wording`` is the house's."""
        self.wording, self.pattern = wording, pattern(wording.language)
        self._usual = wording == _USUAL
        language = wording.language
        spoken = {d.id: d.spoken for d in departments}
        spoken_words = {d.id: word_count(d.spoken, language) for d in departments}
        cues = [p.cue for p in planned.cues]
        self._department = [spoken[c.department] for c in cues]
        self._number = [format(c.number, "f") for c in cues]
        self._department_words = [spoken_words[c.department] for c in cues]
        self._number_words = [word_count(number, language) for number in self._number]
        self._next = [-1] * len(cues)
        numbers: dict[str, list[tuple[Decimal, int]]] = {}
        for i, cue in enumerate(cues):
            numbers.setdefault(cue.department, []).append((cue.number, i))
        for some in numbers.values():
            some.sort()
            for (low, a), (high, b) in pairwise(some):
                if high - low == 1 and low == int(low):
                    self._next[a] = b

    def name(self, place: int) -> str:
        """A cue by itself: "Lights 64"."""
        return f"{self._department[place]} {self._number[place]}"

    def standby(self, what: str, places: Sequence[int]) -> str:
        """The words of a standby or warning, e.g. "Standby Lights 64, Video 31 and Spots 10"."""
        word = self.pattern.warning if what == "warning" else self.pattern.standby
        groups = [self._group(department, members) for department, members in self._groups(places)]
        if self.wording.each:
            each = [f"{group}, {word}" if self.wording.name_first else f"{word} {group}" for group in groups]
            return _capital(", ".join(each))
        and_ = f" {self.pattern.and_} "
        inner = any(and_ in group for group in groups)
        named = _and(groups, f",{and_}" if inner else and_)
        return _capital(f"{named}, {word}" if self.wording.name_first else f"{word} {named}")

    def _group(self, department: str, members: Sequence[int]) -> str:
        """A department with its numbers, where they are said."""
        if not self.wording.numbers:
            return department
        if len(members) == 1:
            return f"{department} {self._number[members[0]]}"
        return f"{department} {_and(self._entries(members), f' {self.pattern.and_} ')}"

    def standby_words(self, places: Sequence[int]) -> int:
        """``word_count`` of :meth:`standby`, counted without building the text where it is the usual one."""
        if not self._usual:
            return self.pattern.word_count(self.standby("standby", places))
        if len(places) < 3:  # no run, and most of what the solver asks for
            number, department = self._number_words, self._department
            a, b = places[0], places[-1]
            count = 1 + self._department_words[a] + number[a]
            if a == b:
                return count
            alike = department[a] == department[b]
            return count + number[b] + 1 + (0 if alike else self._department_words[b])  # 1 is "and"
        return self._growing(places, {})[-1]

    def growing_standby_words(self, places: Sequence[int]) -> list[int]:
        """:meth:`standby_words` of the first place, of the first two, and so on.

        ``places`` may be in any order; what is said is always said in the item's.
        """
        if not self._usual:
            return [self.standby_words(sorted(places[:n])) for n in range(1, len(places) + 1)]
        return self._growing(places, {})

    def _growing(self, places: Sequence[int], groups: dict[str, list[int]]) -> list[int]:
        """The same in the usual wording. ``groups`` becomes, per department: its last place, the length of
        the run that ends there, its entries."""
        number, following, department = self._number_words, self._next, self._department
        count = 1
        found: list[int] = []
        for place in places:
            group = groups.get(department[place])
            if group is None:
                groups[department[place]] = [place, 1, 1]
                count += self._department_words[place] + number[place]
            elif place < group[0]:
                # Said before one that is counted already: all are counted anew, in the order of saying them.
                groups.clear()
                found.append(self._growing(sorted(places[: len(found) + 1]), groups)[-1])
                count = found[-1] - (len(groups) > 1)
                continue
            else:
                last, run, entries = group
                count += number[place]
                if following[last] != place:
                    run, entries = 1, entries + 1
                    count += entries == 2  # "and"
                elif run == 1:
                    run, entries = 2, entries + 1
                    count += entries == 2
                else:
                    # The middle of a run is not said; its first three become one entry, "65 to 67".
                    count -= number[last]
                    if run == 2:
                        count += 1 - (entries == 2)
                        entries -= 1
                    run += 1
                group[0], group[1], group[2] = place, run, entries
            found.append(count + (len(groups) > 1))  # 1 is the "and" between departments
        return found

    @property
    def go_word(self) -> str:
        """The last word of a go."""
        return self.pattern.go

    def go(self, places: Sequence[int]) -> str:
        """The words of a go: "Lights 64, Video 31, go"."""
        if len(places) == 1:
            return f"{self._group(self._department[places[0]], places)}, {self.go_word}"
        groups = [self._group(department, members) for department, members in self._groups(places)]
        return ", ".join([*groups, self.go_word])

    def go_words(self, places: Sequence[int]) -> int:
        """``word_count`` of :meth:`go`: "go" for the "standby", and no "and" between departments."""
        if not self._usual:
            return self.pattern.word_count(self.go(places))
        words = self.standby_words(places)
        several = len(places) > 1 and len({self._department[place] for place in places}) > 1
        return words - several

    def _groups(self, places: Sequence[int]) -> list[tuple[str, list[int]]]:
        """Places by spoken department, in order of first mention."""
        if len(places) == 1:
            return [(self._department[places[0]], [places[0]])]
        groups: dict[str, list[int]] = {}
        for place in places:
            groups.setdefault(self._department[place], []).append(place)
        return list(groups.items())

    def _runs(self, members: Sequence[int]) -> list[list[int]]:
        runs = [[members[0]]]
        for place in members[1:]:
            if self._next[runs[-1][-1]] == place:
                runs[-1].append(place)
            else:
                runs.append([place])
        return runs

    def _entries(self, members: Sequence[int]) -> list[str]:
        if len(members) < 3:
            return [self._number[place] for place in members]
        entries: list[str] = []
        for run in self._runs(members):
            numbers = [self._number[place] for place in run]
            entries += [f"{numbers[0]} {self.pattern.to} {numbers[-1]}"] if len(run) > 2 else numbers
        return entries


def _and(parts: list[str], last: str = " and ") -> str:
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + last + parts[-1]


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def spoken_number(number: Decimal) -> str:
    """A cue number as it is read out."""
    return number_words(format(number, "f"))
