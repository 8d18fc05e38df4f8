"""What to take into the book tomorrow: a row an offer, each with how sure and the key that takes it in."""

from collections.abc import Sequence

from showcaller.desk.keys import Keys
from showcaller.desk.paint.tables import TableRow, TextModel
from showcaller.desk.paint.views import ListView
from showcaller.desk.qt import Qt, QWidget, Signal
from showcaller.review.learned import Offer

OFFERS = 5
"""So many have a key; the rest stand in the report."""
_SURE, _TAKE = 1, 2


def offer_rows(offers: Sequence[Offer], locked: str, keys: Keys) -> tuple[TableRow, ...]:
    """The first offers; ``locked`` says why none can be taken in, empty if they can."""
    found = []
    for n, offer in enumerate(offers[:OFFERS], 1):
        take = "" if not offer.fields else locked or f"{keys[f'drift.take{n}']}  apply to the book"
        tones = ("text", "quiet", "faint" if locked else "accent")
        found.append(TableRow((offer.words, offer.short or offer.detail, take), tones))
    return tuple(found)


class OffersList(ListView):
    """``took`` the place of the offer whose key was clicked, or that was double-clicked."""

    took = Signal(int)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("For tomorrow", parent)
        self._model = TextModel(("offer", "confidence", "apply"), self)
        self.setModel(self._model)
        self.header().setStretchLastSection(True)
        self.setTextElideMode(Qt.TextElideMode.ElideMiddle)
        self.clicked.connect(lambda index: self.took.emit(index.row()) if index.column() == _TAKE else None)
        self.doubleClicked.connect(
            lambda index: self.took.emit(index.row()) if index.column() != _TAKE else None
        )

    def show_offers(self, rows: tuple[TableRow, ...]) -> None:
        """Show these: how sure and the key are never cut; a long name is, in the middle of its offer."""
        self._model.show_rows(rows)
        self.setVisible(bool(rows))
        words, take = self.sizeHintForColumn(0), self.sizeHintForColumn(_TAKE)
        room = self.viewport().width() - take
        words = max(0, min(words, room - self.sizeHintForColumn(_SURE)))
        self.setColumnWidth(0, words)
        self.setColumnWidth(_SURE, max(0, room - words))
