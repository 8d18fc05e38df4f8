"""Opening a run folder: a new run, or one taken up again with whatever is left of its log."""

import contextlib
import time
from collections.abc import Iterator
from pathlib import Path

from showcaller.engine.clock import RunClock, boot_id, continued, new_clock
from showcaller.engine.journal import Journal, Reading, look, together
from showcaller.engine.journal.front import front_files
from showcaller.engine.journal.lines import MAGIC
from showcaller.engine.journal.reading import Scattered, Straight
from showcaller.engine.private import is_private, private_folder
from showcaller.engine.protocol import JOURNAL_FILE, SHOW_FILE
from showcaller.engine.runfile import (
    UNREADABLE,
    Ordered,
    RunFileError,
    RunHead,
    clock_entry,
    header,
    parse_head,
    records_in,
    unreadable,
    whole_bodies,
)
from showcaller.engine.standing import Standing
from showcaller.model import DocumentError, parse_show
from showcaller.run import commands as c
from showcaller.run.compiled import CompiledShow, compile_show
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan, compile_plan
from showcaller.values import Struct


class OpenedRun(Struct, frozen=True):
    """A run ready to be carried out. ``standing`` is where its log left it, and ``recovered`` is to be taken
    from there; both are None for a new run. ``mended`` says what was wrong with the log although nothing is
    missing, empty if nothing was."""

    run_id: str
    show_text: str
    compiled: CompiledShow
    clock: RunClock
    journal: Journal
    standing: Standing | None = None
    recovered: c.Recovered | None = None
    mended: str = ""


def open_run(folder: Path, speed: float, wall0_ns: int | None) -> OpenedRun:
    """Open ``folder``; nothing of an earlier run in it is changed before its next record is kept.

    Raises:
        DocumentError, JournalError, RunFileError, OSError: it cannot be opened; one sentence.
    """
    path = folder / JOURNAL_FILE
    on_disk = look(path)
    front = front_of(folder, on_disk)
    found = together(path, on_disk, front)
    if not found.is_empty:
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


def front_of(folder: Path, on_disk: Straight | Scattered | Reading) -> Path | None:
    """Where the newest part of this run's log is, or would be, kept in memory."""
    name, noted = folder.name, None
    # What cannot be read without the front may be readable with it, so nothing is refused here.
    with contextlib.suppress(RunFileError):
        head = parse_head(on_disk.bodies, folder.name, folder / SHOW_FILE)
        name, noted = head.run_id, head.front
    if noted is not None and is_private(Path(noted).parent) and front_files(Path(noted)):
        return Path(noted)
    private = private_folder()
    return None if private is None else private / f"{name}.log"


def _take_up(folder: Path, found: Reading, front: Path | None) -> OpenedRun:
    path = folder / JOURNAL_FILE
    run = parse_head(whole_bodies(found), path.name, folder / SHOW_FILE)
    told = _told(run, found, path)
    sound = found.whole and not found.after and not run.headless and not told.after
    bodies = None if sound else _rebuilt(run, found)
    journal = Journal(path, front, found, bodies)
    clock, noted = run.clock, str(front) if front is not None else None
    compiled = told.standing.compiled
    last = told.last
    if last is None:
        return OpenedRun(run.run_id, run.show_text, compiled, clock, journal, told.standing)
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
        missing=told.missing,
        heard=tuple((r.t_ns, r.events) for r in told.after) or None,
        why=_why(told, unwitnessed),
    )
    mended = (
        "" if sound or told.missing or not _is_lines(found) else "the log was damaged; nothing is missing"
    )
    return OpenedRun(run.run_id, run.show_text, compiled, clock, journal, told.standing, recovered, mended)


class _Told(Struct, frozen=True):
    """What a log's records tell: where they leave the run; those behind a gap, and how many it lacks."""

    standing: Standing
    last: Record | None
    after: tuple[Record, ...]
    missing: int


def _told(run: RunHead, found: Reading, path: Path) -> _Told:
    """The records, read one by one and let go again: of a long night there are hundreds of thousands."""
    try:
        standing = Standing(compile_show(runnable(run.show_text), run.clock.speed))
    except DocumentError:
        for record in _records(found, path):  # a log of a later version is said to be one
            _refuse_later(record, path)
        raise
    order = Ordered()
    after: list[Record] = []
    last: Record | None = None
    for body in records_in(whole_bodies(found)):
        try:
            record = Record.without_events(body)
            place = order.place_of(record.seq)
            if place == "behind":
                record = Record.from_bytes(body)
                after.append(record)
        except UNREADABLE:
            raise unreadable(path.name) from None
        if place == "next":
            _refuse_later(record, path)
            standing.replay(record.input, record.t_ns)
        if place is not None:
            last = record
    return _Told(standing, last, tuple(after), order.missing)


def _records(found: Reading, path: Path) -> Iterator[Record]:
    for body in records_in(whole_bodies(found)):
        try:
            yield Record.without_events(body)
        except UNREADABLE:
            raise unreadable(path.name) from None


def _refuse_later(record: Record, path: Path) -> None:
    if isinstance(record.input, c.UnknownInput):
        raise RunFileError(
            f"{path} was written by a later showcaller ('{record.input.kind}' is not known here); "
            "use that version"
        )


def _is_lines(found: Reading) -> bool:
    """Not a journal of 0.1, which is always written anew."""
    return found.on_disk > 0 or found.end > 0


def _why(told: _Told, unwitnessed: bool) -> str:
    if told.missing:
        some = "1 record of the log is" if told.missing == 1 else f"{told.missing} records of the log are"
        return f"{some} missing: check where the show is, jump there, then resume"
    if told.after:
        return "a part of the log could not be read: check where the show is, jump there, then resume"
    if unwitnessed:
        return "the newest part of the log may be missing: check where the show is, jump there, then resume"
    return ""


def _rebuilt(run: RunHead, found: Reading) -> list[bytes]:
    """The log without what is damaged, to go on behind."""
    bodies = [header(run.run_id, run.show_text, run.opened_wall_ns), clock_entry(run.clock, run.front)]
    order, records = Ordered(), records_in(whole_bodies(found))
    return bodies + [b for b in records if order.place_of(Record.without_events(b).seq) == "next"]


def runnable(show_text: str) -> Plan:
    """The plan of a show that can be run.

    Raises:
        DocumentError: it cannot be read, or something in it cannot be run as written.
    """
    plan = compile_plan(parse_show(show_text))
    if plan.problems:
        raise DocumentError([str(p) for p in plan.problems])
    return plan
