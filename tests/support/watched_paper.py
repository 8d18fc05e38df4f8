"""Paper that remembers where every text stands, and what was filled over it."""

from showcaller.desk.paint.paper import Paper, metrics
from showcaller.desk.qt import QRectF


class Watched(Paper):
    """Keeps where every text stands and what was filled after it."""

    def __init__(self, *given):
        super().__init__(*given)
        self.said, self.over = [], []

    def text(self, x, y, words, size="body", tone="text", weight="regular", align="left", room=None,
             spaced=False, size_px=None):  # fmt: skip
        px = self.size(size) if size_px is None else size_px
        measures = metrics(px, weight, spaced)
        width = measures.horizontalAdvance(words)
        left = x - width if align == "right" else x
        # From the top of a capital to the foot of a g.
        place = QRectF(left, y - measures.capHeight(), width, measures.capHeight() + px * 0.2)
        self.said.append((words, place))
        return super().text(x, y, words, size, tone, weight, align, room, spaced, size_px)

    def fill(self, x, y, w, h, tone):
        self.over += [(words, tone) for words, place in self.said if place.intersects(QRectF(x, y, w, h))]
        super().fill(x, y, w, h, tone)
