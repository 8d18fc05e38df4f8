"""What is written beside a run afterwards: a note at a moment, what of the day began or ended."""

from showcaller.archive import TourError
from showcaller.desk.areas.drift import acts
from showcaller.desk.areas.drift.questions import Questions
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.said import FootWords
from showcaller.review.errors import ReviewError
from showcaller.review.incidents import has_form
from showcaller.review.windows import EXAMPLES
from showcaller.run.incidents import FORM


class Noting:
    """Each asks, writes into the tour, and reads the run anew."""

    def __init__(
        self, state: DriftState, said: FootWords, questions: Questions, recording: RecordingPlayer
    ) -> None:
        self._state = state
        self._said = said
        self._questions = questions
        self._recording = recording

    def ask_note(self) -> None:
        """A note at the frame that is shown, or at the chosen line."""
        t_ns = self._recording.playing_ns()
        t_ns = self._state.moment_ns() if t_ns is None else t_ns
        if self._state.view is None or t_ns is None:
            self._said.say("choose a line with a moment first")
            return

        def done(text: str) -> str | None:
            view, tour = self._state.need()
            of_incident = any(i.t_ns == t_ns and has_form(i) for i in view.report.incidents)
            self._said.say(acts.note(tour, view.run, t_ns, text, of_incident))
            self._state.again()
            return None

        hint = "'near miss: …', 'injury: …' or 'damage: …' is an incident"
        found = self._state.view.report.incidents
        here = next((i for i in found if i.t_ns == t_ns and has_form(i)), None)
        if here is not None:
            blank = ", ".join(name.replace("_", " ") for name in FORM if not here.form.get(name))
            form = f"Its form: 'witness: …'; still blank: {blank or 'nothing'}"
            hint = f"{here.kind}: {here.words}. {form}. {hint}"
        self._questions.about("Note at this moment", done, hint)

    def count(self) -> None:
        """The run into the tour's charts, or out of them."""
        try:
            view, tour = self._state.need()
            self._said.say(acts.count(tour, view))
        except (TourError, ReviewError) as error:
            self._said.say(str(error))
            return
        self._state.again()

    def ask_stood(self) -> None:
        """What stood on the wall in a part of the run."""

        def done(text: str) -> str | None:
            self._state.ask_stood(text)
            self._said.say(f"what stood on the wall in {self._state.stood.words}")
            return None

        self._questions.about("What stood on the wall?", done, f"{EXAMPLES}; nothing: the whole show")

    def ask_day(self) -> None:
        """Something of the day began or ended."""
        names = ", ".join(d.name for d in self._state.view.report.day) if self._state.view is not None else ""

        def done(text: str) -> str | None:
            view, tour = self._state.need()
            self._said.say(acts.mark_day(tour, view, text))
            self._state.again()
            return None

        self._questions.about(
            "What began or ended?", done, f"doors began 18:02; without a time it is now. {names}"
        )
