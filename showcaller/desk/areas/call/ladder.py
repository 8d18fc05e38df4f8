"""The ladder: what comes, climbing towards the now rule; distance is time."""

from collections.abc import Sequence
from math import log1p

from showcaller.calling.rungs import Rung
from showcaller.calling.wording import span
from showcaller.desk.areas.call.box_words import COUNT_S
from showcaller.desk.paint.paper import Paper

EVEN_S = 8.0
"""Distance on the ladder is time: about even over the first seconds, then drawn together, to 5 minutes."""
FAR_S = 300.0
_LOOK = {
    "go": ("strong", "semibold"),
    "standby": ("standby", "regular"),
    "warning": ("caution", "regular"),
    "automatic": ("quiet", "regular"),
}


def rung_place(in_s: float) -> float:
    """Where an instant lies on the ladder: 0 at the now rule, 1 at its foot five minutes on."""
    return min(1.0, log1p(max(0.0, in_s) / EVEN_S) / log1p(FAR_S / EVEN_S))


def draw(
    paper: Paper, rungs: Sequence[Rung], more: int, since_s: float, left: float, right: float, top: float
) -> None:
    """The rungs below ``top``; ``more`` is how many are not among them."""
    k = paper.px
    paper.fill(left, top, right - left, k(4), "strong")
    rail = left + k(82)
    foot = paper.height - k(16)
    paper.line(rail, top + k(4), rail, foot, "line", 2)
    paper.text(left, top + k(26), "now", "tiny", "quiet")
    first, height = top + k(44), foot - top - k(56)
    for mark in (5, 10, 20, 30, 60, 120, 240):
        y = first + height * rung_place(mark)
        paper.line(rail - k(5), y, rail, y, "faint", 2)
    y_free = first
    shown = 0
    for rung in rungs:
        in_s = rung.in_s - since_s
        y = max(first + height * rung_place(in_s), y_free)
        if y > foot - k(30):
            break
        _draw_rung(paper, rung, in_s, rail, right, y)
        y_free = y + k(37)
        shown += 1
    hidden = len(rungs) - shown + more
    if hidden:
        paper.text(right - k(4), foot, f"{hidden} more within five minutes", "tiny", "quiet", align="right")


def _draw_rung(paper: Paper, rung: Rung, in_s: float, rail: float, right: float, y: float) -> None:
    k = paper.px
    paper.text(rail - k(16), y + k(7), span(in_s), "small", "quiet", align="right")
    paper.line(rail - k(8), y, rail + k(6), y, "text", 3)
    x = rail + k(38)
    signs = rung.signs[:6]
    for sign in signs:
        paper.sign(x, y, sign.department, sign.filled and rung.what == "go", 12)
        x += k(32)
    x = max(rail + k(150), x + k(2))
    tone, weight = _LOOK[rung.what]
    size = "body" if rung.what == "automatic" else "line"
    text = rung.text
    if rung.sees is not None:
        text += f" · {rung.place}"
    note = " · hazard" if rung.hazard else ""
    note += " · after the vamp" if rung.vamp else ""
    room = right - x - k(8)
    fitted = paper.fitted(text + note, size, weight, room, 0.7)
    used = paper.text(x, y + k(9), text + note, tone=tone, weight=weight, room=room, size_px=fitted)
    left_over = right - x - used - k(24)
    if rung.what != "automatic" and 0 < in_s < COUNT_S and left_over > k(60):
        paper.fill(x + used + k(18), y - k(2), left_over * in_s / COUNT_S, k(4), "line")
