"""The words that are being sung, for the caller: the line that is on, the next, and the word of the next go.

Pure: no Qt, no clock. Where a line has no times for its words, when they come is an estimate, so nothing
follows the singer word by word; only the word that a go hangs on is marked.
"""

from collections.abc import Sequence
from fractions import Fraction

from showcaller.calling.caller_view import CallView
from showcaller.calling.form_view import is_open, shift_s, turn_of
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.run.state import Turn
from showcaller.timing.lyrics import SungLine, line_at
from showcaller.values import Struct

AHEAD_S = 60.0
"""A line further off than this is not shown as the next."""

BREATH_S = 4.0
"""Over a gap shorter than this the line before it stays (common practice, no source)."""


class WordsOf(Struct, frozen=True):
    """A line: its words, and which of them (from 0) the next go hangs on."""

    words: tuple[str, ...]
    marked: int | None = None

    @property
    def text(self) -> str:
        """The line as it is sung."""
        return " ".join(self.words)


class LyricsView(Struct, frozen=True):
    """``on`` is being sung (None: music without words), ``then`` comes in ``in_s`` seconds; ``waits`` if it
    comes when the vamp is over, so that nobody knows when."""

    on: WordsOf | None
    then: WordsOf | None
    in_s: float = 0.0
    waits: bool = False


def lyrics_view(book: RunBook, view: CallView, now_ns: int) -> LyricsView | None:
    """The lines of the item that is on; None where none is sung now or within a minute."""
    state = book.state
    if view.phase not in ("running", "held"):
        return None
    lines = book.compiled.items[state.item].planned.lyrics
    at_ns = state.item_ns(now_ns)
    if not lines or at_ns is None:
        return None
    at_s = Fraction(at_ns, NS)
    on, _ = line_at(lines, at_s)
    coming = _coming(lines, at_ns, turn_of(book, state.item))
    if on is None and coming is not None and not coming.waits:
        before = max((n for n, sung in enumerate(lines) if sung.ends_s <= at_s), default=None)
        gap_s = coming.in_s + float(at_s - lines[before].ends_s) if before is not None else BREATH_S
        on = before if gap_s < BREATH_S else None
    then = None if coming is None or coming.in_s > AHEAD_S else coming
    if on is None and then is None:
        return None
    word = view.next_go.word if view.next_go is not None and view.next_go.item == state.item else None
    return LyricsView(
        None if on is None else _words_of(lines[on], word),
        None if then is None else _words_of(lines[then.line], word),
        0.0 if then is None else then.in_s,
        then is not None and then.waits,
    )


class _Coming(Struct, frozen=True):
    line: int
    in_s: float
    waits: bool


def _coming(lines: Sequence[SungLine], at_ns: int, turn: Turn | None) -> _Coming | None:
    """The line that will be sung next, where a section is repeated or cut as well."""
    found = []
    for n, sung in enumerate(lines):
        begins_ns = round(sung.begins_s * NS)
        later_s = shift_s(turn, begins_ns)
        if begins_ns > at_ns and later_s is not None:
            found.append(_Coming(n, (begins_ns - at_ns) / NS + later_s, is_open(turn, begins_ns)))
        if turn is not None and turn.what != "cut" and turn.to_ns <= begins_ns < turn.at_ns:
            found.append(_Coming(n, (turn.at_ns - at_ns + begins_ns - turn.to_ns) / NS, waits=False))
    # What comes for certain before what waits for a word.
    return min(found, key=lambda one: (one.waits, one.in_s), default=None)


def _words_of(sung: SungLine, word: tuple[str, int] | None) -> WordsOf:
    marked = word[1] - 1 if word is not None and word[0] == sung.line.id else None
    return WordsOf(sung.line.words, marked)
