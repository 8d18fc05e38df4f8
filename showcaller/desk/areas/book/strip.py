"""The strip: where seconds and lanes are on it, drawn and found again under the mouse."""

from bisect import bisect_left, bisect_right
from functools import lru_cache

from showcaller.calling.wording import span
from showcaller.desk.areas.book.ground import Ground
from showcaller.desk.areas.book.strip_words import draw_words
from showcaller.desk.areas.book.stripview import StripView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.signs import SignSheet
from showcaller.desk.qt import QPointF, QPolygonF, QRectF
from showcaller.model.base import ById
from showcaller.values import Struct


class Dragged(Struct, frozen=True):
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
    draw_words(paper, view, ground)
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


class _Lane(Struct, frozen=True):
    """A lane's marks in order of time: seconds, numbers and places of all; seconds of those that are called
    and of the others; (standby, go) of those with a standby, and their goes."""

    at_s: list[float]
    numbers: list[str]
    cues: list[int]
    called_s: list[float]
    automatic_s: list[float]
    tails_s: list[tuple[float, float]]
    ends_s: list[float]


def _lanes(view: StripView, without: int | None = None) -> tuple[_Lane, ...]:
    found = tuple(_Lane([], [], [], [], [], [], []) for _ in view.lanes)
    for mark in sorted(view.marks, key=lambda mark: mark.at_s):
        if mark.cue == without:
            continue
        lane = found[mark.lane]
        lane.at_s.append(mark.at_s)
        lane.numbers.append(mark.number)
        lane.cues.append(mark.cue)
        (lane.automatic_s if mark.automatic else lane.called_s).append(mark.at_s)
        if mark.standby_s is not None and not mark.automatic:
            lane.tails_s.append((mark.standby_s, mark.at_s))
            lane.ends_s.append(mark.at_s)
    return found


@lru_cache(maxsize=4)
def _kept_lanes(view: ById) -> tuple[_Lane, ...]:
    return _lanes(view.part)


def _marks(
    paper: Paper, view: StripView, ground: Ground, signs: SignSheet, cue: int | None, dragged: Dragged | None
) -> None:
    k = paper.px
    # A strip may show thousands, so what is in view is cut out of lists in order, and drawn kind by kind.
    scale = (ground.right - ground.left) / ground.window.span_s
    zero = ground.left - ground.window.start_s * scale
    least, right = ground.left - k(14), ground.right
    room, up = _beside(paper, ground)
    least_s, left_s = (least - zero) / scale, (ground.left - zero) / scale
    right_s, most_s = (right - zero) / scale, (right + k(14) - zero) / scale
    lanes = _kept_lanes(ById(view)) if dragged is None else _lanes(view, dragged.cue)
    tails: list[tuple[float, float, float]] = []
    for n, lane in enumerate(lanes):
        y = ground.y(n)
        tails += [
            (max(zero + start * scale, least), min(zero + end * scale, right), y)
            for start, end in lane.tails_s[bisect_left(lane.ends_s, left_s) :]
            if start <= right_s
        ]
    paper.lines(tails, "standby", 3)
    for n, lane in enumerate(lanes):
        y = ground.y(n)
        for filled, at_s in ((True, lane.called_s), (False, lane.automatic_s)):
            seen = at_s[bisect_left(at_s, least_s) : bisect_right(at_s, most_s)]
            if seen:
                signs.many(paper, [(zero + at * scale, y) for at in seen], view.lanes[n], filled)
    tiny = paper.size("tiny")
    numbers: list[tuple[float, float, str]] = []
    for n, lane in enumerate(lanes):
        y, at_s, free = ground.y(n), lane.at_s, 0.0
        i, last = bisect_left(at_s, least_s), bisect_right(at_s, most_s)
        while i < last:
            x = zero + at_s[i] * scale
            if x - room < free:  # the next with room for its number
                i = max(i + 1, bisect_left(at_s, (free + room - zero) / scale, i, last))
                continue
            ends = x + room + k(4) + paper.width_of(lane.numbers[i], tiny, "semibold")
            # At its side it would lie on a mark that comes soon.
            on_next = up < 0 and i + 1 < last and zero + at_s[i + 1] * scale - k(14) < ends
            if lane.cues[i] != cue and not on_next:
                numbers.append((x + room, y - up, lane.numbers[i]))
                free = ends
            i += 1
    paper.texts(numbers, "tiny", "text", "semibold")
    _chosen(paper, view, ground, signs, cue, dragged)


def _beside(paper: Paper, ground: Ground) -> tuple[float, float]:
    """How far right of and above its mark a number stands: over it, or at its side where lanes are close."""
    k = paper.px
    return (k(10), k(13)) if ground.lane_step >= k(38) else (k(15), k(-6))


def _chosen(
    paper: Paper, view: StripView, ground: Ground, signs: SignSheet, cue: int | None, dragged: Dragged | None
) -> None:
    """The chosen cue's ring and number, over all others; a dragged one where it would land."""
    if cue is None and dragged is None:
        return
    k = paper.px
    for mark in view.marks:
        moving = dragged is not None and mark.cue == dragged.cue
        if mark.cue != cue and not moving:
            continue
        x = ground.x(dragged.at_s if dragged is not None and moving else mark.at_s)
        y = ground.y(mark.lane)
        signs.many(paper, [(x, y)], view.lanes[mark.lane], not mark.automatic)
        paper.ring(x, y, k(18), "strong")
        room, up = _beside(paper, ground)
        paper.text(x + room, y - up, mark.number, "tiny", "strong", "semibold")
        if dragged is not None and moving:
            paper.line(x, ground.top, x, ground.bottom, "accent", 1, dotted=True)
            paper.text(x + k(14), y + k(28), dragged.words, "small", "accent", "semibold")


def _load(paper: Paper, view: StripView, ground: Ground, y: float) -> None:
    k = paper.px
    scale = (ground.right - ground.left) / ground.window.span_s
    zero = ground.left - ground.window.start_s * scale
    least_s, most_s = (ground.left - zero) / scale, (ground.right - zero) / scale
    last = dict.fromkeys(("standby", "accent", "caution"), -1.0)
    boxes: dict[str, list[QRectF]] = {tone: [] for tone in last}
    top, high, thin = y + k(8), k(20), k(2)
    for spoken in view.spoken:
        if spoken.ends_s < least_s or spoken.starts_s > most_s:
            continue
        tone = "caution" if spoken.collides else "accent" if spoken.go else "standby"
        x1 = zero + spoken.ends_s * scale
        if x1 < last[tone] + 1:
            continue
        last[tone] = x1
        x0 = zero + spoken.starts_s * scale
        boxes[tone].append(QRectF(x0, top, max(thin, x1 - x0), high))
    for tone, found in boxes.items():
        paper.boxes(found, tone)
