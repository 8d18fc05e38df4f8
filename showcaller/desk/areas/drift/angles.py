"""The other recordings of the run at the moment that is looked at, side by side, each always in its place."""

from pathlib import Path

from showcaller.archive import Recording
from showcaller.desk.areas.drift.player import Player
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.areas.drift.tape_state import TapeState
from showcaller.desk.paint.paper import Paper
from showcaller.desk.paint.sheet import Sheet
from showcaller.desk.qt import QMouseEvent, QRectF, Qt, QWidget
from showcaller.review.aligning import first_frame_s
from showcaller.review.tape_clock import clock_of

MOST = 4
"""So many are shown beside the first."""
MOST_PICTURE, WITH_OTHERS = 0.40, 0.27
"""The share of the area's height that the recording's picture has at most, alone and with others below it."""
_LABEL_PX, _GAP_PX = 24, 14


class AnglesView(Sheet):
    """Each recording has a decoder of its own. Their places go by their names, so that none ever moves;
    a click on one shows it large, and puts the first in its place."""

    def __init__(
        self, state: DriftState, tape: TapeState, recording: RecordingPlayer, parent: QWidget
    ) -> None:
        super().__init__("The other recordings at this moment", parent)
        self._state, self._tape, self._recording = state, tape, recording
        self._players: dict[str, Player] = {}
        self._asked: tuple[int | None, tuple[str, ...]] = (None, ())
        tape.changed.connect(self.look)

    def recordings(self) -> tuple[Recording, ...]:
        """Those beside the one that is shown large, by name."""
        view = self._state.view
        if view is None or not self._tape.shown:
            return ()
        found, large = view.report.recordings, self._recording.large
        others = sorted(found[1:], key=lambda r: Path(r.path).name)[:MOST]
        return tuple(found[0] if r.path == large else r for r in others)

    def picture_share(self) -> float:
        """What the picture above may have of the height."""
        return WITH_OTHERS if self.recordings() else MOST_PICTURE

    def wanted_px(self, width: float) -> float:
        """How high it is at this width; 0 without any."""
        count, k = len(self.recordings()), self.scale()
        if count == 0:
            return 0.0
        return self._wide(width, count) * 9 / 16 + (_LABEL_PX + 8) * k

    def look(self) -> None:
        """Every recording to the moment that is looked at."""
        t_ns, mine = self._tape.t_ns, self.recordings()
        for path in [p for p in self._players if p not in {r.path for r in mine}]:
            self._players.pop(path).close()
        for one in mine:
            if one.path not in self._players:
                player = self._players[one.path] = Player(self)
                player.frame_shown.connect(self.update)
                player.opened.connect(self._again)
                player.open(one.path)
        asked = (t_ns, tuple(r.path for r in mine))
        if asked == self._asked or t_ns is None:
            return
        self._asked = asked
        for one in mine:
            player, at_s = self._players[one.path], clock_of(one).file_s(t_ns)
            rate = None if player.facts is None else player.facts.rate
            player.seek(at_s if rate is None else first_frame_s(at_s, rate))
        self.update()

    def _again(self) -> None:
        """A file's rate is known now: to the very frame."""
        self._asked = (None, ())
        self.look()

    def settle(self) -> None:
        """Wait until every frame that was asked for is there; for pictures and tests."""
        for player in self._players.values():
            player.settle()

    def shut(self) -> None:
        """Let go of the files."""
        for player in self._players.values():
            player.close()

    def player(self, path: str) -> Player | None:
        """The decoder of a recording."""
        return self._players.get(path)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        mine = self.recordings()
        step = self._wide(self.width(), len(mine)) + _GAP_PX * self.scale()
        n = int(event.position().x() // step)
        if event.button() == Qt.MouseButton.LeftButton and 0 <= n < len(mine):
            self._recording.show_large(mine[n].path, self._tape.t_ns)
            self._again()

    def _wide(self, width: float, count: int) -> float:
        """In one row; one alone is no larger than one of two."""
        count = max(2, count)
        return (width - (count - 1) * _GAP_PX * self.scale()) / count

    def draw(self, paper: Paper) -> None:
        k, wide = paper.px, self._wide(self.width(), len(self.recordings()))
        high, ratio = wide * 9 / 16, paper.painter.device().devicePixelRatioF()
        for n, one in enumerate(self.recordings()):
            x, y = n * (wide + k(_GAP_PX)), 0.0
            player = self._players.get(one.path)
            paper.fill(x, y, wide, high, "panel")
            if player is None:
                continue
            player.fit(int(wide * ratio), int(high * ratio))
            if player.image is not None:
                shown = player.image.size() / ratio
                left, top = x + (wide - shown.width()) / 2, y + (high - shown.height()) / 2
                box = QRectF(left, top, shown.width(), shown.height())
                paper.painter.drawImage(box, player.image)
            if player.trouble:
                paper.wrapped(x + k(12), y + k(28), player.trouble, wide - k(24), "tiny", "missed", 3)
            drift = "" if one.drift_error_ppm is None else f" · clock {one.drift_ppm:+.0f} ppm, put right"
            name = Path(one.path).stem
            used = paper.text(x, y + high + k(18), name, "tiny", "text", room=wide)
            paper.text(x + used, y + high + k(18), drift, "tiny", "quiet", room=wide - used)
