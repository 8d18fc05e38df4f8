"""The recording beside the record: it goes where a line is chosen, and a line is chosen where it is."""

from showcaller.archive import Recording
from showcaller.desk.areas.drift.player import Player
from showcaller.desk.areas.drift.scrubbing import Scrubbing
from showcaller.desk.areas.drift.state import DriftState, pass_to
from showcaller.desk.areas.drift.tape_sound import TapeSound
from showcaller.desk.qt import QObject, QTimer, Signal
from showcaller.review.aligning import first_frame_s
from showcaller.review.tape_clock import TapeClock, clock_of

PLAY_MS = 15
USUAL_RATE = 25


class RecordingPlayer(QObject):
    """``player`` decodes; ``changed`` when another frame is shown, or it plays or stops."""

    changed = Signal()

    def __init__(self, state: DriftState, parent: QObject) -> None:
        super().__init__(parent)
        self._state = state
        self.player = Player(self)
        self.sound = TapeSound()
        self.scrubbing = Scrubbing(self.player, self)
        self.scrubbing.moved.connect(self.changed)
        self.scrubbing.led.connect(self._led)
        self.player.frame_shown.connect(self._shown)
        self._ticks = QTimer(self)
        self._ticks.timeout.connect(self._tick)
        self._went_ns: int | None = None
        self.large = ""
        """The recording that is shown large, by its path; empty for the first."""
        self.leads = False
        """It was played, stepped or dragged since it was last sent anywhere: its frame is the moment."""
        self.player.opened.connect(lambda: None if self._went_ns is None else self.go_to(self._went_ns))
        state.viewed.connect(self._viewed)
        state.went.connect(self.go)

    @property
    def second(self) -> int:
        """Frames a second."""
        return round(self.player.facts.rate) if self.player.facts is not None else USUAL_RATE

    def playing_ns(self) -> int | None:
        """The moment of the frame that is shown, on the run's clock."""
        clock = self._clock()
        return None if clock is None or self.player.image is None else clock.run_ns(self.player.at_s)

    def go(self) -> None:
        """To the first frame in which the chosen line's event stands."""
        t_ns = self._state.moment_ns()
        if t_ns is not None:
            self.go_to(t_ns)

    def go_to(self, t_ns: int) -> None:
        """To the first frame at or after an instant of the run's clock."""
        clock = self._clock()
        if clock is None:
            return
        self._ticks.stop()
        self.player.pause()
        self.leads = False
        facts = self.player.facts
        self._went_ns = t_ns if facts is None else None  # its rate is not known yet: once more, when it is
        at_s = clock.file_s(t_ns)
        self.player.seek(at_s if facts is None else first_frame_s(at_s, facts.rate))

    def play(self) -> bool:
        """Play from here, or pause; False if there is nothing to play."""
        if self.player.playing:
            self.player.pause()
            self._ticks.stop()
        elif self.player.image is not None:
            self.player.play()
            self.leads = True
            self.sound.play(self.player.path, self.player.clock)
            self._ticks.start(PLAY_MS)
        else:
            return False
        self.changed.emit()
        return True

    def step(self, frames: int) -> None:
        """So many frames on."""
        self._ticks.stop()
        self.leads = True
        self.player.step(frames)

    def _led(self) -> None:
        self.leads = True

    def close(self) -> None:
        """Let go of the file."""
        self._ticks.stop()
        self.sound.stop()
        self.scrubbing.close()
        self.player.close()

    def show_large(self, path: str, t_ns: int | None) -> None:
        """Show another of the run's recordings large, at a moment of the run's clock."""
        self.large = path
        self._viewed(same=True)
        if t_ns is not None:
            self.go_to(t_ns)
        self.changed.emit()

    def recording(self) -> Recording | None:
        """The one that is shown large."""
        found = () if self._state.view is None else self._state.view.report.recordings
        first = found[0] if found else None
        return next((r for r in found if r.path == self.large), first)

    def _clock(self) -> TapeClock | None:
        recording = self.recording()
        return None if recording is None else clock_of(recording)

    def _viewed(self, same: bool) -> None:
        self.large = self.large if same else ""
        recording = self.recording()
        self.player.open(recording.path if recording is not None else "")
        if recording is not None and (not same or self.player.image is None):
            self.go()

    def _tick(self) -> None:
        self.player.tick()
        if not self.player.playing:
            self._ticks.stop()

    def _shown(self) -> None:
        t_ns = self.playing_ns()
        if self.leads and t_ns is not None:
            pass_to(self._state, t_ns)  # while it plays, is stepped or dragged the list goes along
        self.changed.emit()
