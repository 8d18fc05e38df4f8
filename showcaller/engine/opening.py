"""Opening a run folder: a new run, or one taken up again with whatever is left of its log."""

import contextlib
import time
from dataclasses import dataclass
from pathlib import Path

from showcaller.engine.clock import RunClock, boot_id, continued, new_clock
from showcaller.engine.journal import Journal, JournalError, Reading, read
from showcaller.engine.journal.front import front_files
from showcaller.engine.journal.lines import MAGIC
from showcaller.engine.private import is_private, private_folder
from showcaller.engine.protocol import JOURNAL_FILE, SHOW_FILE
from showcaller.engine.runfile import RunFile, RunFileError, clock_entry, header, parse, whole_bodies
from showcaller.model import DocumentError, parse_show
from showcaller.run import commands as c
from showcaller.run.compiled import CompiledShow, compile_show
from showcaller.run.runlog import RECORD_BEGINNING, Record
from showcaller.timing.plan import Plan, compile_plan


@dataclass(frozen=True, slots=True)
class OpenedRun:
    """A run ready to be carried out. ``recovered`` is to be taken after ``records`` were replayed; None for a
    new run. ``mended`` says what was wrong with the log although nothing is missing, empty if nothing was."""

    run_id: str
    show_text: str
    compiled: CompiledShow
    clock: RunClock
    journal: Journal
    records: tuple[Record, ...] = ()
    recovered: c.Recovered | None = None
    mended: str = ""


def open_run(folder: Path, speed: float, wall0_ns: int | None) -> OpenedRun:
    """Open ``folder``; nothing of an earlier run in it is changed before its next record is kept.

    Raises:
        DocumentError, JournalError, RunFileError, OSError: it cannot be opened; one sentence.
    """
    path = folder / JOURNAL_FILE
    front = _front_of(folder)
    found = read(path, front)
    if found.lines or found.after:
        return _take_up(folder, found, front)
    cut = path.stat().st_size if path.exists() else 0
    show_text = _show_text(folder)
    compiled = compile_show(runnable(show_text), speed)  # refused before there is a journal
    clock = new_clock(speed, wall0_ns)
    journal = Journal(path, front, found)
    journal.append(header(folder.name, show_text, clock.wall0_ns))
    journal.append(clock_entry(clock, str(front) if front is not None else None))
    # A killed engine may leave a piece of a first line; so may whoever cut the log of a whole night.
    words = f"of a log in this folder {cut} bytes were left and nothing in them; this is a new log"
    mended = words if cut > len(MAGIC) else ""
    return OpenedRun(folder.name, show_text, compiled, clock, journal, mended=mended)


def _show_text(folder: Path) -> str:
    path = folder / SHOW_FILE
    try:
        return path.read_text(encoding="utf-8")
    except FileNotFoundError:
        what = "show.json" if folder.is_dir() else "folder"
        raise RunFileError(
            f"the show's {what} is gone ({path}); restore a copy, or open a new show"
        ) from None
    except UnicodeDecodeError:
        raise RunFileError(f"{path} is not a show document; restore a copy, or open a new show") from None


def _front_of(folder: Path) -> Path | None:
    """Where the newest part of this run's log is, or would be, kept in memory."""
    name, noted = folder.name, None
    # What cannot be read without the front may be readable with it, so nothing is refused here.
    with contextlib.suppress(RunFileError, JournalError):
        bodies = whole_bodies(read(folder / JOURNAL_FILE))
        heads = [body for body in bodies if not body.startswith(RECORD_BEGINNING)]
        run = parse(heads or bodies[:1], folder.name, folder / SHOW_FILE)
        name, noted = run.run_id, run.front
    if noted is not None and is_private(Path(noted).parent) and front_files(Path(noted)):
        return Path(noted)
    private = private_folder()
    return None if private is None else private / f"{name}.log"


def _take_up(folder: Path, found: Reading, front: Path | None) -> OpenedRun:
    path = folder / JOURNAL_FILE
    run = parse(whole_bodies(found), path.name, folder / SHOW_FILE)
    later = next((r.input.kind for r in run.records if isinstance(r.input, c.UnknownInput)), None)
    if later is not None:
        raise RunFileError(
            f"{path} was written by a later showcaller ('{later}' is not known here); use that version"
        )
    compiled = compile_show(runnable(run.show_text), run.clock.speed)
    sound = found.whole and not found.after and not run.headless and not run.after
    bodies = None if sound else _rebuilt(run)
    journal = Journal(path, front, found, bodies)
    clock, noted = run.clock, str(front) if front is not None else None
    last = run.after[-1] if run.after else run.records[-1] if run.records else None
    if last is None:
        return OpenedRun(run.run_id, run.show_text, compiled, clock, journal)
    rebooted = boot_id() != clock.boot
    unwitnessed = run.front is not None and not rebooted and not found.witnessed
    if rebooted:
        run_ns = last.t_ns + int(max(0, time.time_ns() - last.wall_ns) * clock.speed)
        clock = continued(clock.speed, run_ns, clock.wall0_ns)
    if rebooted or noted != run.front:
        journal.append(clock_entry(clock, noted))
    recovered = c.Recovered(
        max(0, clock.now_ns() - last.t_ns),
        rebooted,
        missing=run.missing,
        heard=tuple((r.t_ns, r.events) for r in run.after) or None,
        why=_why(run, unwitnessed),
    )
    mended = "" if sound or run.missing or not _is_lines(found) else "the log was damaged; nothing is missing"
    return OpenedRun(run.run_id, run.show_text, compiled, clock, journal, run.records, recovered, mended)


def _is_lines(found: Reading) -> bool:
    """Not a journal of 0.1, which is always written anew."""
    return found.on_disk > 0 or found.end > 0


def _why(run: RunFile, unwitnessed: bool) -> str:
    if run.missing:
        some = "1 record of the log is" if run.missing == 1 else f"{run.missing} records of the log are"
        return f"{some} missing: check where the show is, jump there, then resume"
    if run.after:
        return "a part of the log could not be read: check where the show is, jump there, then resume"
    if unwitnessed:
        return "the newest part of the log may be missing: check where the show is, jump there, then resume"
    return ""


def _rebuilt(run: RunFile) -> list[bytes]:
    """The log without what is damaged, to go on behind."""
    head = header(run.run_id, run.show_text, run.opened_wall_ns)
    return [head, clock_entry(run.clock, run.front), *[record.to_bytes() for record in run.records]]


def runnable(show_text: str) -> Plan:
    """The plan of a show that can be run.

    Raises:
        DocumentError: it cannot be read, or something in it cannot be run as written.
    """
    plan = compile_plan(parse_show(show_text))
    if plan.problems:
        raise DocumentError([str(p) for p in plan.problems])
    return plan
