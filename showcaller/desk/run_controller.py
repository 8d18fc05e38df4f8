"""What the desk has open: the show, its tour, and the run if one is on. No Qt."""

import time
from concurrent.futures import Future
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from showcaller.archive import Tour, TourAway, TourError
from showcaller.calling.doubting import doubt_line
from showcaller.calling.outlook import item_durations, next_walk, show_forecast, suggested_cuts
from showcaller.calling.preview import preview_book
from showcaller.calling.session import RunSession, open_session
from showcaller.calling.simulated import SimulatedCrew
from showcaller.calling.status_view import MAKE_IT
from showcaller.calling.wording import day_time, span
from showcaller.desk.areas.call.side import Walk
from showcaller.desk.keys import Keys
from showcaller.desk.memory import settle
from showcaller.desk.tour_sync import TourSync
from showcaller.desk.tourfile import learned_lengths, unfinished_runs
from showcaller.desk.worker import Worker
from showcaller.engine.client import NoEngine
from showcaller.engine.launch import LaunchError, engine_lives, new_run_folder
from showcaller.model import Show, show_text
from showcaller.model.document import text_digest
from showcaller.review import planned_start_wall_ns
from showcaller.review.faults import FaultHistory, fault_history
from showcaller.run.interventions import walk_steps
from showcaller.run.runbook import RunBook
from showcaller.timing.forecast import Forecast
from showcaller.timing.plan import Problem, compile_plan

AT_ONCE = 1500
"""A show of up to so many cues is worked out before the window opens, a larger one while it stands."""

QUIET_S = 0.5
"""Calls are worked out anew when nothing was edited for this long."""

_LOOK_EVERY_S = 2.0
RESTARTED_FOR_S = 20
"""That the engine was restarted is shown this long."""


class RunController:
    """Opens, takes up and ends runs. Sentences returned say why something could not be done."""

    keeps = True
    """Whether this host takes journals in and hears of other desks."""

    def __init__(self, show: Show, tour: Tour, runs: Path) -> None:
        self.show = show
        self.tour = tour
        self.runs = runs
        self.keys = Keys()
        self.session: RunSession | None = None
        self.trouble: str | None = None
        self._crew: SimulatedCrew | None = None
        self._worker = Worker("preparing")
        self._preparing: Future[_Prepared] | None = None
        self._stale = False
        self._prepare_s: float | None = None
        self._preview = preview_book(show if _cues(show) <= AT_ONCE else _first_item(show))
        self._edition: int | None = None
        self._edited = False
        self._run_number = 1
        self._ended_at: float | None = None
        self._asked: int | None = None
        self._looked_s = -1e9
        self._waiting: str | None = None
        self._earlier: dict[str, tuple[str, ...]] = {}
        self._lengths: dict[str, list[float]] = {}
        self._editions: dict[str, int] = {}
        self.wall_faults = FaultHistory()
        self._opened = show
        self.durations = item_durations(self._preview.compiled.plan.show, {})
        if _cues(show) <= AT_ONCE or not self.keeps:
            try:
                self._read_tour(tour)
            except TourAway:
                self.trouble = None  # the keeper says so
            except TourError as error:
                self.trouble = str(error)
        else:
            # The window comes first; then this, and the keeper reads the tour on its own thread.
            self._prepare_s = time.monotonic() + QUIET_S
        self.keeper = TourSync(tour, runs, self._read_tour) if self.keeps else None
        self._keeper_s = self._prepare_s or 0.0
        if self.keeper is not None and not self._keeper_s:
            self.keeper.start()

    def take_show(self, show: Show) -> None:
        """The show was changed: what is shown of it follows as soon as it is worked out."""
        self.show = show
        self._edited = True
        self._prepare_s = time.monotonic() + QUIET_S

    def _prepare(self) -> None:
        """Work out the calls of the show as it is now, without holding up the window."""
        if self._preparing is not None:
            self._stale = True
            return
        self._stale = False
        self._preparing = self._worker.submit(partial(_prepared, self.show))

    def _take_prepared(self) -> None:
        if self._keeper_s and time.monotonic() >= self._keeper_s and self.keeper is not None:
            self._keeper_s = 0.0
            self.keeper.start()
        if self._prepare_s is not None and time.monotonic() >= self._prepare_s:
            self._prepare_s = None
            self._prepare()
        if self._preparing is None or not self._preparing.done():
            return
        finished, self._preparing = self._preparing, None
        if self._stale:
            self._prepare()
            return
        error = finished.exception()
        if error is not None:
            self.trouble = f"the calls could not be worked out: {error}"
            return
        done = finished.result()
        settle()
        if self.session is None:
            self._preview = done.book
            self.durations = item_durations(done.book.compiled.plan.show, self._lengths)
        same = self._editions.get(done.digest)
        self._edited = same is None
        self._edition = self._edition if same is None else same

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What keeps the show as it is now from being run."""
        return compile_plan(self.show).problems

    def _read_tour(self, tour: Tour) -> None:
        """What the desk needs of the tour; also called by the keeper, on its thread, when it has changed."""
        if self._edition is None and not self._edited:
            self._edition = tour.add_edition(self._opened).number
        self._editions = {edition.digest: edition.number for edition in tour.editions()}
        self._run_number = len(tour.runs()) + 1
        self._earlier = read_earlier(tour)
        nights = [(r.number, r.edition, [e.body for e in tour.events(r, "fault")]) for r in tour.runs()]
        self.wall_faults = fault_history(nights)
        self._lengths = learned_lengths(tour, self._opened)
        self.durations = item_durations(self.book.compiled.plan.show, self._lengths)

    def tour_words(self) -> str:
        """What to say of the tour when it cannot be reached, or is back."""
        return self.keeper.words(self.session is not None) if self.keeper is not None else ""

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

    def waiting(self) -> str | None:
        """What to say of a run that was not ended, while none is open here; looked for every two seconds."""
        if self.session is not None:
            return None
        now = time.monotonic()
        if now - self._looked_s > _LOOK_EVERY_S:
            self._looked_s = now
            folder = self.unfinished()
            self._waiting = None
            if folder is not None:
                going = "is going on" if engine_lives(folder) else "was not ended"
                self._waiting = f"A run {going}: {self.keys['open']} takes it up"
        return self._waiting

    def unfinished(self) -> Path | None:
        """The latest run folder that was not ended."""
        found = unfinished_runs(self.runs)
        return found[-1] if found else None

    def open(self, caller: str, muted: bool, speed: float = 1.0, crew: int | None = None) -> str | None:
        """Open a new run; ``crew`` is the seed of a simulated crew to rehearse with."""
        if self.problems:
            return f"the plan cannot be run: {self.problems[0].plain}"
        text = show_text(self.show)
        try:
            folder = new_run_folder(self.runs, text)
            self.session = open_session(folder, speed, self._rehearsed_start_ns(speed))
        except (LaunchError, NoEngine) as error:
            return str(error)
        self._crew = None if crew is None else SimulatedCrew(crew)
        self.session.send("start", caller=caller, muted=muted, digest=text_digest(text))
        return None

    def _rehearsed_start_ns(self, speed: float) -> int | None:
        """A rehearsal at another speed begins at the planned hour: its times of day mean something."""
        return None if speed == 1 else self._planned_start_ns(time.time_ns())

    def take_up(self, folder: Path) -> str | None:
        """Take up a run that was not ended."""
        try:
            self.session = open_session(folder)
        except (LaunchError, NoEngine) as error:
            return str(error)
        self._crew = None
        return None

    def end(self) -> None:
        """End the run; it goes into the tour once the engine has closed its journal."""
        if self.session is not None:
            self.session.send("end", why="ended at the desk")

    def poll(self) -> bool:
        """Take in what has come. True when the tour has something new, from here or from elsewhere."""
        self._take_prepared()
        news = bool(self.keeper.news()) if self.keeper is not None else False
        return self._poll_run() or news

    def _poll_run(self) -> bool:
        if self.session is None:
            return False
        self.session.poll()
        # A simulated yes must never count in a run whose messages leave.
        if self._crew is not None and self.session.book.state.all_muted:
            for act in self._crew.acts(self.session.book, self.session.now_ns()):
                self.session.send(act["kind"], **{k: v for k, v in act.items() if k != "kind"})
        if self.session.trouble is not None:
            self.trouble = self.session.trouble
        elif self.trouble is not None:
            self.trouble = None
        back_ns = self.session.book.recovered_ns
        if self.trouble is None and back_ns is not None and self.now_ns() - back_ns < RESTARTED_FOR_S * 1e9:
            self.trouble = "The engine was restarted at the same place. Look under 'said' before the next go."
        if self.trouble is None and self.session.book.state.doubts:
            self.trouble = doubt_line(self.session.book, self.keys["doubts"])
        if self.session.book.state.phase == "ended":
            return self._take_in()
        return False

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
        if self._edited:
            self._prepare()
        return True

    def badge(self) -> tuple[str, str]:
        """Whether messages leave: (words, tone)."""
        state = self.book.state
        if self.session is None:
            return "", "quiet"
        if state.all_muted:
            return "REHEARSAL · OUTLETS MUTED", "caution"
        if state.muted:
            return "SOME OUTLETS MUTED", "caution"
        return "OUTLETS LIVE", "standby"

    def run_words(self) -> str:
        """``edition 14 · run 31``."""
        edition = self.edition_words()
        if self.session is None:
            return f"{edition} · no run open"
        rate = self.session.clock.speed
        speed = f" · {rate:g}×" if rate != 1 else ""
        speed += " · simulated crew" if self._crew is not None else ""
        caller = self.book.state.caller
        calls = f" · {caller} calls" if caller else ""
        return f"{edition} · run {self._run_number}{speed}{calls}"

    def kept(self, number: int, digest_of_it: str) -> None:
        """The show as it is now was kept as this edition."""
        self._editions[digest_of_it] = number
        if text_digest(show_text(self.show)) == digest_of_it:
            self._edition, self._edited = number, False

    def edition_words(self) -> str:
        """``edition 14``, ``edition 14 with changes``."""
        edition = f"edition {self._edition}" if self._edition is not None else "edition not kept"
        return f"{edition} with changes" if self._edited else edition

    def clock_words(self, wall_ns: int) -> str:
        """The time of day; in a rehearsal at another speed it says that it is not the real one."""
        rate = 1.0 if self.session is None else self.session.clock.speed
        return day_time(wall_ns) if rate == 1 else f"show time {day_time(wall_ns)}"

    def earlier_notes(self) -> tuple[str, ...]:
        """Notes on the item that is on from the last night that had any."""
        return self._earlier.get(self.book.compiled.plan.items[self.book.state.item].item.id, ())

    def forecast(self, now_ns: int, wall_ns: int) -> Forecast:
        """When the show will end, in seconds from now; before a run is open, if it began as planned."""
        if self.book.state.phase == "idle":
            wall_ns = self._planned_start_ns(wall_ns)
        return show_forecast(self.book, self.durations, now_ns, wall_ns)

    def cut(self, now_ns: int, wall_ns: int, ahead: Forecast) -> tuple[str, ...] | None:
        """What to leave out for the curfew; nothing while it is likely to be made."""
        if ahead.p_make is None or ahead.p_make >= MAKE_IT:
            return ()
        return suggested_cuts(self.book, self.durations, now_ns, self.forecast_wall_ns(wall_ns), MAKE_IT)

    def forecast_wall_ns(self, wall_ns: int) -> int:
        """The time of day the forecast counts from."""
        return self._planned_start_ns(wall_ns) if self.book.state.phase == "idle" else wall_ns

    def _planned_start_ns(self, wall_ns: int) -> int:
        zone = datetime.now().astimezone().tzinfo
        assert zone is not None
        return planned_start_wall_ns(self.show.starts_at, wall_ns, zone)

    def walk(self, now_ns: int) -> Walk | None:
        """The next walk-on, if one is near."""
        walk = next_walk(self.book, now_ns)
        if walk is None:
            return None
        leave_s = walk.plan.leave_by_s
        words = f"leave within {span(leave_s)}" if leave_s > 0 else f"leave now, {span(-leave_s)} late"
        words = "on the way" if walk.on and leave_s < 0 else words
        if (walk.item, "in place") in self.book.state.walked:
            words = "in place"
        pairs = zip(walk.plan.legs, walk.metres, strict=True)
        legs = {leg.name: (leg, metres) for leg, metres in pairs}
        ahead_s = leave_s - walk.plan.camera_by_s
        steps = []
        for step in walk_steps(self.book.compiled, walk.item):
            name = step
            if step in legs:
                leg, metres = legs[step]
                name = f"{step} · {metres:g} m · {span(leg.takes.mean_s)}"
            elif step == "camera rolls" and ahead_s > 0.5:
                name = f"camera rolls {ahead_s:.0f} s before"
            steps.append((name, (walk.item, step) in self.book.state.walked))
        return Walk(walk.name, words, tuple(steps), urgent=leave_s < 30 and not steps[-1][1])

    def close(self) -> None:
        """Let go of the run and the tour; an open run's engine goes on."""
        if self.session is not None:
            self.session.close()
        if self.keeper is not None and not self._keeper_s:
            self.keeper.stop()
        self._worker.close(wait=False)
        self.tour.close()


def read_earlier(tour: Tour) -> dict[str, tuple[str, ...]]:
    """Item id → the notes on it of the last night that had any."""
    found: dict[str, tuple[str, ...]] = {}
    for _, events in tour.telling("note"):
        tonight: dict[str, list[str]] = {}
        for event in events:
            tonight.setdefault(str(event.item), []).append(str(event.body["text"]))
        found |= {item: tuple(notes) for item, notes in tonight.items()}
    return found


@dataclass(frozen=True)
class _Prepared:
    """A show worked out, and the digest of its document."""

    book: RunBook
    digest: str


def _prepared(show: Show) -> _Prepared:
    import scipy.special  # noqa: PLC0415, F401 - the forecast needs it, and loading it must not stop a frame

    return _Prepared(preview_book(show), text_digest(show_text(show)))


def _cues(show: Show) -> int:
    return sum(len(item.cues) for item in show.items)


def _first_item(show: Show) -> Show:
    """Enough of a large show to open the window on."""
    first = next(item for item in show.items if not item.out)
    return show.model_copy(update={"items": (first,)})
