"""The strip: where seconds and lanes are on it, drawn and found again under the mouse."""

from dataclasses import dataclass, replace

from showcaller.calling.wording import span
from showcaller.desk.areas.book.stripview import StripView
from showcaller.desk.areas.book.zoom import Window
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.signs import SignSheet
from showcaller.desk.qt import QPointF, QPolygonF, QRectF


@dataclass(frozen=True, slots=True)
class Ground:
    """Where things are, in px of the widget."""

    left: float
    right: float
    top: float
    lanes: float
    lane_step: float
    count: int
    window: Window

    @property
    def bottom(self) -> float:
        """The foot of the last lane."""
        return self.lanes + self.lane_step * self.count

    def x(self, at_s: float) -> float:
        """Where a second is."""
        return self.left + (at_s - self.window.start_s) * (self.right - self.left) / self.window.span_s

    def at_s(self, x: float) -> float:
        """Which second is there."""
        return self.window.start_s + (x - self.left) * self.window.span_s / (self.right - self.left)

    def y(self, lane: int) -> float:
        """The middle of a lane."""
        return self.lanes + self.lane_step * (lane + 0.5)

    def lane(self, y: float) -> int | None:
        """Which lane is there."""
        lane = int((y - self.lanes) // self.lane_step)
        return lane if 0 <= lane < self.count else None

    def showing(self, window: Window) -> "Ground":
        """The same with another stretch in view."""
        return replace(self, window=window)

    def cue_near(self, view: StripView, x: float, y: float, reach_px: float) -> int | None:
        """The cue whose mark is nearest, within reach."""
        lane = self.lane(y)
        near = [(abs(self.x(m.at_s) - x), m.cue) for m in view.marks if m.lane == lane]
        best = min(near, default=(reach_px + 1, -1))
        return best[1] if best[0] <= reach_px else None


@dataclass(frozen=True, slots=True)
class Dragged:
    """A cue under the mouse: where it would land, and in words."""

    cue: int
    at_s: float
    words: str


def draw_strip(
    paper: Paper,
    view: StripView,
    ground: Ground,
    signs: SignSheet,
    cue: int | None,
    dragged: Dragged | None,
    peaks: tuple[tuple[float, float], ...] = (),
) -> float:
    """Sections, ruler, tempo, lanes, marks and the caller's load; returns where it ends."""
    k = paper.px
    painter = paper.painter
    painter.save()
    painter.setClipRect(QRectF(ground.left - k(16), ground.top, ground.right - ground.left + k(32), 4000))
    _sections(paper, view, ground)
    _ruler(paper, view, ground)
    if peaks:
        _waveform(paper, ground, peaks)
    else:
        _tempo(paper, view, ground)
    painter.restore()
    for n, lane in enumerate(view.lanes):
        y = ground.y(n)
        paper.sign(ground.left - k(120), y, lane, True, 11)
        paper.text(ground.left - k(98), y + k(7), lane.name, "small", "text", room=k(80))
        paper.line(ground.left, y, ground.right, y, "line", 1)
    painter.save()
    painter.setClipRect(QRectF(ground.left - k(16), ground.top, ground.right - ground.left + k(32), 4000))
    _marks(paper, view, ground, signs, cue, dragged)
    y = ground.bottom + k(20)
    _load(paper, view, ground, y)
    painter.restore()
    paper.text(ground.left - k(120), y + k(24), "caller", "small", "quiet")
    return y + k(34)


def _sections(paper: Paper, view: StripView, ground: Ground) -> None:
    k = paper.px
    for n, (name, a, b) in enumerate(view.sections):
        x0, x1 = ground.x(a), min(ground.x(b), ground.right)
        if x1 < ground.left or x0 > ground.right:
            continue
        paper.fill(x0, ground.top, x1 - x0 - k(2), k(32), "raised" if n % 2 else "panel")
        at = max(x0, ground.left) + k(8)
        paper.text(at, ground.top + k(23), name, "small", "text", room=x1 - at - k(6))


def _ruler(paper: Paper, view: StripView, ground: Ground) -> None:
    k = paper.px
    y = ground.top + k(40)
    if len(view.bars) > 1:
        bar_px = (ground.x(view.bars[-1][1]) - ground.x(view.bars[0][1])) / (len(view.bars) - 1)
        every = next((n for n in (1, 2, 4, 8, 16, 32, 64) if bar_px * n > k(52)), 128)
        marks = [(at_s, str(bar)) for bar, at_s in view.bars if (bar - 1) % every == 0]
    else:
        steps = (1, 2, 5, 10, 30, 60, 120, 300, 600)
        step = next((n for n in steps if ground.x(n) - ground.x(0) > k(70)), 1200)
        marks = [(float(s), span(s)) for s in range(0, int(view.length_s) + 1, step)]
    for at_s, words in marks:
        x = ground.x(at_s)
        if ground.left - 1 <= x <= ground.right:
            paper.line(x, y, x, ground.bottom, "line", 1)
            if x < ground.right - k(36):
                paper.text(x + k(4), y + k(16), words, "tiny", "quiet")


def _tempo(paper: Paper, view: StripView, ground: Ground) -> None:
    """The tempo through the song, low at the foot."""
    if not view.tempo:
        return
    k = paper.px
    y, height = ground.top + k(62), k(26)
    low, high = min(b for _, b in view.tempo), max(b for _, b in view.tempo)
    points = [QPointF(ground.x(s), y + height * (1 - (b - low) / (high - low or 1))) for s, b in view.tempo]
    paper.curve(QPolygonF(points), "under")
    paper.text(ground.right, y + height + k(4), "tempo", "tiny", "quiet", align="right")


def _waveform(paper: Paper, ground: Ground, peaks: tuple[tuple[float, float], ...]) -> None:
    """The reference's loudness; ``peaks`` are (second, 0 to 1)."""
    k = paper.px
    middle, half = ground.top + k(76), k(17)
    shown = [(s, p) for s, p in peaks if ground.left <= ground.x(s) <= ground.right]
    step = max(1, len(shown) // 700)
    for n in range(0, len(shown), step):
        block = shown[n : n + step]
        x, high = ground.x(block[0][0]), max(p for _, p in block) * half
        paper.fill(x, middle - high, max(1.0, k(1.4)), 2 * high + 1, "faint")


def _marks(
    paper: Paper, view: StripView, ground: Ground, signs: SignSheet, cue: int | None, dragged: Dragged | None
) -> None:
    k = paper.px
    # A strip may show thousands: one pass, no calls in it that can be kept out.
    scale = (ground.right - ground.left) / ground.window.span_s
    zero = ground.left - ground.window.start_s * scale
    least, most, room, up = ground.left - k(14), ground.right + k(14), k(10), k(13)
    middles = [ground.y(n) for n in range(ground.count)]
    free = [0.0] * ground.count
    tails: list[tuple[float, float, float]] = []
    stamps: dict[tuple[int, bool], list[tuple[float, float]]] = {}
    numbers: list[tuple[float, float, str]] = []
    tiny = paper.size("tiny")
    for mark in view.marks:
        if dragged is not None and mark.cue == dragged.cue:
            continue
        x = zero + mark.at_s * scale
        lane = mark.lane
        y = middles[lane]
        if mark.standby_s is not None and not mark.automatic and x >= ground.left:
            start = zero + mark.standby_s * scale
            if start <= ground.right:
                tails.append((max(start, least), min(x, ground.right), y))
        if not least <= x <= most:
            continue
        stamps.setdefault((lane, not mark.automatic), []).append((x, y))
        if mark.cue != cue and x - room >= free[lane]:
            numbers.append((x + room, y - up, mark.number))
            free[lane] = x + room + k(4) + paper.width_of(mark.number, tiny, "semibold")
    paper.lines(tails, "standby", 3)
    for (lane, filled), points in stamps.items():
        signs.many(paper, points, view.lanes[lane], filled)
    for x, y, number in numbers:
        paper.text(x, y, number, "tiny", "text", "semibold")
    _chosen(paper, view, ground, signs, cue, dragged)


def _chosen(
    paper: Paper, view: StripView, ground: Ground, signs: SignSheet, cue: int | None, dragged: Dragged | None
) -> None:
    """The chosen cue's ring and number, over all others; a dragged one where it would land."""
    k = paper.px
    for mark in view.marks:
        moving = dragged is not None and mark.cue == dragged.cue
        if mark.cue != cue and not moving:
            continue
        x = ground.x(dragged.at_s if dragged is not None and moving else mark.at_s)
        y = ground.y(mark.lane)
        signs.many(paper, [(x, y)], view.lanes[mark.lane], not mark.automatic)
        paper.ring(x, y, k(18), "strong")
        paper.text(x + k(10), y - k(13), mark.number, "tiny", "strong", "semibold")
        if dragged is not None and moving:
            paper.line(x, ground.top, x, ground.bottom, "accent", 1, dotted=True)
            paper.text(x + k(14), y + k(28), dragged.words, "small", "accent", "semibold")


def _load(paper: Paper, view: StripView, ground: Ground, y: float) -> None:
    k = paper.px
    last: dict[str, float] = {}
    for spoken in view.spoken:
        x0, x1 = ground.x(spoken.starts_s), ground.x(spoken.ends_s)
        tone = "caution" if spoken.collides else "accent" if spoken.go else "standby"
        if x1 < ground.left or x0 > ground.right or x1 < last.get(tone, -1.0) + 1:
            continue
        last[tone] = x1
        paper.fill(x0, y + k(8), max(k(2), x1 - x0), k(20), tone)
