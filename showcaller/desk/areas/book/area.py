"""The book area: up and down choose the item, left and right the cue."""

from collections.abc import Callable

from showcaller.calling.runbook import RunBook
from showcaller.calling.sideview import Figure
from showcaller.calling.wording import span
from showcaller.desk.areas.book.stripview import StripView, cue_facts, strip_view
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QPointF, QPolygonF

Place = Callable[[float], float]
"""Seconds into the item → px."""


class BookArea(Sheet):
    """The running order and the chosen item's strip."""

    def __init__(self) -> None:
        super().__init__("Book: the plan, item by item")
        self.item = 0
        self.cue = 0
        self.forecast: tuple[Figure, ...] = ()
        self._book: RunBook | None = None
        self._view: StripView | None = None

    def show_book(self, book: RunBook, item: int | None = None) -> None:
        """Show this plan, at this item if one is given."""
        if book is self._book and item is None:
            return
        self._book = book
        self.item = min(self.item if item is None else item, len(book.program.items) - 1)
        self._choose()

    def show_ends(self, ends: tuple[Figure, ...]) -> None:
        """Show when the show will end; the last second is of no interest here."""
        if [f.value[:5] for f in ends] != [f.value[:5] for f in self.forecast]:
            self.forecast = ends
            self.update()

    def choose(self, items: int, cues: int) -> None:
        """Choose another item or cue."""
        if self._book is None:
            return
        if items:
            self.item = max(0, min(len(self._book.program.items) - 1, self.item + items))
            self.cue = 0
        count = len(self._book.program.items[self.item].planned.cues)
        self.cue = max(0, min(count - 1, self.cue + cues))
        self._choose()

    def _choose(self) -> None:
        assert self._book is not None
        program = self._book.program
        planned = program.items[self.item].planned
        self._view = strip_view(program.plan.show, planned, self._book.sheets[self.item])
        self.setAccessibleDescription(f"{self._view.title}, {self._view.facts}")
        self.update()

    def draw(self, paper: Paper) -> None:
        if self._book is None or self._view is None:
            return
        k = paper.px
        view = self._view
        paper.text(k(28), k(44), view.title, "title", "strong", "semibold")
        paper.text(k(28), k(78), view.facts, "small", "quiet", room=paper.width - k(60))
        self._order(paper)
        left, right = k(472), paper.width - k(28)
        names = k(352)
        bottom = self._strip(paper, view, names, left, right, k(110))
        self._details(paper, left, right, bottom + k(34))

    def _order(self, paper: Paper) -> None:
        assert self._book is not None
        k = paper.px
        paper.heading(k(28), k(130), "running order")
        y, step = k(168), k(40)
        fits = int((paper.height - y - k(110)) // step)
        items = self._book.program.items
        first = max(0, min(self.item - fits // 2, len(items) - fits))
        for i in range(first, min(len(items), first + fits)):
            item = items[i].planned.item
            if i == self.item:
                paper.fill(k(14), y - k(27), k(290), k(38), "raised")
            tone = "strong" if i == self.item else "text"
            paper.text(k(28), y, item.name, "small", tone, room=k(196))
            paper.text(k(288), y, span(item.length_s), "small", "quiet", align="right")
            y += step
        if first + fits < len(items):
            paper.text(k(28), y, f"and {len(items) - first - fits} more", "tiny", "quiet")
            y += k(16)
        total = self._book.program.plan.length_s
        show = self._book.program.plan.show
        y += k(14)
        paper.text(k(28), y, f"planned {span(total)} from {show.starts_at}", "small", "quiet", room=k(290))
        for figure in self.forecast:
            y += k(28)
            tone = "accent" if figure.tone != "caution" else "caution"
            paper.text(k(28), y, f"{figure.label} {figure.value}", "small", tone, room=k(290))

    def _strip(
        self, paper: Paper, view: StripView, names: float, left: float, right: float, top: float
    ) -> float:
        k = paper.px
        width = right - left

        def x(at_s: float) -> float:
            return left + width * min(max(at_s, 0.0), view.length_s) / view.length_s

        for n, (name, a, b) in enumerate(view.sections):
            paper.fill(x(a), top, x(b) - x(a) - k(2), k(34), "raised" if n % 2 else "panel")
            paper.text(x(a) + k(8), top + k(24), name, "small", "text", room=x(b) - x(a) - k(12))
        ruler = top + k(44)
        lanes = ruler + k(56)
        lane_step = min(k(66), (paper.height - lanes - k(330)) / max(1, len(view.lanes)))
        bottom = lanes + lane_step * len(view.lanes)
        self._ruler(paper, view, x, ruler, bottom)
        self._curve(paper, view, x, ruler + k(22), k(26))
        for n, lane in enumerate(view.lanes):
            y = lanes + lane_step * (n + 0.5)
            paper.sign(names, y, lane, True, 12)
            paper.text(names + k(24), y + k(7), lane.name, "small", "text", room=k(90))
            paper.line(left, y, right, y, "line", 1)
        self._marks(paper, view, x, lanes, lane_step)
        y = bottom + k(24)
        paper.heading(left, y, "caller speaking")
        for spoken in view.spoken:
            tone = "caution" if spoken.collides else "accent" if spoken.go else "standby"
            x0 = x(spoken.starts_s)
            paper.fill(x0, y + k(12), max(k(2), x(spoken.ends_s) - x0), k(24), tone)
        y += k(48)
        for sentence in view.collisions[:2]:
            y = paper.wrapped(left, y + k(18), sentence, width, "small", "caution", 2)
        return y

    def _ruler(self, paper: Paper, view: StripView, x: Place, y: float, bottom: float) -> None:
        k = paper.px
        if view.bars:
            gap = max(1e-9, x(view.bars[min(4, len(view.bars) - 1)][1]) - x(view.bars[0][1])) / 4
            every = next((n for n in (4, 8, 16, 32, 64) if gap * n > k(52)), 64)
            for bar, at_s in view.bars:
                if (bar - 1) % every == 0:
                    paper.line(x(at_s), y, x(at_s), bottom, "line", 1)
                    if x(at_s) < paper.width - k(64):
                        paper.text(x(at_s) + k(4), y + k(16), str(bar), "tiny", "quiet")
            return
        step = next((n for n in (10, 30, 60, 120) if view.length_s / n < 16), 300)
        for at_s in range(0, int(view.length_s) + 1, step):
            paper.line(x(at_s), y, x(at_s), bottom, "line", 1)
            paper.text(x(at_s) + k(4), y + k(16), span(at_s), "tiny", "quiet")

    def _curve(self, paper: Paper, view: StripView, x: Place, y: float, height: float) -> None:
        """The tempo through the song, low at the foot."""
        if not view.tempo:
            return
        low, high = min(b for _, b in view.tempo), max(b for _, b in view.tempo)
        points = [QPointF(x(s), y + height * (1 - (b - low) / (high - low or 1))) for s, b in view.tempo]
        paper.curve(QPolygonF(points), "under")
        paper.text(x(view.length_s), y + height + paper.px(4), "tempo", "tiny", "quiet", align="right")

    def _marks(self, paper: Paper, view: StripView, x: Place, lanes: float, step: float) -> None:
        k = paper.px
        free: dict[int, float] = {}
        for mark in view.marks:
            y = lanes + step * (mark.lane + 0.5)
            at = x(mark.at_s)
            if mark.standby_s is not None and not mark.by_itself:
                paper.line(x(mark.standby_s), y, at, y, "standby", 3)
            paper.sign(at, y, view.lanes[mark.lane], not mark.by_itself, 11)
            if mark.cue == self.cue:
                paper.ring(at, y, k(19), "strong")
            if at - k(10) >= free.get(mark.lane, 0.0):
                weight = "bold" if mark.cue == self.cue else "semibold"
                used = paper.text(at + k(10), y - k(14), mark.number, "tiny", "text", weight)
                free[mark.lane] = at + k(14) + used

    def _details(self, paper: Paper, left: float, right: float, y: float) -> None:
        assert self._book is not None
        k = paper.px
        program = self._book.program
        planned = program.items[self.item].planned
        if not planned.cues:
            return
        title, rows = cue_facts(program.plan.show, planned, min(self.cue, len(planned.cues) - 1))
        paper.text(left, y, title, "body", "strong", "semibold", room=right - left)
        y += k(34)
        for label, words in rows:
            if y > paper.height - k(14):
                break
            paper.text(left, y, label, "small", "quiet")
            tone = "caution" if label == "hazard" else "text"
            y = paper.wrapped(left + k(110), y, words, right - left - k(120), "small", tone, 2) + k(6)
