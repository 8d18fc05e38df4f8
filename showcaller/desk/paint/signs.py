"""Departments' shapes drawn once and stamped many times: a strip may show thousands."""

from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QPainter, QPixmap, QPointF, Qt
from showcaller.model import Department


class SignSheet:
    """Stamps, made anew when the scale changes."""

    def __init__(self, radius: float = 11) -> None:
        self._radius = radius
        self._scale = 0.0
        self._made: dict[tuple[str, str, bool], QPixmap] = {}

    def many(
        self, paper: Paper, points: list[tuple[float, float]], department: Department, filled: bool
    ) -> None:
        """Stamp a department's shape with its middle at each (x, y)."""
        ratio = paper.painter.device().devicePixelRatioF()
        if self._scale != paper.k * ratio:
            self._scale = paper.k * ratio
            self._made.clear()
        key = (department.shape, department.hue, filled)
        stamp = self._made.get(key)
        if stamp is None:
            stamp = self._made[key] = self._stamp(paper, department, filled, ratio)
        half = stamp.width() / ratio / 2
        put = paper.painter.drawPixmap
        for x, y in points:
            put(QPointF(x - half, y - half), stamp)

    def _stamp(self, paper: Paper, department: Department, filled: bool, ratio: float) -> QPixmap:
        side = int(paper.px(self._radius) * 2.6) | 1
        stamp = QPixmap(int(side * ratio), int(side * ratio))
        stamp.setDevicePixelRatio(ratio)
        stamp.fill(Qt.GlobalColor.transparent)
        painter = QPainter(stamp)
        Paper(painter, side, side, paper.k).sign(side / 2, side / 2, department, filled, self._radius)
        painter.end()
        return stamp
