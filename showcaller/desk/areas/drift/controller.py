"""Drift's controller: what a key, a button, a menu or the mouse asks for is chosen, done or asked about."""

from collections.abc import Callable
from functools import partial
from typing import get_args

from showcaller.archive.values import Verdict
from showcaller.desk.areas.drift import acts
from showcaller.desk.areas.drift.aligning import Aligning
from showcaller.desk.areas.drift.deciding import Deciding
from showcaller.desk.areas.drift.lists import DECIDE, PAGES
from showcaller.desk.areas.drift.noting import Noting
from showcaller.desk.areas.drift.offers import OFFERS
from showcaller.desk.areas.drift.questions import EXPECTED, Questions
from showcaller.desk.areas.drift.recording import RecordingPlayer
from showcaller.desk.areas.drift.reporting import Reporting
from showcaller.desk.areas.drift.state import DriftState
from showcaller.desk.areas.drift.taking_back import TakingBack
from showcaller.desk.areas.drift.tape_state import TapeState
from showcaller.desk.areas.drift.voices import Voices
from showcaller.desk.background import Background
from showcaller.desk.context import DeskContext
from showcaller.desk.qt import QObject
from showcaller.desk.said import FootWords
from showcaller.editing import ChangeError


class DriftController:
    """``perform`` does an action of the table by its id without the area; ``owner`` owns the thread."""

    def __init__(
        self,
        state: DriftState,
        said: FootWords,
        recording: RecordingPlayer,
        around: DeskContext,
        owner: QObject,
    ) -> None:
        self._state = state
        self._said = said
        self._recording = recording
        self._keys = around.keys
        self._work = Background("reports", owner, nice=True)
        questions = Questions(state, said, around.ask)
        self.aligning = Aligning(state, said, questions, recording, self._work, around.keys)
        self.noting = Noting(state, said, questions, recording)
        self.reporting = Reporting(state, said, questions, self._work, owner)
        self.taking_back = TakingBack(state)
        self.voices = Voices(state, said, questions, self._work, self.taking_back)
        self.deciding = Deciding(
            state, said, questions, around.keys, self._moment_ns, self.voices.answer, self.taking_back
        )
        self.tape: TapeState | None = None
        """What the tape shows, once there is one."""
        self._acts = self._table()
        state.refused.connect(said.say)

    def _table(self) -> dict[str, Callable[[], object]]:
        state, recording, store = self._state, self._recording, self._state.store
        return {
            "run_before": partial(state.choose_run, -1),
            "run_after": partial(state.choose_run, 1),
            "row_before": partial(self._walk, -1),
            "row_after": partial(self._walk, 1),
            "rows_back": partial(self._walk, -10),
            "rows_on": partial(self._walk, 10),
            "first": partial(state.choose, 0),
            "last": lambda: state.choose(len(state.rows()) - 1),
            "list": partial(state.turn, 1),
            "list_back": partial(state.turn, -1),
            "frame_back": partial(recording.step, -1),
            "frame_on": partial(recording.step, 1),
            "second_back": lambda: recording.step(-recording.second),
            "second_on": lambda: recording.step(recording.second),
            "play": self.play,
            "recording": self.aligning.ask_recording,
            "tap": self.aligning.tap,
            "align": self.aligning.ask_align,
            "note": self.noting.ask_note,
            "stood": self.noting.ask_stood,
            "mark": self.noting.ask_day,
            **{v: partial(self.deciding.judge, v) for v in get_args(Verdict)},
            "said": self.voices.ask,
            "decide": partial(self.turn_to, PAGES.index(DECIDE)),
            "instead": self.deciding.ask_instead,
            "apply": self.deciding.apply,
            "assign": self.deciding.assign,
            "settle": self.deciding.settle,
            "count": self.noting.count,
            "export": self.reporting.ask_export,
            "undo": partial(self._try, self._undo),
            "redo": partial(self._try, lambda: self._back(store.redo(), "redone: {}", "nothing to redo")),
            **{f"take{n + 1}": partial(self.take_in, n) for n in range(OFFERS)},
        }

    def perform(self, name: str) -> None:
        """One of the area's actions."""
        self._acts[name]()

    def leave(self) -> bool:
        """Stop listening, or writing a report; False if there is neither."""
        return self.aligning.stop() or self.reporting.stop() or self.voices.stop()

    def close(self) -> None:
        """Stop what is being written."""
        self.reporting.close()
        self.voices.stop()
        self._work.close()

    def _moment_ns(self) -> int | None:
        """What is looked at: what the tape shows where it stands, else the frame, else the chosen line."""
        if self.tape is not None and self.tape.shown:
            return self.tape.moment_ns()
        playing = self._recording.playing_ns()
        return self._state.moment_ns() if playing is None else playing

    def play(self) -> None:
        """Play the recording from here, or pause."""
        if not self._recording.play():
            self._said.say(f"no recording to play; {self._keys['drift.recording']} chooses one")
        elif self._recording.player.playing and self._recording.sound.trouble:
            self._said.say(self._recording.sound.trouble)

    def turn_to(self, page: int) -> None:
        """Another list, by its place."""
        state = self._state
        state.turn(page - PAGES.index(state.page))
        if state.page == DECIDE and state.view is not None:  # what is to be decided is looked at
            found = state.decisions.of(state.view, state.store.document)
            opened = (n for n, d in enumerate(found) if not d.settled and n >= state.chosen)
            state.choose(next(opened, state.chosen))

    def take_in(self, n: int) -> None:
        """Take an offer into the book."""
        offers = self._state.offers.of(self._state.view, self._state.store.document)
        if n >= len(offers) or not offers[n].fields:
            self._said.say("there is no offer with that number; the offers at the right have theirs")
            return
        try:
            self._said.say(acts.take_in(self._state.store, offers[n]))
            self._state.changed.emit()
        except ChangeError as error:
            self._said.say(str(error))

    def _walk(self, by: int) -> None:
        self._state.choose(self._state.chosen + by)

    def _try(self, do: Callable[[], None]) -> None:
        """A change of the show that is on may not be taken back any more: one sentence."""
        try:
            do()
        except EXPECTED as error:
            self._said.say(str(error))

    def _undo(self) -> None:
        """Take back what was done last, to the record or to the book."""
        record = self.taking_back
        if not record.is_last():
            self._back(self._state.store.undo(), "undone: {}", "nothing to undo")
        elif words := record.undo():
            self._said.say(f"undone: {words}")

    def _back(self, words: str | None, done: str, nothing: str) -> None:
        self._said.say(nothing if words is None else done.format(words))
