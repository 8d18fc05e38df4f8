"""The box painted: as high as its words need, the line to say at full size on as many lines as it takes."""

import re
from collections.abc import Iterator
from functools import lru_cache

from showcaller.desk.areas.call.box_words import COUNT_S, BoxWords
from showcaller.desk.paint.paper import Paper, metrics
from showcaller.values import Struct, replace

LEAST_HEIGHT = 176
MOST_LINES = 4
"""Of the line itself. What needs more is written smaller, but whole."""
_FOOT_LINES = 4
_HEAD_LINE = 36
"""From one line of the heading to the next."""
_PAD = 28
_KEPT_TOGETHER = re.compile(r" (?=\d)")
"""The space before a cue's number."""


class Laid(Struct, frozen=True):
    """Words broken into lines: (words, whether it is the line to say), their size, the foot, the height;
    ``head`` are the heading's lines, the count stands on the last."""

    lines: tuple[tuple[str, bool], ...]
    size_px: float
    does: tuple[str, ...]
    foot: tuple[str, ...]
    height: float
    head: tuple[str, ...] = ()


def lay(paper: Paper, words: BoxWords, width: float, say: float) -> Laid:
    """Break a box's words to ``width`` px; ``say`` enlarges the line (1: as designed)."""
    k = paper.px
    room = width - 2 * k(_PAD)
    size = paper.size("say") * say
    lines = list(_lines(words, room, size))
    while len(lines) > MOST_LINES and size > paper.size("line"):
        size *= 0.92
        lines = list(_lines(words, room, size))
    does = broken(words.does, room, paper.size("line"), "regular")[:2]
    foot_weight = "semibold" if words.foot_tone == "missed" else "regular"
    foot = broken(words.foot, room, paper.size("body"), foot_weight)[:_FOOT_LINES]
    head = _head_lines(paper, words, room)
    height = (
        k(66)
        + (len(head) - 1) * k(_HEAD_LINE)
        + len(lines) * size * 1.14
        + len(does) * paper.size("line") * 1.3
    )
    height += len(foot) * paper.size("body") * 1.35 + k(20)
    return Laid(tuple(lines), size, does, foot, max(height, k(LEAST_HEIGHT)), head)


def _head_lines(paper: Paper, words: BoxWords, room: float) -> tuple[str, ...]:
    """The heading on one line, or broken at its dots where one would be small: what waits is read first."""
    k, heading = paper.px, words.heading.upper()
    count = paper.width_of(words.count, paper.size("figure"), "bold") + k(16) if words.count else 0.0
    room -= count + k(42) * len(words.signs) + k(30)
    size = paper.size("body")
    if " · " not in heading or paper.width_of(heading, size, "semibold") * 1.09 <= room:
        return (heading,)
    first, last = heading.split(" · ", 1)
    return (first, *broken(last, room / 1.09, size, "semibold"))


def _lines(words: BoxWords, room: float, size_px: float) -> Iterator[tuple[str, bool]]:
    if words.sees:
        yield from ((part, False) for part in broken(words.sees, room, size_px, "medium"))
    yield from ((part, True) for part in broken(words.line, room, size_px, "bold"))


@lru_cache(maxsize=128)
def broken(words: str, room: float, size_px: float, weight: str) -> tuple[str, ...]:
    """Words on as many lines as they need; a dash and what follows it stay together, a cue and its number
    too. Kept: between two views a frame changes nothing but the count."""
    measures = metrics(size_px, weight)
    found: list[str] = []
    line = ""
    for part in _KEPT_TOGETHER.sub("\u00a0", words.replace(" — ", "\u00a0—\u00a0")).split(" "):
        longer = f"{line} {part}" if line else part
        if line and measures.horizontalAdvance(longer) > room:
            found.append(line)
            longer = part
        line = longer
    return (*found, line) if line else tuple(found)


def draw(paper: Paper, words: BoxWords, laid: Laid, left: float, top: float, width: float) -> None:
    """The box with its top left corner at (left, top)."""
    k = paper.px
    ground = {"accent": "accent_ground", "standby": "standby_ground"}.get(words.tone, "panel")
    ink, strong = words.tone, "strong"
    if words.lit:  # now looks like nothing else: the whole box in its colour
        ground, ink, strong = words.tone, "ground", "ground"
    paper.fill(left, top, width, laid.height, ground)
    paper.frame(left, top, width, laid.height, words.tone, 3)
    lower = (len(laid.head) - 1) * k(_HEAD_LINE)
    room = width - k(2 * _PAD + 42) - k(42) * len(words.signs)
    for n, part in enumerate(laid.head[:-1]):
        _draw_heading(paper, part, left + k(_PAD), top + n * k(_HEAD_LINE), room, ink)
    _draw_head(
        paper,
        replace(words, heading=laid.head[-1], signs=() if lower else words.signs),
        left,
        top + lower,
        width,
        ink,
        strong,
    )
    if lower:
        _draw_signs(paper, words, left + width - k(_PAD), top)
    x, y = left + k(_PAD), top + k(66) + lower
    for part, said in laid.lines:
        y += laid.size_px * 1.14
        weight = "bold" if said else "medium"
        paper.text(x, y - laid.size_px * 0.24, part, tone=strong, weight=weight, size_px=laid.size_px)
    for part in laid.does:
        y += paper.size("line") * 1.3
        paper.text(x, y - k(6), part, "line", strong if words.lit else "text")
    foot = words.foot_tone if not words.lit else "ground"
    y += k(6)
    for part in laid.foot:
        y += paper.size("body") * 1.35
        weight = "semibold" if words.foot_tone == "missed" else "regular"
        paper.text(x, y - k(6), part, "body", foot if foot != "text" else "quiet", weight)


def _draw_heading(paper: Paper, heading: str, x: float, top: float, room: float, ink: str) -> float:
    """A line of the heading; how wide it became."""
    size = paper.fitted(heading, "body", "semibold", room / 1.09, 0.5)
    return paper.text(x, top + paper.px(42), heading, tone=ink, weight="semibold", spaced=True, size_px=size)


def _draw_signs(paper: Paper, words: BoxWords, right: float, top: float) -> float:
    """The departments' signs from the right; where they begin."""
    k = paper.px
    for sign in reversed(words.signs):
        if words.lit:
            paper.fill(right - k(40), top + k(12), k(40), k(44), "ground")
        paper.sign(right - k(20), top + k(34), sign.department, sign.filled, 15)
        right -= k(42)
    return right


def _draw_head(
    paper: Paper, words: BoxWords, left: float, top: float, width: float, ink: str, strong: str
) -> None:
    """Heading, count, the bar or the beats, and the departments' signs at the right."""
    k = paper.px
    inner, right = left + k(_PAD), _draw_signs(paper, words, left + width - k(_PAD), top)
    room = right - inner - k(12)
    count_px = paper.size("figure")
    count = paper.width_of(words.count, count_px, "bold") if words.count else 0.0
    used = _draw_heading(paper, words.heading.upper(), inner, top, room - count - k(18), ink)
    if words.count:
        x = inner + used + k(16)
        used += k(16) + paper.text(x, top + k(48), words.count, tone=strong, weight="bold", size_px=count_px)
    x0 = inner + used + k(24)
    if words.beats is not None and right - k(16) - x0 > k(130):
        _draw_beats(paper, words, x0, top, ink)
    elif words.bar is not None and right - k(16) - x0 > k(60):
        _draw_bar(paper, words, x0, right - k(16), top)


def _draw_bar(paper: Paper, words: BoxWords, x0: float, x1: float, top: float) -> None:
    """The shrinking bar; where it passes the tick the words have to begin."""
    k = paper.px
    assert words.bar is not None
    width, y = x1 - x0, top + k(30)
    paper.fill(x0, y - k(5), width, k(10), "line")
    paper.fill(x0, y - k(5), width * words.bar, k(10), words.tone)
    tick = x0 + width * min(1.0, words.takes_s / COUNT_S)
    paper.fill(tick - k(1), y - k(9), k(3), k(18), "strong")
    if tick + k(90) < x1:
        paper.text(tick + k(8), y + k(25), "start speaking", "tiny", "quiet")


def _draw_beats(paper: Paper, words: BoxWords, x0: float, top: float, ink: str) -> None:
    """The last beats, each lit as it comes."""
    k = paper.px
    for n in range(4):
        x = x0 + n * k(34)
        come = n < (words.beats or 0)
        if come:
            paper.fill(x, top + k(16), k(28), k(34), ink)
        paper.frame(x, top + k(16), k(28), k(34), ink, 2)
        tone = ("ground" if not words.lit else words.tone) if come else ink
        paper.text(x + k(14), top + k(41), str(n + 1), "body", tone, "bold", "centre")
