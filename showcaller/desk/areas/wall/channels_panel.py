"""Under the channel graph: what is short of channels, and the board of sources."""

from showcaller.desk.areas.wall.wallview import CardView, WallView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QRectF, QWidget

_TONES = {"on": "missed", "coming": "accent", "free": "line"}
_MARKS = {"on": "●", "coming": "▲", "free": "○"}
LEAST_CARD_PX = 180


class ChannelsPanel(Sheet):
    """Sentences on channels, and a card for every source."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Channels and sources", parent)
        self._view: WallView | None = None

    def show_view(self, view: WallView) -> None:
        """Show these words."""
        if view is not self._view:
            self._view = view
            cards = "; ".join(f"{c.name} {c.words}" for c in view.cards)
            self.setAccessibleDescription(f"{' '.join(view.sentences)} {cards}".strip())
            self.update()

    def draw(self, paper: Paper) -> None:
        view, k = self._view, paper.px
        if view is None:
            return
        y = k(28)
        board = max(k(120), min(k(216), paper.height - y - k(20)))
        lines = max(1, min(3, int((paper.height - board - y) / k(26)) + 1))
        draw_sentences(paper, view, 0, y, paper.width, lines)
        draw_board(paper, view.cards, QRectF(0, paper.height - board, paper.width, board))


def draw_sentences(paper: Paper, view: WallView, x: float, y: float, width: float, lines: int) -> float:
    """What does not fit and what would make it fit; returns the y behind it."""
    k = paper.px
    if not view.sentences:
        words = f"Every look fits: at most {view.most} of {view.limit} channels."
        paper.text(x, y, words, "small", "quiet", room=width)
        return y + k(26)
    for n, sentence in enumerate(view.sentences[:lines]):
        more = len(view.sentences) - lines
        words = sentence + (f"  (and {more} more)" if n == lines - 1 and more > 0 else "")
        y = paper.wrapped(x, y, words, width, "small", "standby", lines=2 if lines == 1 else 1)
    return y


def draw_board(paper: Paper, cards: tuple[CardView, ...], area: QRectF) -> None:
    """A card for each source: its tally as mark, word and frame, and who needs it next."""
    k = paper.px
    paper.heading(area.left(), area.top() + k(14), "sources")
    if not cards:
        return
    across = max(1, min(len(cards), int(area.width() / k(LEAST_CARD_PX))))
    rows = max(1, int((area.height() - k(24)) / k(94)))
    gap = k(10)
    wide = (area.width() + gap) / across - gap
    fitting = across * rows
    # What is on or comes soon is never among those there is no room for.
    shown = sorted(cards, key=lambda c: c.state == "free")[:fitting] if len(cards) > fitting else list(cards)
    for n, card in enumerate(shown):
        x = area.left() + (n % across) * (wide + gap)
        y = area.top() + k(26) + (n // across) * k(94)
        paper.fill(x, y, wide, k(84), "panel")
        paper.frame(
            x + 0.5, y + 0.5, wide - 1, k(84) - 1, _TONES[card.state], 1 if card.state == "free" else 2
        )
        tone = "quiet" if card.state == "free" else _TONES[card.state]
        paper.text(x + k(9), y + k(24), card.name, "tiny", "strong" if card.state == "on" else "text",
                   "medium", room=wide - k(16))  # fmt: skip
        paper.text(x + k(9), y + k(48), f"{_MARKS[card.state]} {card.words}", "tiny", tone, room=wide - k(16))
        paper.text(x + k(9), y + k(72), card.who or card.kind, "tiny", "quiet", room=wide - k(16))
    if len(shown) < len(cards):
        words = f"{len(cards) - len(shown)} more, free"
        paper.text(area.right(), area.top() + k(14), words, "tiny", "quiet", align="right")
