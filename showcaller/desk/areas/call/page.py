"""A page that is read aloud, in the ladder's place below the box: the line to read is the largest."""

from showcaller.calling.pages_aloud import OpenedPage, PageRow
from showcaller.calling.wording import span
from showcaller.desk.areas.call import box
from showcaller.desk.areas.call.side import draw_mark
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.told import Paged

_LEAST_PX = 14.0


class PageSheet(Sheet):
    """``shown`` is a page or the list of them; without either the sheet is hidden."""

    def __init__(self, keys: Keys) -> None:
        super().__init__("Page read aloud")
        self._keys = keys
        self.shown: Paged | None = None
        self.hide()

    def show_page(self, shown: Paged | None) -> None:
        """Show this; None puts the sheet away."""
        if shown is not None and shown != self.shown:
            told = self._told(shown)
            if told != self.accessibleDescription():
                self.setAccessibleDescription(told)
            self.update()
        self.shown = shown
        self.setVisible(shown is not None)

    def _told(self, shown: Paged) -> str:
        page = shown.page
        if page is None:
            choice = shown.choices[shown.at]
            return f"Pages, {shown.at + 1} of {len(shown.choices)}: {choice.name}, {choice.words}"
        if not page.rows:
            return f"{page.name}. No lines. {page.above}".strip()
        row = page.rows[shown.at]
        done = f"{self._done_words()}. " if page.next is None else ""
        ticked = "ticked. " if row.ticked else ""
        beside = f" {row.beside}." if row.beside else ""
        line = f"Line {row.n} of {len(page.rows)}: {ticked}{row.says}{beside}"
        return f"{page.name}. {done}{line} {page.above}".strip()

    def draw(self, paper: Paper) -> None:
        k = paper.px
        left, right = k(22), paper.width - k(22)
        if self.shown is None:
            return
        if self.shown.page is None:
            self._draw_list(paper, self.shown, left, right)
        else:
            self._draw_page(paper, self.shown.page, self.shown.at, left, right)

    def _draw_list(self, paper: Paper, shown: Paged, left: float, right: float) -> None:
        k = paper.px
        paper.fill(left, 0, right - left, k(4), "strong")
        paper.heading(left + k(8), k(34), "pages read aloud")
        hint = f"{self._keys['call.page_tick']} opens · Esc leaves"
        hint += f" · {self._keys['go']} still fires" if self._keys.letters else ""
        paper.text(right - k(8), k(34), hint, "tiny", "quiet", align="right")
        step, top = max(k(58), 34.0), k(50)
        fits = max(1, int((paper.height - top - k(10)) // step))
        first = max(0, min(shown.at - fits + 1, len(shown.choices) - fits))
        for n, row in enumerate(shown.choices[first : first + fits]):
            y = top + n * step
            chosen = first + n == shown.at
            if chosen:
                paper.fill(left, y, right - left, step - k(4), "raised")
                paper.fill(left, y, k(5), step - k(4), "accent")
            tone = "caution" if row.open else "strong"
            base = y + step * 0.62
            used = paper.text(
                left + k(24), base, row.name, "line", tone, "semibold", room=(right - left) * 0.5
            )
            room = right - left - used - k(60)
            paper.text(right - k(14), base, row.words, "small", "quiet", align="right", room=room)

    def _draw_page(self, paper: Paper, page: OpenedPage, at: int, left: float, right: float) -> None:
        k = paper.px
        urgent = bool(page.above)
        paper.fill(left, 0, right - left, k(4), "caution" if urgent else "strong")
        y = self._draw_head(paper, page, left, right)
        foot = paper.height - k(10)
        if page.above:
            lines = box.broken(page.above, right - left - k(16), paper.size("tiny"), "semibold")
            foot -= len(lines) * paper.size("tiny") * 1.3
            for n, words in enumerate(lines):
                base = foot + (n + 0.8) * paper.size("tiny") * 1.3
                paper.text(left + k(8), base, words, "tiny", "caution", "semibold")
        foot -= paper.size("tiny") * 1.5
        hint = self._hint(page)
        base = foot + paper.size("tiny")
        paper.text(right - k(8), base, hint, "tiny", "quiet", align="right", room=right - left - k(16))
        if page.rows and page.next is None:
            y = self._draw_done(paper, left, right, y)
        if not page.rows:
            paper.text(
                left + k(8), y + k(30), "This page has no lines: type them in the set-up", "body", "quiet"
            )
            return
        before = page.rows[max(0, at - 1) : at]
        for row in before:
            y = self._draw_small(paper, row, left, right, y)
        y = self._draw_large(paper, page.rows[at], left, right, y)
        rest = page.rows[at + 1 :]
        step = self._step(paper)
        fits = max(0, int((foot - y - k(6)) // step))
        shown = rest if len(rest) <= fits else rest[: max(0, fits - 1)]
        for row in shown:
            y = self._draw_small(paper, row, left, right, y)
        if len(shown) < len(rest) and fits:
            words = f"{len(rest) - len(shown)} more lines"
            paper.text(left + k(48), y + step * 0.7, words, "tiny", "quiet")

    def _done_words(self) -> str:
        close = self._keys["call.page_close"]
        return f"every line is ticked · {close} {close} closes the page"

    def _draw_done(self, paper: Paper, left: float, right: float, y: float) -> float:
        """That it is read to its end, and the key: nobody looks for it in the small print."""
        k = paper.px
        words, room = self._done_words(), right - left - k(48)
        paper.fill(left, y, right - left, k(46), "accent_ground")
        size = paper.fitted(words, "line", "semibold", room, 0.5)
        paper.text(left + k(24), y + k(32), words, tone="accent", weight="semibold", size_px=size)
        return y + k(54)

    def _hint(self, page: OpenedPage) -> str:
        keys = self._keys
        tick, back, close = (keys[f"call.page_{name}"] for name in ("tick", "untick", "close"))
        rest = f"{close} {close} closes" if page.next is None else f"{keys['pages']} the list"
        return f"{tick} ticks · {back} takes back · Esc leaves it open · {rest}"

    def _draw_head(self, paper: Paper, page: OpenedPage, left: float, right: float) -> float:
        """Name and reader at the left, the clock at the right, the hold beside it."""
        k = paper.px
        base = k(46)
        used = paper.text(right - k(8), base, span(page.open_s), "figure", "strong", "bold", "right")
        words = f"{page.count} · open"
        if page.held_s is not None:
            words = f"on hold {span(page.held_s)} · {words}"
        tone = "caution" if page.held_s is not None else "quiet"
        used += k(18) + paper.text(right - k(18) - used, base, words, "small", tone, "semibold", "right")
        room = right - left - used - k(40)
        name = page.name.upper()
        size = paper.fitted(name, "line", "bold", room * 0.62, 0.6)
        x = left + k(8)
        x += paper.text(x, base, name, tone="strong", weight="bold", size_px=size, room=room) + k(16)
        left_over = right - used - k(20) - x
        if left_over > k(90):
            paper.text(x, base, f"read by {page.reader}", "small", "quiet", room=left_over)
        return base + k(18)

    @staticmethod
    def _step(paper: Paper) -> float:
        return max(paper.px(36), paper.size("small") * 1.45)

    def _draw_small(self, paper: Paper, row: PageRow, left: float, right: float, y: float) -> float:
        k = paper.px
        step = self._step(paper)
        base = y + step * 0.7
        _tick(paper, left + k(22), base - k(7), bool(row.ticked))
        end = row.ticked or ("" if row.clearance is None else row.clearance.words)
        tone = (
            "quiet" if row.ticked or row.clearance is None else "accent" if row.clearance.there else "caution"
        )
        used = paper.text(right - k(8), base, end, "small", tone, align="right", room=(right - left) * 0.42)
        if row.clearance is not None and not row.ticked:
            used += k(26)
            draw_mark(paper, right - k(8) - used + k(10), base - k(6), row.clearance)
        room = right - left - k(66) - used
        paper.text(left + k(48), base, row.says, "small", "quiet" if row.ticked else "text", room=room)
        return y + step

    @staticmethod
    def _draw_large(paper: Paper, row: PageRow, left: float, right: float, y: float) -> float:
        """The line to read, whole, on as many lines as it takes; below it who, and its clearance."""
        k = paper.px
        room = right - left - k(72)
        most = max(paper.height * 0.42, k(120))
        size = paper.size("say") * 0.8
        lines = box.broken(row.says, room, size, "semibold")
        while len(lines) * size * 1.18 > most and size > max(_LEAST_PX, paper.size("body")):
            size *= 0.92
            lines = box.broken(row.says, room, size, "semibold")
        beside = box.broken(row.beside, room, paper.size("body"), "regular")[:3]
        extra = [f"ticked at {row.ticked}"] if row.ticked else []
        high = len(lines) * size * 1.18 + (len(beside) + len(extra)) * paper.size("body") * 1.35 + k(24)
        paper.fill(left, y, right - left, high, "raised")
        paper.fill(left, y, k(5), high, "accent" if not row.ticked else "quiet")
        _tick(paper, left + k(28), y + k(12) + size * 0.6, bool(row.ticked))
        x, base = left + k(54), y + k(6)
        for words in lines:
            base += size * 1.18
            paper.text(x, base - size * 0.2, words, tone="strong", weight="semibold", size_px=size)
        tone = "text" if row.clearance is None or row.clearance.there else "caution"
        for words in (*beside, *extra):
            base += paper.size("body") * 1.35
            paper.text(x, base - k(4), words, "body", tone, room=room)
        return y + high + k(8)


def _tick(paper: Paper, x: float, y: float, done: bool) -> None:
    """A tick for a line that was said, a ring for one to come: a shape first, a colour second."""
    k = paper.px
    r = k(9)
    if done:
        paper.line(x - r, y, x - r * 0.2, y + r * 0.8, "accent", 4)
        paper.line(x - r * 0.2, y + r * 0.8, x + r, y - r * 0.9, "accent", 4)
    else:
        paper.ring(x, y, r, "text")
