"""Lyrics out of the lyric events of a MIDI file, syllable by syllable.

As the MIDI Manufacturers Association's RP-017 says: a space ends a word, what does not end with one is gone
on with by the next event; a carriage return or line feed ends a line. Where a file has no spaces at all
a hyphen joins and everything else ends a word, and ``/`` or ``\\`` begins a line (common practice, no
source). Information in braces (RP-026) is left out.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from showcaller.editing.importing.lyrics import LONGEST_LINE
from showcaller.model.quantities import to_json
from showcaller.timing.midi_tempo import Syllable

_INFORMATION = re.compile(r"\{[@#][^}]*\}")
_PIECE = re.compile(r"[\r\n/\\]+|[^\r\n/\\]+")
_BREAKS = frozenset("\r\n/\\")
REST_QUARTERS = 4
"""In a file without line ends a rest of so many quarters begins a line."""
MOST_WORDS = 10
"""And so many words are the most of one."""


@dataclass(slots=True)
class _Line:
    first: Syllable
    words: list[tuple[str, Syllable]] = field(default_factory=list)

    def part(self) -> dict[str, Any]:
        begins = self.first
        found: dict[str, Any] = {"text": " ".join(word for word, _ in self.words), "bar": begins.bar}
        if begins.beat != 1:
            found["beat"] = to_json(begins.beat)
        # To the millisecond: nobody hears less, and the document stays readable.
        times = [Fraction(round((at.seconds - begins.seconds) * 1000), 1000) for _, at in self.words]
        return found | ({"words_s": [to_json(t) for t in times]} if len(times) > 1 else {})


def lines_of(syllables: Sequence[Syllable]) -> list[dict[str, Any]]:
    """The lines, as in the document, without ids: at the bar and beat of their first syllable, each word at
    its own time."""
    texts = [_INFORMATION.sub("", one.text) for one in syllables]
    spaced = any(text != text.strip(" ") for text in texts)
    broken = any(_BREAKS & set(text) for text in texts)
    lines: list[_Line] = []
    joined, new_line, before = False, True, None
    for one, text in zip(syllables, texts, strict=True):
        if not broken and before is not None and one.quarter - before.quarter >= REST_QUARTERS:
            new_line, joined = True, False
        for piece in _PIECE.findall(text):
            if _BREAKS & set(piece):
                new_line, joined = True, False
                continue
            for word, ends in _words(piece, spaced):
                if not word:
                    joined = joined and not ends
                    continue
                if joined and lines:
                    last, at = lines[-1].words[-1]
                    lines[-1].words[-1] = (last + word, at)
                else:
                    full = bool(lines) and (not broken and len(lines[-1].words) >= MOST_WORDS)
                    if new_line or full or _long(lines[-1], word):
                        lines.append(_Line(one))
                    lines[-1].words.append((word, one))
                new_line, joined = False, not ends
        before = one
    return [line.part() for line in lines if len(line.part()["text"]) <= LONGEST_LINE]


def _words(piece: str, spaced: bool) -> Iterator[tuple[str, bool]]:
    """(letters, whether the word ends with them) of an event's text between line ends."""
    if piece[:1].isspace():
        yield "", True
    parts = piece.split()
    for n, part in enumerate(parts):
        last = n == len(parts) - 1
        hyphen = last and part.endswith("-") and len(part) > 1 and not piece[-1:].isspace()
        open_end = not piece[-1:].isspace() if spaced else False
        yield part.removesuffix("-") if hyphen else part, not last or not (hyphen or open_end)


def _long(line: _Line, word: str) -> bool:
    return sum(len(w) + 1 for w, _ in line.words) + len(word) > LONGEST_LINE
