"""When a song's lines are sung: where each begins and ends, which is on, and when a word comes.

Only a line's own place is known. What lies between is an estimate: lines without a place lie evenly between
their neighbours, and words evenly over their line's time unless their own times are given. Seconds into the
item, exact.
"""

from bisect import bisect_right
from collections.abc import Sequence
from fractions import Fraction

from showcaller.model import LyricLine, Song
from showcaller.timing.tempo import TempoMap
from showcaller.values import Struct

SLOWEST_WORD_S = Fraction(2)
"""A word is sung for at most so long, so that a line is over where the music goes on without words (an
estimate, no source)."""


class SungLine(Struct, frozen=True):
    """A line from ``begins_s`` to ``ends_s``; ``words_s[n]`` is when its word n (from 0) comes.

    ``placed``: its beginning was given, by bar or by seconds.
    """

    line: LyricLine
    begins_s: Fraction
    ends_s: Fraction
    words_s: tuple[Fraction, ...]
    placed: bool

    def word_at(self, at_s: Fraction) -> int:
        """The word (from 0) that has come last at ``at_s``; 0 before the line begins."""
        return max(0, bisect_right(self.words_s, at_s) - 1)


def sung_lines(song: Song, tempo: TempoMap | None) -> tuple[SungLine, ...]:
    """A song's lines in the order in which they are sung, each ending no later than the next begins.

    Lines before the first that has a place lie between the downbeat and it, those behind the last between it
    and the song's end.
    """
    begins = _begins(song, tempo)
    order = sorted(range(len(begins)), key=lambda n: (begins[n], n))
    found = []
    for k, n in enumerate(order):
        after = begins[order[k + 1]] if k + 1 < len(order) else max(song.length_s, begins[n])
        found.append(_sung(song.lyrics[n], begins[n], after))
    return tuple(found)


def _begins(song: Song, tempo: TempoMap | None) -> list[Fraction]:
    own = [_own_place(line, song, tempo) for line in song.lyrics]
    begins: list[Fraction] = []
    n = 0
    while n < len(own):
        place = own[n]
        if place is not None:
            begins.append(place)
            n += 1
            continue
        end = next((k for k in range(n, len(own)) if own[k] is not None), len(own))
        after = own[end] if end < len(own) else song.length_s
        assert after is not None
        # Before the first that has a place nothing is sung yet: the first line waits for its share.
        first = not begins
        before = min(song.downbeat_s, after) if first else begins[-1]
        shares = end - n + (0 if first else 1)
        step = max(Fraction(0), after - before) / shares
        begins += [before + step * (k if first else k + 1) for k in range(end - n)]
        n = end
    return begins


def _own_place(line: LyricLine, song: Song, tempo: TempoMap | None) -> Fraction | None:
    if line.seconds is not None:
        return line.seconds
    if line.bar is None or tempo is None:
        return None
    return song.downbeat_s + tempo.seconds(line.bar, line.beat)


def _sung(line: LyricLine, begins_s: Fraction, after_s: Fraction) -> SungLine:
    """The line, over where the next begins at the latest."""
    placed = line.bar is not None or line.seconds is not None
    count = len(line.words)
    if line.words_s:
        words_s = tuple(min(begins_s + word_s, after_s) for word_s in line.words_s)
        return SungLine(line, begins_s, min(after_s, words_s[-1] + SLOWEST_WORD_S), words_s, placed)
    ends_s = min(after_s, begins_s + count * SLOWEST_WORD_S)
    step = (ends_s - begins_s) / count
    return SungLine(line, begins_s, ends_s, tuple(begins_s + n * step for n in range(count)), placed)


def line_at(lines: Sequence[SungLine], at_s: Fraction) -> tuple[int | None, int | None]:
    """(the line that is on at ``at_s``, the next to begin) as places in ``lines``; None: there is none."""
    next_one = bisect_right(lines, at_s, key=lambda sung: sung.begins_s)
    last = next_one - 1
    on = last if last >= 0 and at_s < lines[last].ends_s else None
    return on, next_one if next_one < len(lines) else None


def word_instant(lines: Sequence[SungLine], line_id: str, word: int) -> Fraction | None:
    """When the word (from 1) of the line with this id comes; None if there is no such word."""
    sung = next((one for one in lines if one.line.id == line_id), None)
    return sung.words_s[word - 1] if sung is not None and 0 < word <= len(sung.words_s) else None


def bare_word(word: str) -> str:
    """A word without what is written around it: ``lit`` for ``“lit,”``."""
    return word.strip(".,;:!?…\"'“”‘’()[]–—-") or word


def word_words(line: LyricLine, word: int) -> str:
    """What is listened for: ``on the word “lit”: The lamps are lit``. A word that is sung more than once in
    its line has its count: ``on the word “lit” (2nd time)``."""
    words = [bare_word(one) for one in line.words]
    said = words[word - 1]
    same = [n for n, one in enumerate(words, 1) if one.casefold() == said.casefold()]
    count = f" ({_ordinal(same.index(word) + 1)} time)" if len(same) > 1 else ""
    return f"on the word “{said}”{count}: {line.text}"


def _ordinal(n: int) -> str:
    ending = {1: "st", 2: "nd", 3: "rd"}.get(n % 10 if n % 100 not in (11, 12, 13) else 0, "th")
    return f"{n}{ending}"
