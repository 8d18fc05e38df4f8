"""What the desk has open: the show, its tour, and the run if one is on. No Qt.

Everything here is written by the window's thread alone; other threads hand over immutable values by queues.
"""

import time
from collections.abc import Callable
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING

from showcaller.archive import TourAway, TourError
from showcaller.archive.later import AnyTour
from showcaller.calling.preview import preview_book
from showcaller.desk import status_words
from showcaller.desk.journals import mark_for
from showcaller.desk.keys import Keys
from showcaller.desk.outlook import Outlook, planned_start_ns
from showcaller.desk.preparing import QUIET_S, Preparation
from showcaller.desk.this_desk import ThisDesk
from showcaller.desk.tour_facts import EditionNow, TourFacts, number_of, read_facts
from showcaller.desk.tour_sync import TourSync
from showcaller.desk.unfinished import Unfinished
from showcaller.engine.launch import LaunchError, engine_lives, new_run_folder
from showcaller.engine.protocol import NoEngine
from showcaller.model import Show, show_text
from showcaller.model.document import text_digest
from showcaller.run import commands as c
from showcaller.run.runbook import RunBook
from showcaller.timing.plan import compile_plan

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour
    from showcaller.calling.session import RunSession
    from showcaller.calling.simulated import SimulatedCrew

AT_ONCE = 1500
"""A show of up to so many cues is worked out before the window opens, a larger one while it stands."""


class RunController:
    """Opens, takes up and ends runs. Sentences returned say why something could not be done."""

    keeps = True
    """Whether this controller takes journals in and hears of other desks."""

    def __init__(self, show: Show, tour: AnyTour, runs: Path) -> None:
        self.show = show
        self._tour = tour
        self.runs = runs
        self.keys = Keys()
        self.me = ThisDesk()
        self.session: RunSession | None = None
        self.trouble: str | None = None
        self.editions = EditionNow()
        self.unfinished = Unfinished(runs)
        self.preparation = Preparation()
        self.outlook = Outlook(lambda: self.book, lambda: self.show)
        self._crew: SimulatedCrew | None = None
        self._preview = preview_book(show if _cues(show) <= AT_ONCE else _first_item(show))
        self._ended_at: float | None = None
        self._asked: int | None = None
        self._facts: SimpleQueue[TourFacts] = SimpleQueue()
        at_once = _cues(show) <= AT_ONCE or not self.keeps
        self.outlook.whole = _cues(show) <= AT_ONCE
        self._keeper_s = None if at_once else time.monotonic() + QUIET_S
        self.keeper: TourSync | None = None
        # The sync's thread reads this list and nothing else of the controller.
        self._keep = keep = [True]
        read = _reader(show, keep, self._facts.put)
        if at_once:
            try:
                read(tour.opened())
                self._take_news()
            except TourAway:
                self.trouble = None  # the keeper says so
            except TourError as error:
                self.trouble = str(error)
        else:
            # The window comes first; then this, and the sync reads the tour on its own thread.
            self.preparation.want(show)
        self.keeper = TourSync(tour, runs, read) if self.keeps else None
        if self.keeper is not None and at_once:
            self.keeper.start()

    def take_show(self, show: Show) -> None:
        """The show was changed: what is shown of it follows as soon as it is worked out."""
        self.show = show
        self.editions.edited = True
        self._keep[0] = False
        self.preparation.want(show)

    @property
    def tour(self) -> "Tour":
        """The tour, opened now if it was not yet."""
        return self._tour.opened()

    @property
    def book(self) -> RunBook:
        """The run's book, or the plan's while no run is open."""
        return self.session.book if self.session is not None else self._preview

    def now_ns(self) -> int:
        """The run's clock; 0 while no run is open."""
        return self.session.now_ns() if self.session is not None else 0

    def wall_ns(self) -> int:
        """Time of day."""
        return self.session.wall_ns() if self.session is not None else time.time_ns()

    def open(self, caller: str, muted: bool, speed: float = 1.0, crew: int | None = None) -> str | None:
        """Open a new run; ``crew`` is the seed of a simulated crew to rehearse with."""
        # Both are loaded once the window stands.
        from showcaller.calling.session import open_session  # noqa: PLC0415
        from showcaller.calling.simulated import SimulatedCrew  # noqa: PLC0415

        self.me.is_of_this_machine()
        problems = compile_plan(self.show).problems
        if problems:
            return f"the show cannot be opened: {problems[0].plain}"
        text = show_text(self.show)
        # A rehearsal at another speed begins at the planned hour: its times of day mean something.
        start_ns = None if speed == 1 else planned_start_ns(self.show, time.time_ns())
        try:
            folder = new_run_folder(self.runs, text)
            mark_for(folder, self._tour.where)
            self.session = open_session(folder, speed, start_ns, self.me.id, self.me.name)
        except (LaunchError, NoEngine) as error:
            return str(error)
        self._crew = None if crew is None else SimulatedCrew(crew)
        self.session.send(c.Start(caller=caller, muted=muted, digest=text_digest(text), desk=self.me.id))
        return None

    def take_up(self, folder: Path) -> str | None:
        """Take up a run that was not ended. The calls of a desk that is gone come with it."""
        from showcaller.calling.session import open_session  # noqa: PLC0415 - loaded once the window stands
        from showcaller.joining.starting import ask_others  # noqa: PLC0415

        if not engine_lives(folder):
            ask_others(self.runs)
        self.me.is_of_this_machine()
        try:
            self.session = open_session(folder, desk=self.me.id, name=self.me.name)
        except (LaunchError, NoEngine) as error:
            return str(error)
        self._crew = None
        if self.me.claims:
            self.session.claim()
        return None

    def end(self) -> None:
        """End the run; it goes into the tour once the engine has closed its journal."""
        if self.session is not None:
            self.session.send(c.End(why="ended at the desk"))

    def poll(self) -> bool:
        """Take in what has come. True when the tour has something new, from here or from elsewhere."""
        self._take_news()
        news = bool(self.keeper.news()) if self.keeper is not None else False
        return self._poll_run() or news

    def _take_news(self) -> None:
        """What was worked out and what was read of the tour."""
        if self._keeper_s is not None and time.monotonic() >= self._keeper_s and self.keeper is not None:
            self._keeper_s = None
            self.keeper.start()
            return  # a thread that begins is waited for: one a frame
        try:
            while True:
                self.outlook.facts = self._facts.get_nowait()
                self.editions.learn(self.outlook.facts)
        except Empty:
            pass
        prepared = self.preparation.poll()
        if prepared is None:
            return
        if prepared.book is None:
            self.trouble = prepared.wrong
            return
        self.outlook.whole = True
        if self.session is None:
            self._preview = prepared.book
        self.editions.is_now(prepared.digest)

    def _poll_run(self) -> bool:
        if self.session is None:
            return False
        self.session.poll()
        # A simulated yes must never count in a run whose messages leave.
        if self._crew is not None and self.session.book.state.all_muted:
            for act in self._crew.acts(self.session.book, self.session.now_ns()):
                self.session.send(act)
        self.trouble = status_words.run_trouble(
            self.session.trouble, self.session.book, self.now_ns(), self.keys
        )
        return self.session.book.state.phase == "ended" and self._take_in()

    def _take_in(self) -> bool:
        now = time.monotonic()
        self._ended_at = self._ended_at or now
        assert self.session is not None
        if now - self._ended_at < 0.5 or engine_lives(self.session.folder):
            return False
        if self.keeper is not None:
            # Asked once; whether it went in or the tour is away, the journal is safe and the desk goes on.
            if self._asked is None:
                self._asked = self.keeper.ask()
            if self.keeper.answered < self._asked:
                return False
        self.session.close()
        self._preview = self.session.book
        self.session, self._ended_at, self._asked, self._crew = None, None, None, None
        self.trouble = None
        if self.editions.edited:
            self.preparation.want(self.show, 0.0)
        return True

    def run_words(self) -> str:
        """``edition 14 · show 31``."""
        edition = self.editions.words()
        if self.session is None:
            return f"{edition} · no show open"
        number, caller = number_of(self.outlook.facts, self.session.run_id), self.book.state.caller
        simulated = self._crew is not None
        speed, muted = self.session.clock.speed, self.book.state.all_muted
        return status_words.run_words(edition, number, speed, simulated, caller, muted)

    def close(self) -> None:
        """Let go of the run and the tour; an open run's engine goes on."""
        if self.session is not None:
            self.session.close()
        if self.keeper is not None and self._keeper_s is None:
            self.keeper.stop()
        self.preparation.close()
        self._tour.close()


def _reader(show: Show, keep: list[bool], put: Callable[[TourFacts], None]) -> Callable[["Tour"], None]:
    """What reads the tour, on whichever thread: it writes to the queue alone."""

    def read(tour: "Tour") -> None:
        facts = read_facts(tour, show, keep[0])
        put(facts)

    return read


def _cues(show: Show) -> int:
    return sum(len(item.cues) for item in show.items)


def _first_item(show: Show) -> Show:
    """Enough of a large show to open the window on."""
    first = next(item for item in show.items if not item.out)
    return show.model_copy(update={"items": (first,)})
