"""The line that is sung and the next, painted between the box and the ladder: calm, the word of the next go
marked."""

from collections.abc import Callable

from showcaller.calling.lyrics_view import LyricsView, WordsOf
from showcaller.calling.wording import span
from showcaller.desk.paint.paper import Paper

HEIGHT = 72
"""What the two lines take, px at 1920×1080."""
_LEAST = 0.7
"""A long line is written so much smaller at most; what does not fit then is left out at its ends."""


def fitting(words: WordsOf, room: float, width_of: Callable[[str], float]) -> WordsOf:
    """As much of a line as fits ``room`` px, the marked word always among it; ``…`` stands for the rest."""
    first, end = 0, len(words.words)
    keep = words.marked or 0

    def shown() -> tuple[str, ...]:
        before, after = ("…",) * (first > 0), ("…",) * (end < len(words.words))
        return (*before, *words.words[first:end], *after)

    while end - first > 1 and width_of(" ".join(shown())) > room:
        if end - 1 - keep >= keep - first:
            end -= 1
        else:
            first += 1
    return WordsOf(shown(), None if words.marked is None else words.marked - first + (first > 0))


def draw(paper: Paper, view: LyricsView, since_s: float, left: float, right: float, top: float) -> None:
    """The two lines below ``top``. Without a line that is on, the next stands alone with its time to go."""
    k = paper.px
    x, room = left + k(16), right - left - k(32)
    y = top + k(30)
    if view.on is not None:
        _line(paper, view.on, "line", "text", x, y, room)
    else:
        paper.text(x, y, "music without words", "small", "faint")
    y += k(32)
    if view.then is None:
        return
    in_s = view.in_s - since_s
    when = "after the vamp" if view.waits else f"in {span(in_s)}" if in_s >= 1 else "now"
    paper.text(right - k(16), y, when, "tiny", "quiet", align="right")
    _line(paper, view.then, "body", "quiet", x, y, room - k(130 if view.waits else 90))


def _line(paper: Paper, words: WordsOf, size: str, tone: str, x: float, y: float, room: float) -> None:
    k = paper.px
    size_px = paper.fitted(words.text, size, "medium", room, _LEAST)
    shown = fitting(words, room, lambda text: paper.width_of(text, size_px, "semibold"))
    gap = paper.width_of("a a", size_px) - 2 * paper.width_of("a", size_px)
    for n, word in enumerate(shown.words):
        marked = n == shown.marked
        weight = "semibold" if marked else "regular"
        width = paper.width_of(word, size_px, weight)
        if marked:  # a shape as well as a tone: seen without colour too
            paper.fill(x - k(5), y + k(6), width + k(10), k(4), "accent")
        paper.text(x, y, word, tone="strong" if marked else tone, weight=weight, size_px=size_px)
        x += width + gap
