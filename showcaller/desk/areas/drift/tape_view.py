"""The tape drawn: the wall as planned and as it was at one moment, and under it the song as a strip."""

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from showcaller.calling.wording import span
from showcaller.desk.areas.drift.tape_state import TapeState
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.surfaces import draw_edges
from showcaller.desk.qt import QImage, QMouseEvent, QPointF, QPolygonF, QRectF, Qt, QWidget, Signal
from showcaller.review.strip import Band, TapeStrip, band_words, snapped
from showcaller.review.wall_at import captions
from showcaller.run.compiled import NS
from showcaller.timing.plan import PlannedItem

_LANE, _SECTIONS, _MARKS = 58, 26, 30
"""Heights of the strip's parts, px at 1920×1080."""
_LABEL = 22
_STRIP_PX = _SECTIONS + 2 * (_LANE + _LABEL) + _MARKS + 26
_SNAP_PX = 7
_SHAPES = {"good": ("accent", ((0, -1), (1, 1), (-1, 1))), "bad": ("missed", ((0, 1), (1, -1), (-1, -1))),
           "idea": ("caution", ((0, -1), (1, 0), (0, 1), (-1, 0)))}  # fmt: skip


class TapeView(Sheet):
    """``went`` to a place of the song's clock that was clicked or dragged to, seconds."""

    went = Signal(float)

    def __init__(self, tape: TapeState, parent: QWidget) -> None:
        super().__init__("The wall as planned and as it was", parent)
        self._tape = tape

    def draw(self, paper: Paper) -> None:
        k, tape = paper.px, self._tape
        strip = tape.strip
        if strip is None:
            paper.text(0, k(30), "reading the log", "small", "quiet")
            return
        top = self._head(paper, strip)
        foot = paper.height - k(_STRIP_PX)
        self._two(paper, top, foot - k(12))
        self._strip(paper, strip, foot)
        self.setAccessibleDescription(strip_words(strip))

    def _head(self, paper: Paper, strip: TapeStrip) -> float:
        k, tape = paper.px, self._tape
        at_s = tape.at_s
        section = "" if at_s is None else section_at(strip, at_s)
        name = f"{strip.name}, {section}" if section else strip.name
        used = paper.text(0, k(24), name, "line", "strong", "semibold", room=paper.width * 0.6)
        planned = tape.item()
        where = "" if at_s is None or planned is None else place_words(planned, at_s)
        paper.text(used + k(20), k(24), where, "small", "quiet", room=paper.width - used - k(20))
        return k(42)

    def _two(self, paper: Paper, top: float, foot: float) -> None:
        """Plan and tonight: above each other where the wall is wide, side by side where it is not."""
        k, pictures = paper.px, self._tape.pictures
        spread = self._tape.spread()
        if spread is None or foot - top < k(60):
            return
        aspect, label, gap = spread.wall.width_m / spread.wall.height_m, k(28), k(18)
        stacked = min(paper.width, ((foot - top) / 2 - label) * aspect)
        beside = min((paper.width - gap) / 2, (foot - top - label) * aspect)
        wide = max(stacked, beside)
        high = wide / aspect
        ratio = paper.painter.device().devicePixelRatioF()
        pictures.fit(int(wide * ratio), int(high * ratio))
        step = (0.0, high + label) if stacked >= beside else (wide + gap, 0.0)
        strip, then = self._tape.strip, self._tape.then
        above = below = "", False
        planned = "in the book now" if then is not None and then.of_book else "the plan of that night"
        if strip is not None and then is not None and self._tape.at_s is not None:
            above, below = captions(strip, then)
        for n, (image, what, (words, hand)) in enumerate(
            (
                (pictures.planned, planned, above),
                (pictures.tonight, "as it was, drawn from the log, stand-ins for cameras", below),
            )
        ):
            x, y = n * step[0], top + n * step[1]
            paper.fill(x, y, wide, high, "panel")
            if image is not None and self._tape.at_s is not None:
                self._picture(paper, image, QRectF(x, y, wide, high))
                draw_edges(paper, spread, QRectF(x, y, wide, high))
            used = paper.text(x, y + high + k(20), f"{what} ", "tiny", "quiet")
            tone = "caution" if hand else "text"
            paper.text(x + used + k(6), y + high + k(20), words, "tiny", tone, room=wide - used - k(6))

    @staticmethod
    def _picture(paper: Paper, image: QImage, box: QRectF) -> None:
        ratio = paper.painter.device().devicePixelRatioF()
        image.setDevicePixelRatio(ratio)
        if abs(image.width() / ratio - box.width()) < 2:
            paper.picture(box.x(), box.y(), image)
        else:
            paper.painter.drawImage(box, image)

    def _strip(self, paper: Paper, strip: TapeStrip, top: float) -> None:
        k = paper.px
        scale = paper.width / max(1.0, strip.length_s)
        for name, a, b in strip.sections:
            paper.fill(a * scale, top, max(k(2), (b - a) * scale - k(2)), k(_SECTIONS), "panel")
            room = (b - a) * scale - k(14)
            if room > k(24):
                paper.text(a * scale + k(7), top + k(18), name, "tiny", "text", room=room)
        y = top + k(_SECTIONS + 4)
        for label, lane in (("the plan of that night", strip.plan), ("as it was", strip.tonight)):
            paper.text(0, y + k(15), label, "tiny", "quiet")
            self._lane(paper, lane, scale, y + k(_LABEL))
            y += k(_LABEL + _LANE)
        for a, b in strip.differs:
            paper.fill(a * scale, y + k(4), max(k(3), (b - a) * scale), k(4), "caution")
        if strip.differs:
            paper.text(
                paper.width, y - k(_LANE + 7), "━ otherwise than planned", "tiny", "caution", align="right"
            )
        for mark in self._tape.verdicts():
            if mark.at_s is not None:
                draw_verdict(paper, mark.verdict, mark.at_s * scale, y + k(22), k(8))
        at_s = self._tape.at_s
        if at_s is not None:
            paper.line(at_s * scale, top - k(4), at_s * scale, y + k(8), "strong", 2)

    def _lane(self, paper: Paper, lane: Sequence[Band], scale: float, y: float) -> None:
        """Each look as its picture, its name on it where there is room."""
        k = paper.px
        for band in lane:
            x, w = band.from_s * scale, (band.to_s - band.from_s) * scale
            box = QRectF(x, y, max(k(2), w - k(2)), k(_LANE - 4))
            paper.fill(box.x(), box.y(), box.width(), box.height(), "panel")
            image = self._tape.pictures.small(band.look)
            if image is not None and w > k(8):
                high = min(box.height(), box.width() * image.height() / image.width())
                wide = high * image.width() / image.height()
                # Again and again like a film, so that a look is seen to stand to its end.
                paper.painter.save()
                paper.painter.setClipRect(box)
                for n in range(ceil(box.width() / wide)):
                    paper.painter.drawImage(QRectF(x + n * wide, y, wide, high), image)
                paper.painter.restore()
            tone = "caution" if band.by_hand or band.played_s else "text"
            if w > k(46):
                paper.fill(x, y + box.height() - k(19), box.width(), k(19), "ground")
                words = band.look.name + (" · hand" if band.by_hand else " · played" if band.played_s else "")
                paper.text(x + k(5), y + box.height() - k(5), words, "tiny", tone, room=w - k(12))
            if tone == "caution":
                paper.fill(x, y, k(3), box.height(), "caution")
            for at_s in band.played_s:
                paper.line(at_s * scale, y, at_s * scale, y + k(8), "caution", 1)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() == Qt.MouseButton.LeftButton:
            self._go(event)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if event.buttons() & Qt.MouseButton.LeftButton:
            self._go(event)

    def _go(self, event: QMouseEvent) -> None:
        strip, at = self._tape.strip, event.position()
        if strip is None or at.y() < self.height() - _STRIP_PX * self.scale():
            return
        share = min(1.0, max(0.0, at.x() / max(1, self.width())))
        within_s = _SNAP_PX * self.scale() / max(1, self.width()) * strip.length_s
        marks = [mark.at_s for mark in self._tape.verdicts() if mark.at_s is not None]
        self.went.emit(snapped(strip, marks, share * strip.length_s, within_s))


def draw_verdict(paper: Paper, verdict: str, x: float, y: float, r: float) -> None:
    """Its shape: up is good, down is bad, a diamond an idea."""
    tone, corners = _SHAPES[verdict]
    paper.diamond(QPolygonF([QPointF(x + a * r, y + b * r) for a, b in corners]), tone)


def section_at(strip: TapeStrip, at_s: float) -> str:
    """The section at a place of the song; empty outside of any."""
    return next((name for name, a, b in strip.sections if a <= at_s < b), "")


def place_words(planned: PlannedItem, at_s: float) -> str:
    """``bar 121 / 2 · 3:47``."""
    position = planned.bar_at(Fraction(round(at_s * NS), NS))
    bar = "" if position is None or position[0] < 1 else f"bar {position[0]} / {int(position[1])} · "
    return f"{bar}{span(at_s)}"


def strip_words(strip: TapeStrip) -> str:
    """The strip for who cannot see it."""
    tonight = "; ".join(f"{b.look.name} at {span(b.from_s)}, {band_words(b)}" for b in strip.tonight)
    return (
        f"{strip.name}. Tonight: {tonight or 'nothing'}. {len(strip.differs)} parts otherwise than planned."
    )
