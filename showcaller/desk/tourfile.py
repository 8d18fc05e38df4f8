"""The tour as the desk and the command line use it: opened or made, journals taken in, runs reviewed."""

from dataclasses import dataclass
from datetime import datetime, tzinfo
from functools import lru_cache
from pathlib import Path

from showcaller.archive import Run, Tour
from showcaller.archive.opening import is_empty
from showcaller.engine.journal import JournalError
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.protocol import JOURNAL_FILE
from showcaller.engine.runfile import RunFileError, read_run
from showcaller.model import DocumentError, Show, parse_show
from showcaller.review import Waterfall, report
from showcaller.run import events as ev
from showcaller.run.last_edition import last_edition
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, compile_plan

IMPORTED = "in-the-tour"
"""The file in a run folder that says its journal is in a tour: a line for each tour that has it."""


@dataclass(frozen=True)
class Paths:
    """Where a show's tour and its run folders are; ``address`` if the tour is on a server, not in a file."""

    tour: Path
    runs: Path
    address: str | None = None

    @property
    def where(self) -> str | Path:
        """What the tour is opened by."""
        return self.address or self.tour


def paths_for(show_path: Path, tour: str | Path | None = None) -> Paths:
    """Beside the show unless a tour is named: ``NAME.tour`` and the folder ``NAME.runs``.

    A tour on a server is named by its address; its runs are journals on this machine first, beside the show.
    """
    if isinstance(tour, str) and "://" in tour:
        return Paths(show_path.with_suffix(".tour"), show_path.with_suffix(".runs"), tour)
    path = Path(tour) if tour else show_path.with_suffix(".tour")
    return Paths(path, path.with_suffix(".runs"))


def open_tour(where: str | Path, name: str) -> Tour:
    """The tour there, made if it is not there yet. One on a server that does not answer opens all the same:
    the show goes on without it, and it is used once it answers.

    Raises:
        TourError: it cannot be opened or made.
    """
    if isinstance(where, Path):
        return Tour.open(where) if where.exists() else Tour.create(where, name)
    if is_empty(where):
        return Tour.create(where, name)
    return Tour.open(where, absent=True)


def take_in_journals(tour: Tour, runs: Path) -> tuple[list[Run], list[str]]:
    """Import every journal under ``runs`` that no engine is writing and that is not in the tour yet.

    Returns:
        (the runs added, one sentence for each journal that could not be read; it is left as it is).
    """
    added: list[Run] = []
    wrong: list[str] = []
    for folder in open_runs(runs):
        if _is_in(folder, tour.where) or engine_lives(folder):
            continue
        try:
            run = read_run(folder / JOURNAL_FILE)
            if any(isinstance(e, ev.ItemStarted) for r in run.records for e in r.events):
                edition = tour.add_edition(parse_show(run.show_text))
                added.append(tour.add_run(edition, run.records, run_id=run.run_id))
        except (JournalError, RunFileError, DocumentError) as error:
            wrong.append(str(error))
            continue
        if run.ended:
            with (folder / IMPORTED).open("a", encoding="utf-8") as file:
                file.write(f"{tour.where}\n")
    return added, wrong


def _is_in(folder: Path, where: str) -> bool:
    """Whether a journal is in this tour. An empty mark, as earlier versions made it, stands for any tour."""
    mark = folder / IMPORTED
    if not mark.exists():
        return False
    lines = mark.read_text(encoding="utf-8").splitlines()
    return not lines or where in lines


def waiting_journals(runs: Path, where: str) -> list[Path]:
    """Run folders that are over and not in this tour yet."""
    return [f for f in open_runs(runs) if not _is_in(f, where) and not engine_lives(f)]


def unfinished_runs(runs: Path) -> list[Path]:
    """Run folders that could be taken up again: an engine lives, or the journal was never ended."""
    found = []
    for folder in open_runs(runs):
        if (folder / IMPORTED).exists():
            continue
        seen = (folder / JOURNAL_FILE).stat()
        if engine_lives(folder) or not _was_ended(folder, seen.st_mtime_ns, seen.st_size):
            found.append(folder)
    return found


@lru_cache(maxsize=256)
def _was_ended(folder: Path, _changed_ns: int, _size: int) -> bool:
    """Whether a run was ended, or cannot be read at all; read once for each state of its journal."""
    try:
        return read_run(folder / JOURNAL_FILE).ended
    except (JournalError, RunFileError):
        return True


def learned_lengths(tour: Tour, show: Show) -> dict[str, list[float]]:
    """Item id → how long it lasted on nights that count: ended, not rehearsed, and not picked up midway.

    Raises:
        TourError: the tour cannot be read.
    """
    found: dict[str, list[float]] = {item.id: [] for item in show.items}
    planned = {item.id: float(item.length_s) for item in show.items}
    for run, events in tour.telling("item_ended"):
        for event in events if run.finished and not run.muted else ():
            length_s, plan_s = float(event.body["length_s"]), planned.get(str(event.item), -1.0)
            # Half or twice the plan is a jump or a stop, no length to plan by (common practice, no source).
            if plan_s / 2 <= length_s <= plan_s * 2:
                found.setdefault(str(event.item), []).append(length_s)
    return found


def plan_of(tour: Tour, run: Run) -> Plan:
    """The plan a run ended with: that of its edition, with the changes made in the run."""
    return compile_plan(last_edition(tour.show_of(run.edition), tour.records(run)))


def fall_of(plan: Plan, run: Run, records: list[Record]) -> Waterfall:
    """A run's waterfall, in the time zone of this machine.

    Raises:
        ReviewError: no item was started.
    """
    return report.fall_of(plan, run, records, here())


def here() -> tzinfo:
    """The time zone of this machine, taken to be the venue's."""
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    return zone
