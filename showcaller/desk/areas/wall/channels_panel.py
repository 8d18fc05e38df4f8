"""Under the channel graph: what is short of channels, and the board of sources."""

from collections.abc import Mapping
from types import MappingProxyType

from showcaller.desk.areas.wall.source_cards import CardView
from showcaller.desk.areas.wall.wallview import WallView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QRectF, QWidget

_TONES = {"on": "missed", "coming": "accent", "free": "line"}
_MARKS = {"on": "●", "coming": "▲", "free": "○"}
LEAST_CARD_PX, NARROWEST_CARD_PX = 180, 118
NO_TROUBLES: Mapping[str, str] = MappingProxyType({})


class ChannelsPanel(Sheet):
    """Sentences on channels, and a card for every source."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Channels and sources", parent)
        self._view: WallView | None = None
        self._troubles: dict[str, str] = {}
        self._seen: object = None

    def show_view(self, view: WallView, troubles: Mapping[str, str] = NO_TROUBLES) -> None:
        """Show these words; ``troubles`` are of sources' files, by the sources' ids."""
        seen = (view.cards, view.sentences, view.pools)
        if self._view is None or troubles != self._troubles or seen != self._seen:
            self._seen = seen
            self._view, self._troubles = view, dict(troubles)
            cards = "; ".join(
                f"{c.name} {c.words} {self._troubles.get(c.source, '')}".strip() for c in view.cards
            )
            self.setAccessibleDescription(f"{' '.join(view.sentences)} {cards}".strip())
            self.update()

    def draw(self, paper: Paper) -> None:
        view, k = self._view, paper.px
        if view is None:
            return
        y = k(28)
        across = max(1, int(paper.width / k(NARROWEST_CARD_PX)))
        needed = k(32) + -(-len(view.cards) // across) * k(94)
        board = max(k(120), min(k(216), needed, paper.height - y - k(20)))
        lines = max(1, min(3, int((paper.height - board - y - k(8)) / k(26)) + 1))
        draw_sentences(paper, view, 0, y, paper.width, lines)
        area = QRectF(0, paper.height - board, paper.width, board)
        draw_board(paper, view.cards, area, self._troubles)


def draw_sentences(paper: Paper, view: WallView, x: float, y: float, width: float, lines: int) -> float:
    """What does not fit and what would make it fit; returns the y behind it."""
    k = paper.px
    if not view.sentences:
        counts = [f"{p.most} of {p.limit} channels" for p in view.pools]
        if len(view.pools) > 1:
            counts = [f"{p.most} of {p.limit} in {p.name}" for p in view.pools]
        words = f"Every look fits: at most {', '.join(counts)}."
        paper.text(x, y, words, "small", "quiet", room=width)
        return y + k(26)
    each = max(1, min(2, lines // len(view.sentences[:lines]))) if lines > 1 else 2
    for n, sentence in enumerate(view.sentences[:lines]):
        more = len(view.sentences) - lines
        words = sentence + (f"  (and {more} more)" if n == lines - 1 and more > 0 else "")
        y = paper.wrapped(x, y, words, width, "small", "standby", lines=each)
    return y


def draw_board(
    paper: Paper,
    cards: tuple[CardView, ...],
    area: QRectF,
    troubles: Mapping[str, str] = NO_TROUBLES,
) -> None:
    """A card for each source: its tally as mark, word and frame; who needs it next, or what is wrong."""
    k = paper.px
    paper.heading(area.left(), area.top() + k(14), "sources")
    if not cards:
        return
    rows = max(1, int((area.height() - k(24)) / k(94)))
    widest, narrowest = int(area.width() / k(LEAST_CARD_PX)), int(area.width() / k(NARROWEST_CARD_PX))
    across = max(1, min(len(cards), max(widest, min(narrowest, -(-len(cards) // rows)))))
    gap = k(10)
    wide = (area.width() + gap) / across - gap
    fitting = across * rows
    # What is on or comes soon is never among those there is no room for; each keeps its place in the row.
    wrong = [c.source for c in cards if c.source in troubles]
    first = sorted(cards, key=lambda c: c.state == "free" and c.source not in wrong)[:fitting]
    shown = [c for c in cards if c in first]
    for n, card in enumerate(shown):
        x = area.left() + (n % across) * (wide + gap)
        y = area.top() + k(26) + (n // across) * k(94)
        paper.fill(x, y, wide, k(84), "panel")
        paper.frame(
            x + 0.5, y + 0.5, wide - 1, k(84) - 1, _TONES[card.state], 1 if card.state == "free" else 2
        )
        tone = "quiet" if card.state == "free" else _TONES[card.state]
        loud = paper.width_of(card.loud, paper.size("tiny"))
        if loud and loud + paper.width_of(card.name, paper.size("tiny"), "medium") <= wide - k(28):
            paper.text(x + wide - k(8), y + k(24), card.loud, "tiny", "quiet", align="right")
        paper.text(x + k(9), y + k(24), card.name, "tiny", "strong" if card.state == "on" else "text",
                   "medium", room=wide - k(16))  # fmt: skip
        paper.text(x + k(9), y + k(48), f"{_MARKS[card.state]} {card.words}", "tiny", tone, room=wide - k(16))
        trouble = troubles.get(card.source, "")
        words = f"✕ {trouble}" if trouble else card.who or card.kind
        paper.text(x + k(9), y + k(72), words, "tiny", "missed" if trouble else "quiet", room=wide - k(16))
    if len(shown) < len(cards):
        words = f"{len(cards) - len(shown)} more, free"
        paper.text(area.right(), area.top() + k(14), words, "tiny", "quiet", align="right")
