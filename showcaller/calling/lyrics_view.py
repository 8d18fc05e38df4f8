"""The words that are being sung, for the caller: the line that is on, the next, and the word of the next go.

Pure: no Qt, no clock. Where a line has no times for its words, when they come is an estimate, so nothing
follows the singer word by word; only the word that a go hangs on is marked.
"""

from dataclasses import dataclass
from fractions import Fraction

from showcaller.calling.caller_view import CallView
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.timing.lyrics import SungLine, line_at

AHEAD_S = 60.0
"""A line further off than this is not shown as the next."""


@dataclass(frozen=True, slots=True)
class WordsOf:
    """A line: its words, and which of them (from 0) the next go hangs on."""

    words: tuple[str, ...]
    marked: int | None = None

    @property
    def text(self) -> str:
        """The line as it is sung."""
        return " ".join(self.words)


@dataclass(frozen=True, slots=True)
class LyricsView:
    """``on`` is being sung (None: music without words), ``then`` comes in ``in_s`` seconds."""

    on: WordsOf | None
    then: WordsOf | None
    in_s: float = 0.0


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
    on, then = line_at(lines, at_s)
    word = view.next_go.word if view.next_go is not None and view.next_go.item == state.item else None
    next_in_s = 0.0 if then is None else float(lines[then].begins_s - at_s)
    if then is not None and next_in_s > AHEAD_S:
        then = None
    if on is None and then is None:
        return None
    return LyricsView(
        None if on is None else _words_of(lines[on], word),
        None if then is None else _words_of(lines[then], word),
        next_in_s,
    )


def _words_of(sung: SungLine, word: tuple[str, int] | None) -> WordsOf:
    marked = word[1] - 1 if word is not None and word[0] == sung.line.id else None
    return WordsOf(sung.line.words, marked)
