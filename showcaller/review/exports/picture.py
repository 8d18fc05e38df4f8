"""The waterfall as boxes on a page: one geometry for paper, web page and anything else that draws. Pure."""

from showcaller.model.clockwords import m_ss
from showcaller.review.timeline import NS
from showcaller.review.waterfall import Waterfall
from showcaller.values import Struct


class Box(Struct, frozen=True):
    """A bar: left, top, width and height (top counts down), its label, its figure, whether time was lost."""

    x: float
    y: float
    w: float
    h: float
    label: str
    figure: str
    lost: bool
    end: bool = False


class Link(Struct, frozen=True):
    """A thin line from one bar to the next."""

    x0: float
    x1: float
    y: float


def fall_boxes(
    fall: Waterfall, width: float, height: float, thin: float = 3.0
) -> tuple[list[Box], list[Link]]:
    """Bars from the planned end to the actual one in a space of ``width`` by ``height``; ends are thin."""
    bars = fall.bars()
    at_s, tops, lows = 0.0, [0.0], [0.0]
    spans: list[tuple[float, float]] = []
    for bar in bars:
        after = at_s + bar.ns / NS
        spans.append((at_s, after))
        tops.append(max(at_s, after))
        lows.append(min(at_s, after))
        at_s = after
    high, low = max(tops), min(lows)
    reach = high - low or 1.0
    step = width / (len(bars) + 2)

    def y(value_s: float) -> float:
        return thin + (high - value_s) / reach * (height - 2 * thin)

    boxes = [Box(0, y(0) - thin / 2, step * 0.84, thin, "planned end", "0:00", False, True)]
    links = []
    for n, (bar, (before, after)) in enumerate(zip(bars, spans, strict=True), 1):
        top = y(max(before, after))
        label = "early start" if bar.label == "late start" and bar.ns < 0 else bar.label
        tall = max(thin / 3, abs(after - before) / reach * (height - 2 * thin))
        boxes.append(Box(n * step, top, step * 0.84, tall, label, signed(bar.ns / NS), bar.ns > 0))
        links.append(Link((n - 1) * step + step * 0.84, n * step, y(before)))
    last = len(bars) + 1
    links.append(Link((last - 1) * step + step * 0.84, last * step, y(at_s)))
    figure = signed(fall.total_ns / NS)
    boxes.append(Box(last * step, y(at_s) - thin / 2, step * 0.84, thin, "actual end", figure, False, True))
    return boxes, links


def signed(seconds: float) -> str:
    """``+1:14``, ``−0:12``, ``0:00``."""
    whole = round(abs(seconds))
    return m_ss(whole) if not whole else f"{'+' if seconds > 0 else '−'}{m_ss(whole)}"
