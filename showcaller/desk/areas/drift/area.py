"""The drift area: what happened in a run, and what can be done about it; ``perform`` does it by name."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from showcaller.archive import TourError
from showcaller.desk.actions import ACTIONS
from showcaller.desk.areas.drift import acts
from showcaller.desk.areas.drift.drawing import (
    OFFERS,
    Spots,
    draw_fall,
    draw_offers,
    draw_tabs,
    draw_trend,
)
from showcaller.desk.areas.drift.lists import NONE, PAGES
from showcaller.desk.areas.drift.record import DriftRecord
from showcaller.desk.areas.drift.record_list import RecordList
from showcaller.desk.areas.drift.screen import draw_screen
from showcaller.desk.context import DeskContext
from showcaller.desk.document_store import DocumentStore
from showcaller.desk.keys import buttons_of
from showcaller.desk.paint.paper import Paper
from showcaller.desk.qt import QMouseEvent, QRectF, Qt
from showcaller.editing import ChangeError
from showcaller.review import ReviewError
from showcaller.review.aligning import Alignment, by_tap
from showcaller.review.exports import FORMATS, ExportStopped
from showcaller.review.learned import Offer
from showcaller.screen.errors import ClipError

EXPECTED = (TourError, ReviewError, ClipError, ChangeError, ExportStopped, OSError, ValueError)
"""What may go wrong and is one sentence."""


_ROWS = {"row_before": -1, "row_after": 1, "rows_back": -10, "rows_on": 10}


class DriftArea(DriftRecord):
    """What happened, and what can be done about it: keys, questions, drawing."""

    def __init__(self, store: DocumentStore, around: DeskContext) -> None:
        super().__init__(store, around.keys)
        self._around = around
        self._spots = Spots()
        self._listening = False
        self.list = RecordList(self)
        self.list.chose.connect(self.choose)
        self.list.asked.connect(lambda: around.menu("row"))
        self.writing.told.connect(self._told)

    # What can be asked for

    def leave(self) -> bool:
        """Stop listening, or writing a report."""
        if self._listening:
            self._listening = False
            return True
        if self.exporting is None:
            return False
        self.exporting.stop()
        return True

    def perform(self, name: str) -> None:
        """One of the area's actions."""
        second = self._second()
        acts: dict[str, Callable[[], object]] = {
            **{run: partial(self.choose_run, by) for run, by in (("run_before", -1), ("run_after", 1))},
            **{row: partial(self._walk, by) for row, by in _ROWS.items()},
            "first": lambda: self.choose(0), "last": lambda: self.choose(len(self.rows()) - 1),
            "list": lambda: self.turn(1), "list_back": lambda: self.turn(-1),
            "frame_back": lambda: self._step(-1), "frame_on": lambda: self._step(1),
            "second_back": lambda: self._step(-second), "second_on": lambda: self._step(second),
            "play": self.play, "recording": self.ask_recording, "tap": self.tap, "align": self.ask_align,
            "note": self.ask_note, "mark": self.ask_day, "export": self.ask_export,
            "undo": lambda: self._back(self.store.undo(), "undone: {}", "nothing to undo"),
            "redo": lambda: self._back(self.store.redo(), "made again: {}", "nothing to make again"),
            **{f"take{n + 1}": partial(self.take_in, n) for n in range(OFFERS)},
        }  # fmt: skip
        acts[name]()

    def _walk(self, by: int) -> None:
        self.choose(self.chosen + by)

    def _back(self, words: str | None, done: str, nothing: str) -> None:
        self.say(nothing if words is None else done.format(words))

    def mousePressEvent(self, event: QMouseEvent) -> None:
        spot = self._spots.at(event.position())
        if spot is None or event.button() != Qt.MouseButton.LeftButton:
            return
        what, which = spot
        if what == "page":
            self.turn(which - PAGES.index(self.page))
        elif what == "offer":
            self.take_in(which)
        elif what == "screen":
            self.play()
        elif what == "foot":
            self.perform(buttons_of("Drift")[which].rpartition(".")[2])

    def ask_recording(self) -> None:
        """Point at the video of this run."""
        self._about("The video of this run", self._point_at, "a file; its timecode, if it has one, aligns it")

    def _point_at(self, text: str) -> str | None:
        view, tour = self._need()
        path = Path(text).expanduser()
        path = path if path.is_absolute() else self.folder / path
        found, how = acts.first_alignment(view, path)
        acts.remember(tour, view.run, path, found, how)
        self.say(found.words)
        self._again()
        return None

    def tap(self) -> None:
        """The frame that is shown is the chosen line."""
        t_ns = self.moment_ns()
        if self.view is None or self._tour is None or self.player.image is None or t_ns is None:
            self.say(
                f"point at a recording with {self.keys['drift.recording']}, find the frame with "
                f"{self.keys['drift.frame_back']} and {self.keys['drift.frame_on']}, choose its line"
            )
            return
        self._aligned(by_tap(t_ns, self.player.at_s), "tap")

    def ask_align(self) -> None:
        """By timecode or by sound."""
        self._about(
            "Align the recording by",
            self._align,
            "timecode: the file's own, or that on its sound; sound: a song's",
        )

    def _align(self, text: str) -> str | None:
        view, _ = self._need()
        word = text.strip().lower()
        if not self.player.path:
            return f"point at a recording with {self.keys['drift.recording']} first"
        path, facts = Path(self.player.path), self.player.facts
        if word not in ("timecode", "sound"):
            return "type timecode or sound"
        how: Any = word

        def work() -> Alignment:
            if word == "sound":
                return acts.align_by_sound(view, path, self.store.folder, self._heard)
            code = None if facts is None else facts.timecode
            return acts.align_by_timecode(view, path, code, facts is None or facts.has_sound)

        self.say(f"aligning by {word}; Escape stops it", keep=True)
        self._listening = True
        self.writing.start(work, lambda found: self._aligned(found, how), self._not_aligned)
        return None

    def _heard(self, seconds: int, of: int) -> bool:
        """Told from the thread that listens; whether to go on."""
        self.writing.tell(("listening", seconds, of))
        return self._listening

    def _not_aligned(self, error: Exception) -> None:
        self._listening = False
        self.say(str(error))

    def _aligned(self, found: Alignment, how: Any) -> None:
        view, tour = self._need()
        self._listening = False
        try:
            acts.remember(tour, view.run, Path(self.player.path), found, how)
        except EXPECTED as error:
            self.say(str(error))
            return
        self.say(found.words)
        self._again()

    # Notes, the day, offers, reports

    def ask_note(self) -> None:
        """A note at the frame that is shown, or at the chosen line."""
        t_ns = self.playing_ns()
        t_ns = self.moment_ns() if t_ns is None else t_ns
        if self.view is None or t_ns is None:
            self.say("choose a line with a moment first")
            return

        def done(text: str) -> str | None:
            view, tour = self._need()
            self.say(acts.note(tour, view.run, t_ns, text))
            self._again()
            return None

        self._about("Note at this moment", done, "'near miss: …', 'injury: …' or 'damage: …' is an incident")

    def ask_day(self) -> None:
        """Something of the day began or ended."""
        names = ", ".join(d.name for d in self.view.report.day) if self.view is not None else ""

        def done(text: str) -> str | None:
            view, tour = self._need()
            self.say(acts.mark_day(tour, view, text))
            self._again()
            return None

        self._about("What began or ended?", done, f"doors began 18:02; without a time it is now. {names}")

    def take_in(self, n: int) -> None:
        """Take an offer into the book."""
        offers: tuple[Offer, ...] = () if self.view is None else self.view.offers
        if n >= len(offers) or not offers[n].fields:
            self.say("there is nothing to take in there")
            return
        try:
            self.say(acts.take_in(self.store, offers[n]))
        except ChangeError as error:
            self.say(str(error))

    def ask_export(self) -> None:
        """Write the report."""
        if self.exporting is not None:
            self.say("a report is being written; Escape stops it")
            return
        words = " · ".join(f"{f.name} {f.words}" for f in FORMATS.values())
        self._about("Write the report as", self._export, f"{words}. A file name may follow")

    def _export(self, text: str) -> str | None:
        view, _ = self._need()
        name, path = acts.read_export(view, self.folder, text)
        job = self.exporting = acts.Exporting(view, name, path)
        self.say(f"writing {path.name}; Escape stops it", keep=True)
        self.writing.start(
            lambda: job.run(lambda *step: self.writing.tell(step)), self._written, self._not_written
        )
        return None

    def _written(self, path: Path) -> None:
        self.exporting = None
        self.say(f"written: {path}")

    def _not_written(self, error: Exception) -> None:
        self.exporting = None
        self.say(str(error))

    def _told(self, step: tuple[str, int, int]) -> None:
        what, done, of = step
        if self.exporting is not None:
            self.say(
                f"writing {self.exporting.path.name}: {what}, {done} of {of}; Escape stops it", keep=True
            )

    def _about(self, question: str, done: Callable[[str], str | None], hint: str) -> None:
        def safely(text: str) -> str | None:
            try:
                return done(text)
            except EXPECTED as error:
                return str(error)

        if self.view is None:
            self.say(self.words)
        else:
            self._around.ask(question, safely, hint)

    # Drawing

    def draw(self, paper: Paper) -> None:
        k = paper.px
        self._spots = Spots()
        view = self.view
        if view is None:
            self.list.hide()
            words = "Reading the tour." if self.reading.busy and not self.runs else self.words
            paper.text(k(28), k(60), words, "body", "quiet", room=paper.width - k(60))
            self._foot(paper)
            return
        left, right, foot = k(28), paper.width - k(28), paper.height - k(46)
        split = paper.width * 0.615
        middle = split + k(38)
        used = paper.text(left, k(46), view.title, "title", "strong", "semibold", room=split * 0.6)
        if view.hurt:
            paper.text(left + used + k(26), k(46), "◆", "small", "missed")
        tone = "missed" if view.hurt else "quiet"
        at = left + used + k(50 if view.hurt else 26)
        paper.text(at, k(46), view.incidents, "small", tone, room=split - at)
        paper.text(left, k(80), view.sentence, "body", "text", room=split - left)
        paper.text(left, k(108), view.facts, "tiny", "quiet", room=split - left)
        draw_fall(paper, view, left, split, k(146), paper.height * 0.43)
        name = dict(view.items).get(self.item, "")
        draw_trend(
            paper, view.trends.get(self.item), name, left, split, paper.height * 0.49, paper.height * 0.77
        )
        locked = "the book is read only" if self.store.read_only is not None else ""
        draw_offers(paper, view, left, split, paper.height * 0.81, foot, self._spots, locked, self.keys)
        if len(self.runs) > 1:
            ways = f"{self.keys['drift.run_before']}, {self.keys['drift.run_after']}"
            words = f"run {self._at + 1} of {len(self.runs)} in this tour · {ways}"
            paper.text(right, k(46), words, "tiny", "quiet", align="right")
        top = k(76)
        list_top = draw_screen(paper, self, middle, right, top)
        draw_tabs(paper, self.page, middle, right, list_top + k(24), self._spots)
        box = QRectF(middle - k(10), list_top + k(40), right - middle + k(20), foot - list_top - k(40))
        self.list.place(box, k(1), self.page, self.rows(), self.chosen)
        if not self.rows():
            words = NONE.get(self.page, "Nothing.")
            paper.text(middle, list_top + k(62), words, "small", "quiet", room=right - middle)
        self._foot(paper)

    def spot(self, x: float, y: float, w: float, h: float, what: str) -> None:
        """Make a part of the area clickable."""
        self._spots.add(x, y, w, h, what, 0)

    def _foot(self, paper: Paper) -> None:
        k = paper.px
        y = paper.height - k(14)
        if self.said:
            paper.text(k(28), y, self.said, "small", "caution", room=paper.width - k(56))
            return
        x = k(28)
        for n, name in enumerate(buttons_of("Drift")):
            key, word = self.keys[name], ACTIONS[name].word
            used = paper.text(x, y, key, "tiny", "text", "medium")
            used += paper.text(x + used + k(8), y, word, "tiny", "quiet") + k(8)
            self._spots.add(x - k(6), y - k(20), used + k(12), k(28), "foot", n)
            x += used + k(30)
