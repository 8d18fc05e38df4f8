"""Messages: the templates, to be typed into, and the messages the look that is on makes of them."""

from showcaller.calling.wording import plural
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.templates import SEND_HINT, send_text
from showcaller.desk.keys import Keys
from showcaller.desk.paint.fields import FieldRow, FieldsView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.tables import TableRow, TextModel
from showcaller.desk.paint.views import TEXT_PX, ListView
from showcaller.desk.qt import QAbstractItemView, QRect, QRectF, QWidget, Signal
from showcaller.engine.encode import EncodeError, encode
from showcaller.screen.sending import messages_of
from showcaller.values import Struct

SHARES = (0.14, 0.20, 0.24)
"""How wide outlet, layer and message are; the bytes have the rest."""
ROW_PX = 32
_TONES = ("quiet", "quiet", "text", "quiet")
MOST_TEMPLATES = 5
"""So many templates are in view at once."""


class SentRow(Struct, frozen=True):
    """A message a look sends: where it goes, what it says, its bytes."""

    outlet: str
    about: str
    words: str
    body: str


def sent_rows(scene: Scene) -> tuple[SentRow, ...]:
    """Everything the look that is on sends, with its bytes as they leave."""
    now = scene.standing
    outlets = {o.id: o.name for o in scene.show.outlets}
    names = {s.id: s.name for s in scene.show.sources}
    rows = []
    for sent in messages_of(scene.show, now.look, now.change, now.arrived_s - now.at_s):
        message = sent.message
        try:
            made = encode(message)
            body = f"{len(made)} bytes  {made.hex(' ').upper()}"
        except EncodeError as error:
            body = str(error)
        args = " ".join(f"{a:.4g}" if isinstance(a, float) else str(a) for a in message.args)
        layer = names[now.look.layers[sent.layer - 1].source] if sent.layer else "the look"
        about = f"{layer} in {sent.input}" if sent.input else layer
        rows.append(SentRow(outlets.get(message.outlet, ""), about, f"{message.address} {args}", body))
    return tuple(rows)


class SentPanel(Sheet):
    """``opened`` a template by its id, to be typed into."""

    opened = Signal(str)

    def __init__(self, keys: Keys, parent: QWidget) -> None:
        super().__init__("Messages", parent)
        self._keys = keys
        self._lead = ""
        self.templates = FieldsView("Templates", self)
        self.templates.opened.connect(self.opened)
        self.messages = ListView("Messages of the look", self)
        self._model = TextModel(("outlet", "layer", "message", "bytes"), self)
        self.messages.setModel(self._model)
        self.messages.show_header()
        self.messages.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)

    def show_scene(self, scene: Scene) -> None:
        """Show what the look that is on sends."""
        sends = scene.show.sends
        self.templates.show_rows(
            tuple(FieldRow(s.id, f"template {n}", send_text(s), SEND_HINT) for n, s in enumerate(sends, 1))
        )
        rows = sent_rows(scene)
        self._lead = f"“{scene.standing.look.name}” sends {plural(len(rows), 'message')} with its cue"
        self._model.show_rows(tuple(TableRow((r.outlet, r.about, r.words, r.body), _TONES) for r in rows))
        self.lay_out()
        self.update()

    def lay_out(self) -> None:
        """Templates above, messages under them."""
        k, width = self.scale(), self.width()
        count = max(1, min(MOST_TEMPLATES, self.templates.model_.rowCount()))
        high = int(ROW_PX * k)
        box = QRect(-TEXT_PX, 0, width + TEXT_PX, high * count)
        self.templates.place(box, int(150 * k), high, max(11.0, 18 * k))
        self.templates.setVisible(self.templates.model_.rowCount() > 0)
        self.messages.fit(max(11.0, 16 * k), int(25 * k))
        top = high * count + int(46 * k)
        self.messages.setGeometry(-TEXT_PX, top, width + TEXT_PX, max(0, self.height() - top))
        self.messages.share_columns(SHARES, width)

    def value_box(self, ident: str) -> QRectF | None:
        """Where a template is typed into, px of the parent."""
        box = self.templates.value_box(ident)
        return None if box is None else box.translated(self.pos().toPointF())

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.lay_out()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        if not self.templates.model_.rowCount():
            paper.heading(0, k(22), "templates")
            words = (
                f"none: {self._keys['wall.new_layer']} makes one for an outlet, "
                "and every change of look will send what it says"
            )
            paper.text(k(150), k(22), words, "tiny", "quiet", room=paper.width - k(150))
        paper.text(0, self.messages.y() - k(12), self._lead, "tiny", "quiet", room=paper.width)
