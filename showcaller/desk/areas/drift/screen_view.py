"""The recording's picture, and under it how the show stood: clocks, look, what had fired, what came next."""

from datetime import tzinfo
from fractions import Fraction
from pathlib import Path

from showcaller.calling.wording import day_time, span
from showcaller.desk.areas.drift.acts import frame_words
from showcaller.desk.areas.drift.lists import WALL
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QMouseEvent, QRectF, Qt, QWidget, Signal
from showcaller.review.standing import Standing

HEAD_PX, BAR_PX = 20, 26
"""Room for the heading, and for the bar to drag along, px at 1920×1080."""
_AT_NS = 1_000_000_000
"""So long after a line's moment the recording is said to be at it."""


class ScreenView(Sheet):
    """Reads the state and the recording; ``pressed`` when the picture is clicked."""

    pressed = Signal()

    def __init__(self, state: DriftState, recording: RecordingPlayer, keys: Keys, parent: QWidget) -> None:
        super().__init__("The recording", parent)
        self._state = state
        self._recording = recording
        self._keys = keys
        self._bar_box = QRectF()
        self._dragging = False

    def wanted_px(self, width: float, most: float) -> float:
        """How high it is at this width, its picture at most so high."""
        k = self.scale()
        if not self._recording.player.path:
            return (HEAD_PX + 52) * k
        words = 0 if self._recording.playing_ns() is None else 68
        return min(width * 9 / 16, most) + (HEAD_PX + 42 + BAR_PX + words) * k

    def draw(self, paper: Paper) -> None:
        k, player = paper.px, self._recording.player
        if not player.path:
            paper.heading(0, k(HEAD_PX), "the recording")
            none = f"None yet. {self._keys['drift.recording']} chooses the video of this show."
            paper.text(0, k(HEAD_PX + 32), none, "small", "quiet", room=paper.width)
            return
        paper.heading(0, k(HEAD_PX), self._title())
        t_ns, view = self._recording.playing_ns(), self._state.view
        words = 0 if t_ns is None else 68
        box = QRectF(0, k(HEAD_PX + 16), paper.width, paper.height - k(HEAD_PX + 42 + BAR_PX + words))
        self._picture(paper, box)
        self._bar(paper, QRectF(0, box.bottom(), paper.width, k(BAR_PX)))
        if t_ns is not None and view is not None:
            self._standing(paper, view.standings.at(t_ns), view.report.zone, box.bottom() + k(BAR_PX + 26))

    def _title(self) -> str:
        rows, chosen = self._state.rows(), self._state.chosen
        # A look that stood already is looked at where the part asked about begins: the line below says where.
        at_ns, t_ns = self._recording.playing_ns(), rows[chosen].t_ns if chosen < len(rows) else None
        there = at_ns is not None and t_ns is not None and 0 <= at_ns - t_ns < _AT_NS
        name = rows[chosen].name.strip() if there and self._state.page != WALL else ""
        file = Path(self._recording.player.path).stem  # which of several is the large one
        return f"{file} at {name}" if name else file

    def _picture(self, paper: Paper, box: QRectF) -> None:
        k, player = paper.px, self._recording.player
        paper.fill(box.x(), box.y(), box.width(), box.height(), "panel")
        ratio = paper.painter.device().devicePixelRatioF()
        player.fit(int(box.width() * ratio), int(box.height() * ratio))
        self._recording.scrubbing.fit(int(box.width() * ratio), int(box.height() * ratio))
        image = self._recording.scrubbing.image or player.image
        if image is not None:
            image.setDevicePixelRatio(ratio)
            shown = image.size() / ratio
            left, top = (box.width() - shown.width()) / 2, (box.height() - shown.height()) / 2
            paper.picture(box.x() + left, box.y() + top, image)
        if player.trouble:
            room = box.width() - k(32)
            paper.wrapped(k(16), box.y() + k(36), player.trouble, room, "small", "missed", 3)
        elif player.image is None:
            middle = box.center()
            paper.text(middle.x(), middle.y(), "reading the file", "small", "quiet", align="centre")

    def _standing(self, paper: Paper, standing: Standing, zone: tzinfo, y: float) -> None:
        k, player, width = paper.px, self._recording.player, paper.width
        state = "▶ " if player.playing else ""
        used = paper.text(0, y, f"{state}{day_time(standing.wall_ns, zone)}", "body", "strong", "semibold")
        paper.text(used + k(18), y, where_words(standing), "small", "text", room=width * 0.72 - used)
        paper.text(width, y, frame_words(player.index, player.at_s), "tiny", "quiet", align="right")
        before, after = ladder_words(standing)
        look = f"look: {standing.look}" if standing.look else ""
        wide = paper.text(0, y + k(28), before, "small", "quiet", room=width * 0.4)
        paper.text(wide + k(18), y + k(28), look, "small", "quiet", room=width * 0.98 - wide)
        paper.text(0, y + k(56), after, "small", "accent", room=width)

    def _bar(self, paper: Paper, box: QRectF) -> None:
        """The whole recording as a bar to drag along; how far its small pictures are."""
        k, player, scrubbing = paper.px, self._recording.player, self._recording.scrubbing
        self._bar_box = box
        middle = box.center().y()
        paper.fill(box.x(), middle - k(2), box.width(), k(4), "line")
        if player.facts is None:
            return
        if scrubbing.made is not None:
            paper.fill(box.x(), middle - k(2), box.width() * scrubbing.made, k(4), "faint")
        at_s = player.at_s if scrubbing.at_s is None else scrubbing.at_s
        x = box.width() * min(1.0, float(at_s / max(Fraction(1), player.facts.length_s)))
        paper.fill(box.x(), middle - k(2), x, k(4), "quiet")
        paper.dot(box.x() + x, middle, k(7 if scrubbing.at_s is None else 9), "strong")

    def _dragged(self, event: QMouseEvent) -> None:
        facts, box = self._recording.player.facts, self._bar_box
        if facts is not None and box.width() > 0:
            share = min(1.0, max(0.0, (event.position().x() - box.x()) / box.width()))
            self._recording.scrubbing.drag(Fraction(share) * facts.length_s)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        if event.button() != Qt.MouseButton.LeftButton or not self._recording.player.path:
            return
        self._dragging = self._bar_box.contains(event.position())
        if self._dragging:
            self._dragged(event)
        else:
            self.pressed.emit()

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        if self._dragging:
            self._dragged(event)

    def mouseReleaseEvent(self, _event: QMouseEvent) -> None:
        if self._dragging:
            self._dragging = False
            self._recording.scrubbing.rest()


def where_words(standing: Standing) -> str:
    """``Iron Gulls 2:31 · bar 33 / 2``."""
    if not standing.item:
        return "before the show"
    parts = [standing.item if standing.clock_s is None else f"{standing.item} {span(standing.clock_s)}"]
    if standing.bar is not None and standing.bar[0] >= 1:  # a count-in has no bar number
        parts.append(f"bar {standing.bar[0]} / {standing.bar[1]}")
    if standing.held:
        parts.append("HELD")
    return " · ".join(parts)


def ladder_words(standing: Standing) -> tuple[str, str]:
    """(what fired last and how long ago, what comes next and in how long)."""
    before = "" if standing.last is None else f"{standing.last[0].name}, {standing.last[1]:.1f} s ago"
    after = " · ".join(f"{m.name} in {in_s:.1f} s" for m, in_s in standing.coming[:3])
    after = f"next: {after}" if after else ""
    return before, after
