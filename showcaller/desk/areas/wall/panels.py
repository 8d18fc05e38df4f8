"""What the foot of the wall area shows instead of channels and sources: what is sent, faults, facts."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

from showcaller.calling.wording import plural, span
from showcaller.desk.areas.wall.editing import send_text
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QPointF, QPolygonF, QRectF
from showcaller.engine.encode import EncodeError, encode
from showcaller.model.base import ById
from showcaller.review.faults import FaultHistory
from showcaller.screen.facts import facts_of
from showcaller.screen.faults import AT_HEIGHT, Panel, Window, dark_windows, looks_lighting, panels_words
from showcaller.screen.sending import messages_of

PANELS = ("channels and sources", "what is sent", "faults", "the wall's facts")
REPAIR_S = 300.0
"""A crew needs at least so long at a panel (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class SentRow:
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


def draw_sent(paper: Paper, scene: Scene, area: QRectF, keys: Keys) -> tuple[tuple[str, QRectF], ...]:
    """The templates, to be typed into, and the messages the look makes of them; where the templates are."""
    k = paper.px
    y = area.top() + k(22)
    places = []
    paper.heading(area.left(), y, "templates")
    if not scene.show.sends:
        words = (
            f"none: {keys['wall.new_layer']} makes one for an outlet, "
            "and every change of look will send what it says"
        )
        paper.text(area.left() + k(150), y, words, "tiny", "quiet", room=area.width() - k(150))
    for send in scene.show.sends[:5]:
        box = QRectF(area.left() + k(150), y - k(22), area.width() - k(150), k(32))
        paper.text(box.left(), y, send_text(send), "small", "text", room=box.width())
        places.append((f"send {send.id}", box))
        y += k(32)
    y += k(14)
    rows = sent_rows(scene)
    fitting = max(0, int((area.bottom() - y - k(28)) / k(25)))
    lead = f"“{scene.standing.look.name}” sends {plural(len(rows), 'message')} with its cue"
    more = f", {len(rows) - fitting} of them not shown" if len(rows) > fitting else ""
    paper.text(area.left(), y + k(6), lead + more, "tiny", "quiet", room=area.width())
    y += k(34)
    columns = (0.0, 0.14, 0.34, 0.58)
    for row in rows[:fitting]:
        cells = zip(columns, (row.outlet, row.about, row.words, row.body), strict=True)
        for share, words in cells:
            after = next((c for c in columns if c > share), 1.0)
            room = (after - share) * area.width() - k(10)
            tone = "text" if words is row.words else "quiet"
            paper.text(area.left() + share * area.width(), y, words, "tiny", tone, room=room)
        y += k(25)
    return tuple(places)


def draw_faults(
    paper: Paper, scene: Scene, area: QRectF, tonight: Mapping[Panel, str], history: FaultHistory, keys: Keys
) -> None:
    """Faults tonight and over the tour, what lights them, when a crew could get at them."""
    k = paper.px
    panels = {**history.open, **tonight}
    third = area.width() / 3
    x, y = area.left(), area.top() + k(20)
    room = third - k(24)
    paper.text(x, y, f"{plural(len(tonight), 'fault')} marked tonight, {len(panels)} known", "small", "text")
    y += k(28)
    words = panels_words(panels)
    y = paper.wrapped(
        x,
        y,
        words or f"{keys['fault']} in Call, {keys.chords('fault')[-1]} here marks the panel under the mouse.",
        room,
        "tiny",
        "quiet",
        4,
    )
    _trend(paper, history, QRectF(x, y + k(4), room, max(k(40), area.bottom() - y - k(40))))
    paper.text(x, area.bottom() - k(10), history.sentence, "tiny", "quiet", room=room)
    x += third
    y = area.top() + k(20)
    lighting = looks_lighting(scene.show, panels)
    paper.text(x, y, f"lit by {plural(len(lighting), 'look')}", "small", "text")
    paper.wrapped(
        x, y + k(28), ", ".join(look.name for look in lighting) or "by no look", room, "tiny", "quiet", 7
    )
    x += third
    paper.text(x, y, f"dark for {span(REPAIR_S)} or more, as planned", "small", "text", room=room)
    y += k(28)
    windows = _windows(ById(scene.plan), tuple(sorted(panels))) if panels else ()
    for window in windows[:4]:
        paper.text(x, y, f"{span(window.length_s)}  {window.words}", "tiny", "text", room=room)
        y += k(25)
    if not windows:
        paper.text(x, y, "never" if panels else "no fault is known", "tiny", "quiet", room=room)
        y += k(25)
    paper.wrapped(x, max(y + k(8), area.bottom() - k(84)), AT_HEIGHT, room, "tiny", "caution", 4)


@lru_cache(maxsize=8)
def _windows(plan: ById, panels: tuple[Panel, ...]) -> tuple[Window, ...]:
    """Worked out once for a plan, not at every frame."""
    return dark_windows(plan.part, panels, REPAIR_S)


def _trend(paper: Paper, history: FaultHistory, area: QRectF) -> None:
    """Faulty panels at the end of each night."""
    points = history.faulty
    if len(points) < 2 or area.height() < paper.px(30):
        return
    most = max(1.0, *(p.value for p in points))
    step = area.width() / (len(points) - 1)
    line = [
        QPointF(area.left() + n * step, area.bottom() - p.value / most * area.height())
        for n, p in enumerate(points)
    ]
    paper.line(area.left(), area.bottom(), area.right(), area.bottom(), "line", 1)
    paper.curve(QPolygonF(line), "caution", 2)
    for at in line:
        paper.dot(at.x(), at.y(), paper.px(4), "caution")


def draw_facts(paper: Paper, scene: Scene, area: QRectF, level: float | None) -> None:
    """Each fact with its formula and its source under it; the cautions at the foot."""
    k = paper.px
    found = facts_of(scene.wall, level)
    columns = 2
    wide = area.width() / columns
    rows = -(-len(found) // columns)
    step = min(k(84), (area.height() - k(76)) / rows)
    cautions = list(dict.fromkeys(f.caution for f in found if f.caution))
    for n, fact in enumerate(found):
        x = area.left() + n // rows * wide
        y = area.top() + k(22) + n % rows * step
        room = wide - k(30)
        paper.text(x, y, fact.name, "tiny", "quiet", room=k(170))
        tone = "text" if fact.value is not None else "caution"
        used = paper.text(x + k(176), y, fact.text, "small", tone, "medium", room=room - k(200))
        if fact.caution:
            mark = f"({cautions.index(fact.caution) + 1})"
            paper.text(x + k(182) + used, y, mark, "tiny", "caution")
        if step >= k(50):
            paper.text(x + k(176), y + k(23), fact.formula, "tiny", "quiet", room=room - k(176))
        if step >= k(70):
            paper.text(x + k(176), y + k(44), fact.source, "tiny", "faint", room=room - k(176))
    words = "   ".join(f"({n}) {caution}" for n, caution in enumerate(cautions, 1))
    paper.wrapped(area.left(), area.bottom() - k(40), words, area.width(), "tiny", "caution", 2)
