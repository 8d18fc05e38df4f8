"""Cameras: the song's shots as lines to type; who is on, next, ready or free; what is said to them."""

from showcaller.calling.wording import span
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.paint.fields import FieldRow, FieldsView
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.paint.views import TEXT_PX
from showcaller.desk.qt import QRect, QRectF, QWidget, Signal
from showcaller.screen.cameras import (
    SHOT_HINT,
    CameraNow,
    camera_calls,
    camera_conflicts,
    cameras_now,
    shot_text,
    shots_of,
)

ROW_PX, LABEL_PX = 30, 116
LIST_SHARE = 0.44
_MARKS = {"on": ("●", "missed"), "next": ("▲", "accent"), "ready": ("◆", "text"), "free": ("○", "quiet")}


class CamerasPanel(Sheet):
    """``opened`` a shot's line by its key, to be typed into."""

    opened = Signal(str)

    def __init__(self, parent: QWidget) -> None:
        super().__init__("Cameras", parent)
        self.lines = FieldsView("Shots of the song", self)
        self.lines.opened.connect(self.opened)
        self._scene: Scene | None = None

    def show_scene(self, scene: Scene) -> None:
        """Show a song's shots, and its cameras at this instant."""
        self._scene = scene
        planned = scene.plan.items[scene.item]
        shots = getattr(planned.item, "shots", ())
        rows = [
            FieldRow(f"shot.{shots.index(s)}", f"bar {s.bar}", shot_text(scene.show, s), SHOT_HINT)
            for s in shots_of(planned)
        ]
        self.lines.show_rows((*rows, FieldRow("shot+", "one more", "", SHOT_HINT)))
        now = self._now()
        self.setAccessibleDescription("; ".join(f"camera {c.number} {c.source.name} {c.words}" for c in now))
        self.update()

    def _now(self) -> tuple[CameraNow, ...]:
        scene = self._scene
        if scene is None:
            return ()
        planned = scene.plan.items[scene.item]
        return cameras_now(scene.show, planned, scene.planned, scene.at_s, scene.picture.sources)

    def keys(self) -> tuple[str, ...]:
        """Of the lines, from the top."""
        return tuple(row.key for row in self.lines.model_.rows)

    def value_box(self, key: str) -> QRectF | None:
        """Where a line is typed into, px of the parent."""
        box = self.lines.value_box(key)
        return None if box is None else box.translated(self.pos().toPointF())

    def resizeEvent(self, event: object) -> None:
        super().resizeEvent(event)  # type: ignore[arg-type]
        k = self.scale()
        box = QRect(-TEXT_PX, 0, int(self.width() * LIST_SHARE) + TEXT_PX, self.height())
        self.lines.place(box, int(LABEL_PX * k), int(ROW_PX * k), max(11.0, 17 * k))

    def draw(self, paper: Paper) -> None:
        scene, k = self._scene, paper.px
        if scene is None:
            return
        left = paper.width * LIST_SHARE + k(28)
        room, y = paper.width - left, k(20)
        for camera in self._now():
            mark, tone = _MARKS[camera.state]
            paper.text(left, y, str(camera.number), "small", tone, "semibold")
            words = camera.source.name + (f" · {camera.shot.what}" if camera.shot is not None else "")
            paper.text(left + k(30), y, words, "small", "text", room=room - k(250))
            paper.text(left + room - k(210), y, f"{mark} {camera.words}", "small", tone, room=k(210))
            y += k(29)
        planned = scene.plan.items[scene.item]
        calls = camera_calls(scene.show, planned, scene.planned)
        coming = [c for c in calls if c.at_s >= scene.at_s - 1][:3]
        y += k(14)
        paper.heading(left, y, "said to cameras")
        y += k(28)
        for n, call in enumerate(coming):
            in_s = call.at_s - scene.at_s
            when = "now" if in_s < 1 else f"in {span(in_s)}"
            tone = "strong" if n == 0 else "quiet"
            paper.text(left, y, when, "small", "accent" if n == 0 else "quiet", room=k(90))
            paper.text(left + k(100), y, call.text, "small", tone, "medium", room=room - k(100))
            y += k(29)
        if not coming:
            paper.text(left, y, "nothing more in this song", "small", "quiet")
            y += k(29)
        for sentence in camera_conflicts(scene.show, planned, scene.planned):
            if y > paper.height - k(30):
                break
            y = paper.wrapped(left, y + k(6), sentence, room, "tiny", "standby", lines=2)
