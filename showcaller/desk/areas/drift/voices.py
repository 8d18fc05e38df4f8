"""The headset track: listened to beside the window; what was found is kept with the run, doubts are asked."""

from collections.abc import Sequence
from datetime import datetime
from functools import partial
from pathlib import Path

from showcaller.archive import Run
from showcaller.archive.tour import Tour
from showcaller.desk.areas.drift.driftview import DriftView
from showcaller.desk.areas.drift.questions import EXPECTED, Questions
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.areas.drift.taking_back import TakingBack
from showcaller.desk.background import Background
from showcaller.desk.person import person_here
from showcaller.desk.said import FootWords
from showcaller.hearing.listening import LineExpected, LineFound, listen
from showcaller.outside import Stopped
from showcaller.review.errors import ReviewError
from showcaller.review.tape_clock import TapeClock, clock_of
from showcaller.review.timeline import NS
from showcaller.review.voice import LineHeard, heard_in, heard_text, show_lines

_DAY_NS = 24 * 3600 * NS


class Voices:
    """``ask`` asks for the track; Escape stops the listening. Nothing of the sound is kept."""

    def __init__(
        self,
        state: DriftState,
        said: FootWords,
        questions: Questions,
        work: Background,
        taking_back: TakingBack,
    ) -> None:
        self._state, self._said, self._questions, self._work = state, said, questions, work
        self._taking_back = taking_back
        self._listening = False
        work.told.connect(self._told)

    def ask(self) -> None:
        """The headset track of this run."""
        self._questions.about(
            "The headset track", self._listen,
            "a WAV, FLAC or video, then when it begins: track.wav 19:58:03; nothing: the recording's sound",
        )  # fmt: skip

    def stop(self) -> bool:
        """Stop listening; False if nothing is listened to."""
        was, self._listening = self._listening, False
        return was

    def _listen(self, text: str) -> str | None:
        if self._listening:
            return "a track is being listened to; Escape stops it"
        view, tour = self._state.need()
        speaking = view.report.plan.show.speaking
        if speaking.wording.language != "english":
            return f"only English can be heard; this show is called in {speaking.wording.language.title()}"
        path, clock = track(view, self._state.folder, text)
        lines = show_lines(view.report.plan, view.path, view.report.records)
        expected = [LineExpected(x.id, x.text, float(clock.file_s(x.t_ns))) for x in lines]
        departments = [d.spoken for d in view.report.plan.show.departments]
        self._listening = True
        self._said.say("listening to the headset track; Escape stops it", keep=True)

        def work() -> tuple[LineFound, ...]:
            tell, go_on = self._work.tell, lambda: self._listening
            return listen(
                path, expected, departments, lambda *step: tell(("heard", *step)), lambda: not go_on()
            )

        self._work.start(work, lambda found: self._found(tour, view.run, found, clock, len(lines)), self._not)
        return None

    def _told(self, step: object) -> None:
        if self._listening and isinstance(step, tuple) and step[0] == "heard":
            _, what, done, of = step
            self._said.say(f"{what} {100 * done // max(1, of)} %; Escape stops it", keep=True)

    def _found(
        self, tour: Tour, run: Run, found: tuple[LineFound, ...], clock: TapeClock, lines: int
    ) -> None:
        self._listening = False
        heard = [
            LineHeard(f.id, clock.run_ns(f.begins_s), clock.run_ns(f.ends_s), f.confidence) for f in found
        ]
        before = () if self._state.view is None else heard_in(self._state.view.report.remarks)
        if self._keep(tour, run, heard):
            self._taking_back.remember("what was heard", partial(self._keep, tour, run, before))
            self._said.say(f"{len(heard)} of {lines} lines were heard; doubtful ones are asked about")

    def _not(self, error: Exception) -> None:
        self._listening = False
        self._said.say("stopped; nothing was changed" if isinstance(error, Stopped) else str(error))

    def answer(self, line: str, yes: bool) -> None:
        """A person says whether a doubtful line was said."""
        view, tour = self._state.need()
        before = heard_in(view.report.remarks)
        heard = [
            LineHeard(h.line, h.begins_ns, h.ends_ns, 1.0 if yes else 0.0) if h.line == line else h
            for h in before
        ]
        if self._keep(tour, view.run, heard):
            answer = "it was said" if yes else "it was not said"
            self._taking_back.remember(answer, partial(self._keep, tour, view.run, before))

    def _keep(self, tour: Tour, run: Run, heard: Sequence[LineHeard]) -> bool:
        kept = keep(self._said, tour, run, heard)
        if kept:
            self._state.again()
        return kept


def keep(said: FootWords, tour: Tour, run: Run, heard: Sequence[LineHeard]) -> bool:
    """Keep what was heard with the run; False if it cannot be, which is said."""
    try:
        tour.add_remark(run, 0, heard_text(heard), kind="heard", by=person_here())
    except EXPECTED as error:
        said.say(str(error))
        return False
    return True


def track(view: DriftView, folder: Path, text: str) -> tuple[Path, TapeClock]:
    """(the file, its clock) of ``track.wav 19:58:03``.

    Raises:
        ReviewError: it does not say where the file begins.
    """
    recordings = view.report.recordings
    words = text.split()
    if not words:
        if not recordings:
            raise ReviewError("there is no recording yet; name the headset track, and when it begins")
        return Path(recordings[0].path), clock_of(recordings[0])
    clock = words.pop() if len(words) > 1 and ":" in words[-1] else ""
    path = Path(" ".join(words)).expanduser()
    path = path if path.is_absolute() else folder / path
    known = next((r for r in recordings if Path(r.path) == path), None)
    if clock:
        return path, TapeClock(_run_ns(view, clock))
    if known is not None:
        return path, clock_of(known)
    raise ReviewError("say when it begins, as the time of day: track.wav 19:58:03")


def _run_ns(view: DriftView, text: str) -> int:
    try:
        at = datetime.fromisoformat(f"{view.report.date}T{text.zfill(5)}").replace(tzinfo=view.report.zone)
    except ValueError:
        raise ReviewError(f"'{text}' is not a time of day; write 19:58:03") from None
    begun_wall_ns, first_ns = view.report.run.started_wall_ns, view.report.records[0].t_ns
    t_ns = first_ns + round(at.timestamp() * NS) - begun_wall_ns
    return t_ns + _DAY_NS if t_ns < -_DAY_NS // 2 else t_ns
