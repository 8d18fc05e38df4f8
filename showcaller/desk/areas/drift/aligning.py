"""Pointing at a run's recording, and where the run lies in it: by a tap, by timecode, by a song's sound."""

from pathlib import Path

from showcaller.archive.values import AlignedHow
from showcaller.desk.areas.drift import acts
from showcaller.desk.areas.drift.questions import EXPECTED, Questions
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.background import Background
from showcaller.desk.keys import Keys
from showcaller.desk.said import FootWords
from showcaller.review.aligning import Alignment, by_tap
from showcaller.review.tapes import by_songs, by_the_best

_BY = {"timecode": "timecode", "sound": "the songs' sound", "other": "another recording's sound"}


class Aligning:
    """Listening goes on beside the window, on ``work``; Escape stops it."""

    def __init__(
        self,
        state: DriftState,
        said: FootWords,
        questions: Questions,
        recording: RecordingPlayer,
        work: Background,
        keys: Keys,
    ) -> None:
        self._state = state
        self._said = said
        self._questions = questions
        self._recording = recording
        self._work = work
        self._keys = keys
        self._listening = False

    def stop(self) -> bool:
        """Stop listening; False if nothing is listened to."""
        listening, self._listening = self._listening, False
        return listening

    def ask_recording(self) -> None:
        """Point at the video of this run."""
        self._questions.about(
            "The video of this show", self._point_at, "a file; its timecode, if it has one, aligns it"
        )

    def _point_at(self, text: str) -> str | None:
        view, tour = self._state.need()
        path = Path(text).expanduser()
        path = path if path.is_absolute() else self._state.folder / path
        found, how = acts.first_alignment(view, path)
        acts.remember(tour, view.run, path, found, how)
        self._recording.large = ""  # it is the first now: what was clicked on before is not what is aligned
        self._said.say(found.words)
        self._state.again()
        return None

    def tap(self) -> None:
        """The frame that is shown is the chosen line."""
        t_ns = self._state.moment_ns()
        if (
            self._state.view is None
            or self._state.tour is None
            or self._recording.player.image is None
            or t_ns is None
        ):
            self._said.say(
                f"choose a recording with {self._keys['drift.recording']}, find the frame with "
                f"{self._keys['drift.frame_back']} and {self._keys['drift.frame_on']}, choose its line"
            )
            return
        self._aligned(by_tap(t_ns, self._recording.player.at_s), "tap")

    def ask_align(self) -> None:
        """By timecode or by sound."""
        self._questions.about(
            "Align the recording by",
            self._align,
            "timecode: the file's own, or that on its sound; sound: the songs'; other: another recording's",
        )

    def _align(self, text: str) -> str | None:
        view, _ = self._state.need()
        word = text.strip().lower()
        if not self._recording.player.path:
            return f"choose a recording with {self._keys['drift.recording']} first"
        path, facts = Path(self._recording.player.path), self._recording.player.facts
        if word not in ("timecode", "sound", "other"):
            return "type timecode, sound or other"
        how: AlignedHow = "timecode" if word == "timecode" else "sound"

        def work() -> Alignment:
            if word == "sound":
                return by_songs(view.report, path, self._state.store.folder, self._heard)
            if word == "other":
                return by_the_best(path, view.report.recordings, self._heard)
            code = None if facts is None else facts.timecode
            return acts.align_by_timecode(view, path, code, facts is None or facts.has_sound)

        self._said.say(f"aligning by {_BY[word]}; Escape stops it", keep=True)
        self._listening = True
        self._work.start(work, lambda found: self._aligned(found, how), self._not_aligned)
        return None

    def _heard(self, seconds: float, of: float) -> bool:
        """Told from the thread that listens; whether to go on."""
        self._work.tell(("listening", seconds, of))
        return self._listening

    def _not_aligned(self, error: Exception) -> None:
        self._listening = False
        self._said.say(str(error))

    def _aligned(self, found: Alignment, how: AlignedHow) -> None:
        view, tour = self._state.need()
        self._listening = False
        try:
            acts.remember(tour, view.run, Path(self._recording.player.path), found, how)
        except EXPECTED as error:
            self._said.say(str(error))
            return
        self._said.say(found.words)
        self._state.again()
