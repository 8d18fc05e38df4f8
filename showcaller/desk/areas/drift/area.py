"""The drift area: left and right choose the run, up and down the item and its cues."""

from collections.abc import Callable

from showcaller.archive import Run, Tour, TourError
from showcaller.calling.wording import drift, span
from showcaller.desk.areas.drift.driftview import CueLine, DriftView, drift_view
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QPointF, QPolygonF, QWidget
from showcaller.review import ReviewError, Trend


class DriftArea(Sheet):
    """A run of the tour, the last one first."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__("Drift: what happened", parent)
        self._tour: Tour | None = None
        self.runs: list[Run] = []
        self._at = 0
        self.item = 0
        self._scroll = 0
        self._most = 0
        self._view: DriftView | None = None
        self._words = "No run is in the tour yet. Call a show, and it is here when it ends."

    def show_tour(self, tour: Tour) -> None:
        """Read the tour's runs and show the last."""
        self._tour = tour
        try:
            self.runs = tour.runs()
        except TourError as error:
            self._words, self.runs = str(error), []
        self._at = len(self.runs) - 1
        self._choose()

    def choose(self, runs: int, items: int) -> None:
        """Step to another run or item."""
        if runs and self.runs:
            self._at = max(0, min(len(self.runs) - 1, self._at + runs))
            self._choose()
        if items and self._view is not None:
            self.item = max(0, min(len(self._view.items) - 1, self.item + items))
            self.update()

    def turn(self, pages: int) -> None:
        """Turn the pages of what happened."""
        self._scroll = max(0, min(self._most, self._scroll + 4 * pages))
        self.update()

    def _choose(self) -> None:
        self._view, self._scroll = None, 0
        if self._tour is not None and self.runs:
            try:
                self._view = drift_view(self._tour, self.runs[self._at])
                self.item = min(self.item, len(self._view.items) - 1)
                self.setAccessibleDescription(f"{self._view.title}: {self._view.sentence}")
            except (TourError, ReviewError) as error:
                self._words = str(error)
        self.update()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        view = self._view
        if view is None:
            paper.text(k(28), k(60), self._words, "body", "quiet", room=paper.width - k(60))
            return
        paper.text(k(28), k(48), view.title, "title", "strong", "semibold")
        paper.text(k(28), k(82), view.sentence, "body", "text", room=paper.width - k(60))
        if len(self.runs) > 1:
            words = f"run {self._at + 1} of {len(self.runs)} in this tour · ← → chooses"
            paper.text(paper.width - k(28), k(48), words, "tiny", "quiet", align="right")
        if view.scores:
            words = "  ".join(view.scores)
            paper.text(k(28), k(110), words, "small", "quiet", room=paper.width - k(60))
        left, middle = k(28), paper.width * 0.6
        height = paper.height
        self._fall(paper, view, left, middle - k(60), k(152), height * 0.41)
        self._trend(paper, view, left, middle - k(60), height * 0.47, height * 0.76)
        self._tomorrow(paper, view, left, middle - k(60), height * 0.81)
        self._items(paper, view, middle, paper.width - k(28), k(152), height * 0.62)
        self._cues(paper, view, middle, paper.width - k(28), height * 0.66, height - k(16))

    def _fall(
        self, paper: Paper, view: DriftView, left: float, right: float, top: float, foot: float
    ) -> None:
        k = paper.px
        paper.heading(left, top, "where it went, minutes and seconds")
        columns = len(view.bars) + 2
        step = (right - left) / columns
        highs = [0.0, view.total_s, *(b.high_s for b in view.bars)]
        lows = [0.0, view.total_s, *(b.low_s for b in view.bars)]
        reach = max(highs) - min(lows) or 1.0
        area_top, area_foot = top + k(52), foot - k(34)

        def y(at_s: float) -> float:
            return area_foot - (at_s - min(lows)) / reach * (area_foot - area_top)

        self._end(paper, "planned end", "0:00", left, step, y(0.0), foot)
        at_s = 0.0
        for n, bar in enumerate(view.bars):
            x = left + step * (n + 1)
            paper.line(x - step * 0.14, y(at_s), x + step * 0.06, y(at_s), "faint", 1)
            tone = "over" if bar.delta_s > 0 else "under"
            paper.fill(x + k(4), y(bar.high_s), step * 0.82, max(k(2), y(bar.low_s) - y(bar.high_s)), tone)
            middle = x + k(4) + step * 0.41
            paper.text(middle, y(bar.high_s) - k(9), bar.words, "small", "strong", "semibold", "centre")
            paper.text(middle, foot, bar.label, "tiny", "text", align="centre", room=step)
            at_s += bar.delta_s
        x = left + step * (columns - 1)
        self._end(paper, "actual end", drift(view.total_s), x, step, y(view.total_s), foot)

    def _end(
        self, paper: Paper, label: str, words: str, x: float, step: float, y: float, foot: float
    ) -> None:
        k = paper.px
        paper.fill(x + k(4), y - k(2), step * 0.82, k(5), "text")
        paper.text(x + k(4) + step * 0.41, y - k(11), words, "small", "strong", "semibold", "centre")
        paper.text(x + k(4) + step * 0.41, foot, label, "tiny", "text", align="centre", room=step)

    def _trend(
        self, paper: Paper, view: DriftView, left: float, right: float, top: float, foot: float
    ) -> None:
        k = paper.px
        line = view.items[self.item]
        paper.heading(left, top, f"“{line.name}” across the tour")
        chart = view.trends.get(line.item)
        if chart is None:
            words = "Two finished runs of this item make a chart."
            paper.text(left, top + k(40), words, "small", "quiet")
            return
        words_room = k(150)
        values = [p.value for p in chart.points]
        bounds = [v for v in (chart.upper, chart.lower, chart.centre, *values) if v is not None]
        low, high = min(bounds), max(bounds)
        pad = max(1.0, (high - low) * 0.12)
        low, high = low - pad, high + pad
        area_top, area_foot = top + k(24), foot - k(34)

        def y(value: float) -> float:
            return area_foot - (value - low) / (high - low) * (area_foot - area_top)

        end = right - words_room
        for value, label, dashed in (
            (chart.upper, "upper", True),
            (chart.centre, "centre", False),
            (chart.lower, "lower", True),
        ):
            if value is not None:
                tone = "caution" if dashed else "quiet"
                paper.line(left, y(value), end, y(value), tone, 1, dotted=dashed)
                paper.text(end + k(14), y(value) + k(6), f"{label} {span(value)}", "tiny", tone)
        self._points(paper, chart, left, end, y, foot)

    def _points(
        self, paper: Paper, chart: Trend, left: float, end: float, y: Callable[[float], float], foot: float
    ) -> None:
        k = paper.px
        count = len(chart.points)
        step = (end - left) / max(1, count)
        spots = [QPointF(left + step * (n + 0.5), y(p.value)) for n, p in enumerate(chart.points)]
        paper.curve(QPolygonF(spots), "quiet")
        for n, (point, spot) in enumerate(zip(chart.points, spots, strict=True)):
            if n and point.edition != chart.points[n - 1].edition:
                x = spot.x() - step / 2
                paper.line(x, foot - k(170), x, foot - k(30), "faint", 1, dotted=True)
                paper.text(x + k(6), foot - k(160), f"edition {point.edition}", "tiny", "quiet")
            out = point.run in chart.outside or n in chart.outside
            paper.dot(spot.x(), spot.y(), k(9 if out else 6), "standby" if out else "text")
            if count <= 16 or n % (count // 12 + 1) == 0:
                paper.text(spot.x(), foot, f"run {point.run}", "tiny", "quiet", align="centre")

    def _tomorrow(self, paper: Paper, view: DriftView, left: float, right: float, y: float) -> None:
        k = paper.px
        half = (right - left) / 2
        tomorrow = list(view.tomorrow) + [f"Note {words}" for words in view.notes]
        self._lines(
            paper, "for tomorrow", tomorrow or ["The plan holds: nothing to change."], left, half - k(30), y
        )
        happened = list(view.happened) or ["Nothing out of the ordinary."]
        self._most = max(0, len(happened) - 1)
        turn = " · PgUp PgDn turn" if len(happened) > 4 else ""
        self._lines(paper, f"what happened{turn}", happened[self._scroll :], left + half, half, y)

    def _lines(
        self, paper: Paper, heading: str, lines: list[str], left: float, room: float, y: float
    ) -> None:
        k = paper.px
        paper.heading(left, y, heading)
        y += k(34)
        for n, words in enumerate(lines):
            if y + k(32) > paper.height and n + 1 < len(lines):
                paper.text(left, y, f"and {len(lines) - n} more", "small", "quiet")
                return
            paper.text(left, y, words, "small", "text", room=room)
            y += k(32)

    def _items(
        self, paper: Paper, view: DriftView, left: float, right: float, top: float, foot: float
    ) -> None:
        k = paper.px
        paper.heading(left, top, "items, planned and actual")
        step = k(32)
        y = top + k(36)
        fits = int((foot - y) // step) + 1
        first = max(0, min(self.item - fits // 2, len(view.items) - fits))
        for n in range(first, min(len(view.items), first + fits)):
            line = view.items[n]
            if n == self.item:
                paper.fill(left - k(12), y - k(22), right - left + k(24), k(30), "raised")
            room = (right - left) * 0.38
            paper.text(left, y, line.name, "small", "strong" if n == self.item else "text", room=room)
            paper.text(left + (right - left) * 0.49, y, line.planned, "small", "quiet", align="right")
            paper.text(
                left + (right - left) * 0.66,
                y,
                line.actual,
                "small",
                "text",
                align="right",
                room=(right - left) * 0.12,
            )
            self._bar(paper, left + (right - left) * 0.76, y - k(7), (right - left) * 0.07, line.share)
            paper.text(right, y, line.over, "small", "text", align="right")
            y += step

    def _cues(
        self, paper: Paper, view: DriftView, left: float, right: float, top: float, foot: float
    ) -> None:
        k = paper.px
        chosen = view.items[self.item]
        rows = [c for c in view.cues if c.item == chosen.item]
        paper.heading(left, top, f"cues of {chosen.name}")
        y = top + k(36)
        for n, cue in enumerate(rows):
            if y > foot - k(30) and n + 1 < len(rows):
                paper.text(left, y, f"and {len(rows) - n} more", "tiny", "quiet")
                return
            self._cue(paper, cue, left, right, y)
            y += k(32)

    def _cue(self, paper: Paper, cue: CueLine, left: float, right: float, y: float) -> None:
        k = paper.px
        width = right - left
        paper.sign(left + k(8), y - k(7), cue.department, not cue.bad, 8)
        tone = "caution" if cue.bad else "text"
        paper.text(left + k(26), y, cue.name, "small", tone, room=width * 0.24)
        paper.text(
            left + width * 0.26, y, cue.how if cue.bad else cue.label, "small", "quiet", room=width * 0.44
        )
        self._bar(paper, left + width * 0.79, y - k(7), width * 0.10, cue.share)
        paper.text(right, y, cue.late, "small", "text", align="right")

    def _bar(self, paper: Paper, middle: float, y: float, reach: float, share: float) -> None:
        k = paper.px
        paper.line(middle, y - k(10), middle, y + k(10), "faint", 1)
        if abs(share) > 0.01:
            x = min(middle, middle + share * reach)
            paper.fill(x, y - k(6), abs(share) * reach, k(12), "over" if share > 0 else "under")
