"""Reports of a run: asked for, written beside the window, stopped by Escape.

One for a folder that is not there waits, and is put there when it is."""

from functools import partial
from pathlib import Path

from platformdirs import user_state_path

from showcaller.calling.wording import plural
from showcaller.desk.areas.drift import acts
from showcaller.desk.areas.drift.questions import Questions
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.background import Background
from showcaller.desk.qt import QObject, QTimer
from showcaller.desk.said import FootWords
from showcaller.review.exports import FORMATS
from showcaller.review.exports.outbox import Outbox
from showcaller.review.incidents import has_form

TRY_MS = 20_000
"""So often what waits is tried again."""
FORGET = "forget"


class Reporting:
    """``exporting`` is the report that is being written, on ``work``."""

    def __init__(
        self, state: DriftState, said: FootWords, questions: Questions, work: Background, owner: QObject
    ) -> None:
        self._state = state
        self._said = said
        self._questions = questions
        self._work = work
        self.exporting: acts.Exporting | None = None
        work.told.connect(self._told)
        self._outbox = Outbox(user_state_path("showcaller") / "outbox")
        # A folder on a network that is gone holds up whoever looks into it: never the window, and no report.
        self._carrier = Background("outbox", owner, nice=True)
        self._waits = 0
        self._once_more = False
        self._again = QTimer(owner)
        self._again.setInterval(TRY_MS)
        self._again.timeout.connect(self.carry)
        self._again.start()
        self.carry()

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
        waits = f". {plural(self._waits, 'report')} waiting: '{FORGET}' gives up" if self._waits else ""
        hint = f"{words}. A file name may follow{waits}{self._of_incidents()}"
        self._questions.about("Write the report as", self._export, hint)

    def _of_incidents(self) -> str:
        """That whoever gets the report reads the forms of its incidents, where the show names nobody."""
        view = self._state.view
        if (
            view is None
            or view.report.plan.show.incident_readers
            or not any(map(has_form, view.report.incidents))
        ):
            return ""
        return ". Its incident forms go to everybody: the show names nobody to read them"

    def carry(self) -> None:
        """Put what waits where it is wanted, as far as that is there now; what is asked for while somebody is
        on the way goes right after, not at the next round."""
        if self._carrier.busy:
            self._once_more = True
            return
        self._once_more = False
        self._carrier.start(self._carried, self._have_carried, self._not_carried)

    def close(self) -> None:
        """Nothing more is written or carried; what waits goes on waiting."""
        self.stop()
        self._again.stop()
        self._carrier.close(wait=False)

    def _carried(self) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
        done = self._outbox.deliver()
        return done, tuple(one.to for one in self._outbox.waiting())

    def _not_carried(self, error: Exception) -> None:
        self._said.say(str(error))
        if self._once_more:
            self.carry()

    def _have_carried(self, found: tuple[tuple[Path, ...], tuple[Path, ...]]) -> None:
        done, waits = found
        if self._once_more:
            self.carry()
        was, self._waits = self._waits, len(waits)
        if done:
            self._said.say(f"written: {', '.join(str(path) for path in done)}")
        elif len(waits) > was:
            self._said.say(
                f"{waits[-1].parent} cannot be written now: the report waits on this machine and is put "
                "there when it can be"
            )

    def _export(self, text: str) -> str | None:
        view, _ = self._state.need()
        if text.strip().lower() == FORGET and self._waits:
            self._said.say(f"{plural(self._outbox.forget(), 'report')} given up")
            self._waits = 0
            return None
        name, path = acts.read_export(view, self._state.folder, text)
        # What is for another place is written here first: that may be gone, slow or full.
        away = not path.is_relative_to(self._state.folder)
        job = self.exporting = acts.Exporting(view, name, self._outbox.room(path) if away else path)
        self._said.say(f"writing {path.name}; Escape stops it", keep=True)
        self._work.start(
            lambda: job.run(lambda *step: self._work.tell(step)),
            partial(self._written, away=away),
            self._not_written,
        )
        return None

    def _written(self, path: Path, away: bool) -> None:
        self.exporting = None
        if away:
            self.carry()
        else:
            self._said.say(f"written: {path}")

    def _not_written(self, error: Exception) -> None:
        if self.exporting is not None and self.exporting.path.parent.parent == self._outbox.folder:
            self._outbox.drop(self.exporting.path)
        self.exporting = None
        self._said.say(str(error))

    def _told(self, step: tuple[str, int, int]) -> None:
        what, done, of = step
        if self.exporting is not None:
            self._said.say(
                f"writing {self.exporting.path.name}: {what}, {done} of {of}; Escape stops it", keep=True
            )
