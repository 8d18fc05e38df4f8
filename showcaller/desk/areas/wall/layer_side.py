"""The side of the wall area: the layers of the look, and the fields of the one that is chosen."""

from showcaller.desk.areas.wall.layer_fields import LayerField
from showcaller.desk.areas.wall.layers_list import ROW_PX, LayersList
from showcaller.desk.areas.wall.pool_use import uses_words
from showcaller.desk.areas.wall.wallview import WallView
from showcaller.desk.paint.fields import FieldRow, FieldsView
from showcaller.desk.paint.paper import Paper, wrapped
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.views import TEXT_PX
from showcaller.desk.qt import QRect, QRectF, QWidget, Signal
from showcaller.desk.theme import theme

FIELD_PX = 34
LABEL_PX = 152
HEADING_PX = 50
"""Over the fields: the chosen layer's name."""
SENTENCE = 4
"""Lines under the fields, at most."""


def field_rows(fields: tuple[LayerField, ...]) -> tuple[FieldRow, ...]:
    """A layer's fields as rows; what is distorted is marked."""
    return tuple(FieldRow(f.key, f.label, f.text, f.hint, tone=f.tone) for f in fields)


class LayerSide(Sheet):
    """``chose`` a layer by what it goes by, ``opened`` a field of the chosen one, ``asked`` for its menu."""

    chose = Signal(str)
    opened = Signal(str)
    asked = Signal()

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Layers", parent)
        self.layers, self.fields = LayersList(self), FieldsView("Fields of the layer", self, True)
        self.layers.chose.connect(self.chose)
        self.layers.asked.connect(self.asked)
        self.fields.opened.connect(self.opened)
        self._view: WallView | None = None
        self._name = ""
        self._sentence = ""

    def show_view(
        self, view: WallView, chosen: str | None, fields: tuple[LayerField, ...], sentence: str
    ) -> None:
        """Show the layers, the fields of the chosen one, and a sentence under them."""
        told = (
            self._sentence,
            self._name,
            None if self._view is None else (len(self._view.rows), self._view.uses),
        )
        self._view, self._sentence = view, sentence
        self._name = next((r.name for r in view.rows if r.key == chosen), "")
        self.layers.show_layers(view.rows, chosen)
        self.fields.show_rows(field_rows(fields))
        self.fields.setAccessibleName(f"Fields of {self._name or 'the layer'}")
        self.lay_out()
        if told != (sentence, self._name, (len(view.rows), view.uses)):
            self.update_between()

    def lay_out(self) -> None:
        """The list as high as its layers, the fields under it, as high as their texts need."""
        k, count = self.scale(), self.fields.model_.rowCount()
        row, step, size = int(ROW_PX * k), int(FIELD_PX * k), max(11.0, 18 * k)
        self.fields.measure(self.width() + TEXT_PX, int(LABEL_PX * k), step, size)
        self.layers.fit(size, row)
        high, lines = self.fields.all_high(), len(self._lines(k))
        top, below = int(28 * k), int((HEADING_PX + lines * 22) * k) + high if count else int(60 * k)
        shown, listed = 0, self.layers.highs(self.width())
        for one in listed:
            if shown and top + shown + one + below > self.height():
                break
            shown += one
        self.layers.setGeometry(0, top, self.width(), shown)
        self.layers.setVisible(shown > 0)
        y = top + shown + int(HEADING_PX * k)
        box = QRect(-TEXT_PX, y, self.width() + TEXT_PX, max(step, min(high, self.height() - y)))
        self.fields.place(box, int(LABEL_PX * k), step, size)
        self.fields.setVisible(count > 0)

    def _lines(self, k: float) -> tuple[str, ...]:
        """The sentence under the fields, as it is wrapped."""
        return wrapped(self._sentence, max(11.0, theme().sizes["tiny"] * k), self.width(), SENTENCE)

    def value_box(self, key: str) -> QRectF | None:
        """Where a field is typed into, px of the parent."""
        box = self.fields.value_box(key)
        return None if box is None else box.translated(self.pos().toPointF())

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.lay_out()

    def draw(self, paper: Paper) -> None:
        view, k = self._view, paper.px
        if view is None:
            return
        paper.heading(0, k(14), "layers, front first")
        tone = "standby" if any(use.over for use in view.uses) else "quiet"
        used = paper.width_of("LAYERS, FRONT FIRST", paper.size("tiny"), "semibold") * 1.2
        words, room = uses_words(view.uses, "ch"), paper.width - used
        for between in (" of ", "/"):
            if paper.width_of(words, paper.size("tiny")) > room:  # the names stand over the surfaces
                words = " · ".join(f"{use.used}{between}{use.limit}" for use in view.uses) + " ch"
        paper.text(paper.width, k(14), words, "tiny", tone, align="right", room=room)
        if not view.rows:
            paper.text(0, k(52), "none: the wall is black", "small", "quiet")
        if self.fields.model_.rowCount():
            paper.heading(0, self.fields.y() - k(12), f"{self._name}, chosen")
            y, words = self.fields.geometry().bottom() + k(24), self._sentence
        else:
            y = (self.layers.geometry().bottom() if view.rows else k(52)) + k(26)
            words = self._sentence or ("Click a layer to change it." if view.rows else "")
        paper.wrapped(0, y, words, paper.width, "tiny", "quiet", lines=SENTENCE)
