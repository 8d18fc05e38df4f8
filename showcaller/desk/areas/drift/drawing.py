"""The drift area's parts on paper: the waterfall, the chart across the tour, what to take in, the list."""

from collections.abc import Callable
from dataclasses import dataclass, field

from showcaller.calling.wording import span
from showcaller.desk.areas.drift.driftview import DriftView
from showcaller.desk.areas.drift.lists import PAGES
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper, metrics
from showcaller.desk.qt import QPointF, QPolygonF, QRectF
from showcaller.review import Trend

OFFERS = 5


@dataclass
class Spots:
    """Where the mouse does something: (rectangle, what, which)."""

    found: list[tuple[QRectF, str, int]] = field(default_factory=list)

    def add(self, x: float, y: float, w: float, h: float, what: str, which: int) -> None:
        self.found.append((QRectF(x, y, w, h), what, which))

    def at(self, point: QPointF) -> tuple[str, int] | None:
        return next(((what, which) for rect, what, which in self.found if rect.contains(point)), None)


def draw_fall(paper: Paper, view: DriftView, left: float, right: float, top: float, foot: float) -> None:
    """The waterfall: bars that stand on each other from the planned end to the actual one."""
    k = paper.px
    paper.heading(left, top, "where it went, minutes and seconds")
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
    paper.heading(left, top, f"“{name}” across the tour")
    if chart is None:
        words = "Two finished runs of this item make a chart."
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
            paper.dot(spot.x(), spot.y(), k(5), "text")
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


def draw_offers(
    paper: Paper,
    view: DriftView,
    left: float,
    right: float,
    top: float,
    foot: float,
    spots: Spots,
    locked: str,
    keys: Keys,
) -> None:
    """What to take into the book tomorrow, each with how sure and the key that takes it in."""
    k = paper.px
    fits = min(OFFERS, int((foot - top - k(32)) // k(31)) + 1)
    more = f" · {len(view.offers) - fits} more in the report" if len(view.offers) > fits else ""
    paper.heading(left, top, f"for tomorrow{more}")
    y = top + k(32)
    if not view.offers:
        paper.text(left, y, "The plan holds: nothing to change.", "small", "text")
        return
    for n, offer in enumerate(view.offers[:OFFERS]):
        if y > foot:
            return
        key = "" if not offer.fields else locked or f"{keys[f'drift.take{n + 1}']}  apply to the book"
        room = right - left
        if key:
            wide = paper.width_of(key, paper.size("tiny"), "medium")
            paper.text(right, y, key, "tiny", "faint" if locked else "accent", "medium", "right")
            if not locked:
                spots.add(right - wide - k(8), y - k(22), wide + k(16), k(30), "offer", n)
            room -= wide + k(24)
        used = paper.text(left, y, offer.words, "small", "text", room=room)
        if used + k(60) < room:
            paper.text(
                left + used + k(12), y, offer.short or offer.detail, "tiny", "quiet", room=room - used - k(12)
            )
        y += k(31)


def draw_tabs(paper: Paper, page: str, left: float, right: float, y: float, spots: Spots) -> None:
    """The names of the lists, the one that is shown strong."""
    k = paper.px
    x = left
    size = paper.size("tiny")
    for n, name in enumerate(PAGES):
        words = "messages" if name == "sent" else name
        wide = metrics(size, "semibold", True).horizontalAdvance(words.upper())
        if x + wide > right:
            return
        tone = "strong" if name == page else "quiet"
        paper.text(x, y, words.upper(), "tiny", tone, "semibold", spaced=True)
        if name == page:
            paper.fill(x, y + k(7), wide, k(2), "strong")
        spots.add(x - k(8), y - k(20), wide + k(16), k(32), "page", n)
        x += wide + k(24)
