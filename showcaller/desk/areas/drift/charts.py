"""Drift's charts: the waterfall of where the time went, an item across the tour."""

from collections.abc import Callable

from showcaller.calling.wording import span
from showcaller.desk.areas.drift.driftview import DriftView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QPointF, QPolygonF, QWidget
from showcaller.review.learned import NightKind, nights_words
from showcaller.review.trend import Trend

HEAD_PX, FOOT_PX = 20, 26
"""Room over a chart for its heading, and under it for names on two heights, px at 1920×1080."""


class FallChart(Sheet):
    """The waterfall of a run."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Where the time went", parent)
        self._view: DriftView | None = None

    def show_view(self, view: DriftView) -> None:
        """Show this run's."""
        self._view = view
        self.setAccessibleDescription(view.sentence)
        self.update()

    def draw(self, paper: Paper) -> None:
        if self._view is not None:
            k = paper.px
            draw_fall(paper, self._view, 0, paper.width, k(HEAD_PX), paper.height - k(FOOT_PX))


class TrendChart(Sheet):
    """An item across the tour."""

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Across the tour", parent)
        self._chart: Trend | None = None
        self._name = ""

    def show_item(self, name: str, chart: Trend | None) -> None:
        """Show this item's."""
        if (name, chart) != (self._name, self._chart):
            self._name, self._chart = name, chart
            self.setAccessibleName(f"“{name}” across the tour")
            points = () if chart is None else chart.points
            words = ", ".join(f"run {p.run} {span(p.value)}" for p in points)
            self.setAccessibleDescription(words or "two finished shows make a chart")
            self.update()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        draw_trend(paper, self._chart, self._name, 0, paper.width, k(HEAD_PX), paper.height - k(FOOT_PX))


def draw_fall(paper: Paper, view: DriftView, left: float, right: float, top: float, foot: float) -> None:
    """The waterfall: bars that stand on each other from the planned end to the actual one."""
    k = paper.px
    paper.heading(left, top, "where the time went, minutes and seconds")
    area_top, area_foot = top + k(44), foot - k(34)
    boxes, links = view.fall(right - left, area_foot - area_top, k(5))
    for link in links:
        y = area_top + link.y
        paper.line(left + link.x0, y, left + link.x1, y, "faint", 1)
    for n, box in enumerate(boxes):
        tone = "text" if box.end else "over" if box.lost else "under"
        paper.fill(left + box.x, area_top + box.y, box.w, max(box.h, k(2)), tone)
        middle = left + box.x + box.w / 2
        paper.text(
            middle, area_top + box.y - k(9), box.figure, "small", "strong", "semibold", "centre", box.w * 1.15
        )
        # Where bars are narrow their names stand on two heights, so that none is cut.
        narrow = len(boxes) > 9
        drop = k(18) if narrow and n % 2 else 0
        room = box.w * (2.2 if narrow else 1.16)
        paper.text(middle, foot - k(6) + drop, box.label, "tiny", "text", align="centre", room=room)


def draw_trend(
    paper: Paper, chart: Trend | None, name: str, left: float, right: float, top: float, foot: float
) -> None:
    """Individuals across the tour, each stage with its own centre and limits; rules marked, breaks drawn."""
    k = paper.px
    told = "" if chart is None else beside_shows(chart)
    paper.heading(left, top, f"“{name}” across the tour{told}")
    if chart is None:
        words = "Two finished shows with this item make a chart."
        paper.text(left, top + k(40), words, "small", "quiet", room=right - left)
        return
    bounds = [p.value for p in chart.points]
    bounds += [v for s in chart.stages for v in (s.upper, s.lower, s.centre) if v is not None]
    pad = max(1.0, (max(bounds) - min(bounds)) * 0.1)
    low, high = min(bounds) - pad, max(bounds) + pad
    area_top, area_foot = top + k(26), foot - k(32)
    end = right - k(150)
    step = (end - left) / len(chart.points)

    def y(value: float) -> float:
        return area_foot - (value - low) / (high - low) * (area_foot - area_top)

    for place in chart.edition_breaks:
        x = left + step * place
        paper.line(x, area_top - k(4), x, area_foot + k(8), "faint", 1, dotted=True)
        paper.text(x + k(6), area_top + k(6), f"edition {chart.points[place].edition}", "tiny", "quiet")
    for stage in chart.stages:
        x0, x1 = left + step * stage.first, left + step * (stage.last + 1)
        last = stage is chart.stages[-1]
        for value, label, limit in (
            (stage.upper, "upper", True),
            (stage.centre, "centre", False),
            (stage.lower, "lower", True),
        ):
            if value is None:
                continue
            tone = "caution" if limit else "quiet"
            paper.line(x0, y(value), x1, y(value), tone, 1, dotted=limit)
            if last:
                paper.text(end + k(12), y(value) + k(6), f"{label} {span(value)}", "tiny", tone)
    _points(paper, chart, left, step, y, foot)


def beside_shows(chart: Trend) -> str:
    """What of a chart is no show: `` · 2 rehearsals and 1 simulated among 9``; empty where all are."""
    others: tuple[NightKind, ...] = ("rehearsal", "simulated")
    kinds = [kind for p in chart.points for kind in others if p.kind == kind]
    return f" · {nights_words(kinds)} among {len(chart.points)}" if kinds else ""


def _points(
    paper: Paper, chart: Trend, left: float, step: float, y: Callable[[float], float], foot: float
) -> None:
    k = paper.px
    spots = [QPointF(left + step * (n + 0.5), y(p.value)) for n, p in enumerate(chart.points)]
    for stage in chart.stages:  # no line leads across a change of the item
        paper.curve(QPolygonF(spots[stage.first : stage.last + 1]), "quiet")
    told = {s.point: s.rule for s in chart.signals}
    every = len(chart.points) // 12 + 1
    for n, (point, spot) in enumerate(zip(chart.points, spots, strict=True)):
        rule = told.get(n)
        if rule is None:
            if point.kind == "show":
                paper.dot(spot.x(), spot.y(), k(5), "text")
            else:
                paper.ring(spot.x(), spot.y(), k(5), "quiet")
        else:
            r = k(10)
            corners = [(0, -r), (r, 0), (0, r), (-r, 0)]
            paper.diamond(QPolygonF([QPointF(spot.x() + a, spot.y() + b) for a, b in corners]), "standby")
            right = spot.x() > left + step * len(chart.points) * 0.75
            at = spot.x() - k(14) if right else spot.x() + k(14)
            paper.text(at, spot.y() - k(10), rule, "tiny", "standby", align="right" if right else "left")
        if n % every == 0 or n == len(chart.points) - 1:
            room = step * every
            paper.text(spot.x(), foot, f"run {point.run}", "tiny", "quiet", align="centre", room=room)
