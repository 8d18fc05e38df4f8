"""Reports of a run: asked for, written beside the window, stopped by Escape."""

from pathlib import Path

from showcaller.desk.areas.drift import acts
from showcaller.desk.areas.drift.questions import Questions
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.background import Background
from showcaller.desk.said import FootWords
from showcaller.review.exports import FORMATS


class Reporting:
    """``exporting`` is the report that is being written, on ``work``."""

    def __init__(self, state: DriftState, said: FootWords, questions: Questions, work: Background) -> None:
        self._state = state
        self._said = said
        self._questions = questions
        self._work = work
        self.exporting: acts.Exporting | None = None
        work.told.connect(self._told)

    def stop(self) -> bool:
        """Stop writing; False if nothing is being written."""
        if self.exporting is None:
            return False
        self.exporting.stop()
        return True

    def ask_export(self) -> None:
        """Write the report."""
        if self.exporting is not None:
            self._said.say("a report is being written; Escape stops it")
            return
        words = " · ".join(f"{f.name} {f.words}" for f in FORMATS.values())
        self._questions.about("Write the report as", self._export, f"{words}. A file name may follow")

    def _export(self, text: str) -> str | None:
        view, _ = self._state.need()
        name, path = acts.read_export(view, self._state.folder, text)
        job = self.exporting = acts.Exporting(view, name, path)
        self._said.say(f"writing {path.name}; Escape stops it", keep=True)
        self._work.start(
            lambda: job.run(lambda *step: self._work.tell(step)), self._written, self._not_written
        )
        return None

    def _written(self, path: Path) -> None:
        self.exporting = None
        self._said.say(f"written: {path}")

    def _not_written(self, error: Exception) -> None:
        self.exporting = None
        self._said.say(str(error))

    def _told(self, step: tuple[str, int, int]) -> None:
        what, done, of = step
        if self.exporting is not None:
            self._said.say(
                f"writing {self.exporting.path.name}: {what}, {done} of {of}; Escape stops it", keep=True
            )
