"""The journals of runs beside a show: which are to go into the tour, and which were never ended. No Qt.

What reads a journal is imported where one is read: a desk opens without.
"""

from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.protocol import JOURNAL_FILE
from showcaller.model import DocumentError, parse_show
from showcaller.run import events as ev

if TYPE_CHECKING:
    from showcaller.archive import Run
    from showcaller.archive.tour import Tour

IMPORTED = "in-the-tour"
"""The file in a run folder that says its journal is in a tour: a line for each tour that has it."""

MEANT_FOR = "for-tour"
"""The file in a run folder that says on which server the tour is that it was run for; none: one in a file."""


def mark_for(folder: Path, where: str) -> None:
    """Say which server's tour a run is for. One in a file may be moved, so it is not named."""
    if "://" in where:
        (folder / MEANT_FOR).write_text(f"{where}\n", encoding="utf-8")


def _is_elsewheres(folder: Path, where: str) -> bool:
    """Whether a run belongs into the tour of a server that is not this tour."""
    named = []
    for file in (MEANT_FOR, IMPORTED):
        if (folder / file).exists():
            named += (folder / file).read_text(encoding="utf-8").splitlines()
    servers = [line for line in named if "://" in line]
    return bool(servers) and where not in named


def take_in_journals(tour: "Tour", runs: Path) -> tuple[list["Run"], list[str]]:
    """Import every journal under ``runs`` that no engine is writing and that is not in the tour yet.

    Returns:
        (the runs added, one sentence for each journal that could not be read; it is left as it is).
    """
    from showcaller.engine.journal import JournalError  # noqa: PLC0415
    from showcaller.engine.runfile import RunFileError, read_run  # noqa: PLC0415

    added: list[Run] = []
    wrong: list[str] = []
    for folder in open_runs(runs):
        if _is_in(folder, tour.where) or _is_elsewheres(folder, tour.where) or engine_lives(folder):
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
    return [
        f
        for f in open_runs(runs)
        if not _is_in(f, where) and not _is_elsewheres(f, where) and not engine_lives(f)
    ]


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
    from showcaller.engine.journal import JournalError  # noqa: PLC0415
    from showcaller.engine.runfile import RunFileError, read_run  # noqa: PLC0415

    try:
        return read_run(folder / JOURNAL_FILE).ended
    except (JournalError, RunFileError):
        return True
