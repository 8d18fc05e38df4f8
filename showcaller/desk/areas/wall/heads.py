"""What stands over the two pictures while a show is on: what is on, and what is next. Drawing alone."""

from showcaller.desk.areas.wall.heads_words import PictureHead
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QRect

ON_TONE, NEXT_TONE = "missed", "accent"
"""Red and green; the disc and the triangle, and the words, say the same."""


def draw_on(paper: Paper, box: QRect, head: PictureHead, meant: bool) -> None:
    """Red, a disc and ON, over a red frame; ``meant``: keys act on it."""
    x, y = _sign(paper, box, "● ON", ON_TONE, meant), box.top() - paper.px(14)
    right = box.right() + 1.0
    right -= paper.text(right, y, head.figure, "tiny", head.tone, align="right") + paper.px(16)
    _name(paper, x, right, y, head)


def draw_next(paper: Paper, box: QRect, head: PictureHead | None, meant: bool) -> None:
    """Green, a triangle and NEXT; whether it fits stands under the picture, before it is taken."""
    x, y, right = _sign(paper, box, "▲ NEXT", NEXT_TONE, meant), box.top() - paper.px(14), box.right() + 1
    if head is None:
        paper.text(x, y, "nothing: the plan has no more looks", "small", "quiet", room=right - x)
        return
    _name(paper, x, right, y, head)
    paper.wrapped(
        box.left(), box.bottom() + paper.px(26), head.figure, box.width(), "small", head.tone, lines=2
    )


def _name(paper: Paper, x: float, right: float, y: float, head: PictureHead) -> None:
    x += paper.text(x, y, head.name, "small", "strong", "semibold", room=(right - x) * 0.6) + paper.px(12)
    paper.text(x, y, head.more, "tiny", "quiet", room=right - x)


def _sign(paper: Paper, box: QRect, words: str, tone: str, meant: bool) -> float:
    """The frame and its word; where the word ends."""
    thick = max(2.0, paper.px(5 if meant else 2))
    x, y = box.left() - thick / 2, box.top() - thick / 2
    paper.frame(x, y, box.width() + thick, box.height() + thick, tone, thick)
    left = float(box.left())
    return left + paper.text(left, box.top() - paper.px(14), words, "small", tone, "bold") + paper.px(14)
