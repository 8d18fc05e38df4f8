"""The wall's faults: each panel, what lights them, when a crew could get at them, how it goes."""

from collections.abc import Mapping
from functools import lru_cache

from showcaller.calling.wording import plural, span
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.tables import TableRow, TextModel
from showcaller.desk.paint.views import TEXT_PX, ListView
from showcaller.desk.qt import QAbstractItemView, QPointF, QPolygonF, QRectF, QWidget
from showcaller.model.base import ById
from showcaller.review.faults import FaultHistory
from showcaller.screen.faults import (
    AT_HEIGHT,
    ONE_SURFACE,
    Names,
    Panel,
    Window,
    dark_windows,
    looks_lighting,
    panel_said,
    surface_names,
)

SHARES = (0.34, 0.3)
"""How wide panel and what are; since when has the rest."""
REPAIR_S = 300.0
"""A crew needs at least so long at a panel (common practice, no source)."""


def fault_rows(
    tonight: Mapping[Panel, str], before: Mapping[Panel, str], names: Names = ONE_SURFACE
) -> tuple[TableRow, ...]:
    """A row a faulty panel: its name, what is wrong, since when; tonight's first, by surface."""

    def listed(panels: Mapping[Panel, str]) -> list[Panel]:
        return sorted(panels, key=lambda p: (p.surface, p))

    new = [
        TableRow((panel_said(p, names), tonight[p], "tonight"), ("caution", "text")) for p in listed(tonight)
    ]
    old = [
        TableRow((panel_said(p, names), before[p], "before tonight"), ("quiet",))
        for p in listed(before)
        if p not in tonight
    ]
    return (*new, *old)


class FaultsPanel(Sheet):
    """Three parts side by side."""

    def __init__(self, keys: Keys, parent: QWidget) -> None:
        super().__init__("Faults", parent)
        self._keys = keys
        self._scene: Scene | None = None
        self._tonight: Mapping[Panel, str] = {}
        self._history = FaultHistory()
        self.list = ListView("Faulty panels", self)
        self._model = TextModel(("panel", "what", "since"), self)
        self.list.setModel(self._model)
        self.list.show_header()
        self.list.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)

    def show_scene(self, scene: Scene, tonight: Mapping[Panel, str], history: FaultHistory) -> None:
        """Show the faults marked tonight and those of the tour."""
        self._scene, self._tonight, self._history = scene, dict(tonight), history
        self._model.show_rows(fault_rows(tonight, history.open, surface_names(scene.show)))
        self.list.setVisible(self._model.rowCount() > 0)
        self.lay_out()
        self.update()

    def lay_out(self) -> None:
        """The list under its heading, the trend under the list."""
        k, third = self.scale(), self.width() / 3
        row = int(26 * k)
        high = max(row, int((self.height() - 28 * k) * 0.5) // row * row)
        self.list.fit(max(11.0, 16 * k), row)
        self.list.setGeometry(-TEXT_PX, int(30 * k), int(third - 24 * k) + TEXT_PX, high)
        self.list.share_columns(SHARES, self.list.width())

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        self.lay_out()

    def draw(self, paper: Paper) -> None:
        scene = self._scene
        if scene is None:
            return
        k, panels = paper.px, {**self._history.open, **self._tonight}
        third = paper.width / 3
        room, foot, y = third - k(24), paper.height, k(20)
        words = f"{plural(len(self._tonight), 'fault')} marked tonight, {len(panels)} known"
        paper.text(0, y, words, "small", "text", room=room)
        if not panels:
            key = self._keys.chords("fault")[-1]
            words = f"{self._keys['fault']} in Call, {key} here marks the panel under the mouse."
            paper.wrapped(0, y + k(28), words, room, "tiny", "quiet", 4)
        top = self.list.geometry().bottom() + k(10)
        _trend(paper, self._history, QRectF(0, top, room, foot - top - k(40)))
        paper.text(0, foot - k(10), self._history.sentence, "tiny", "quiet", room=room)
        used = {c.look.look for c in scene.show.all_cues() if c.look is not None}
        lighting = [look for look in looks_lighting(scene.show, panels) if look.id in used]
        paper.text(third, y, f"lit by {plural(len(lighting), 'look')}", "small", "text")
        names = ", ".join(look.name for look in lighting) or "by no look"
        paper.wrapped(third, y + k(28), names, room, "tiny", "quiet", 7)
        self._windows(paper, scene, tuple(sorted(panels)), third * 2, room)

    def _windows(self, paper: Paper, scene: Scene, panels: tuple[Panel, ...], x: float, room: float) -> None:
        k, y = paper.px, paper.px(20)
        paper.text(x, y, f"dark for {span(REPAIR_S)} or more, as planned", "small", "text", room=room)
        y += k(28)
        windows = _windows(ById(scene.plan), panels) if panels else ()
        for window in windows[:4]:
            paper.text(x, y, f"{span(window.length_s)}  {window.words}", "tiny", "text", room=room)
            y += k(25)
        if not windows:
            paper.text(x, y, "never" if panels else "no fault is logged", "tiny", "quiet", room=room)
            y += k(25)
        paper.wrapped(x, max(y + k(8), paper.height - k(84)), AT_HEIGHT, room, "tiny", "caution", 4)


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
