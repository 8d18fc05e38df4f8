"""What a run's journal holds: a header with the whole show, clock entries, then the records of the run."""

import json
from dataclasses import asdict, dataclass, field
from pathlib import Path

from showcaller.engine.clock import RunClock
from showcaller.engine.journal import JournalError, Reading, read
from showcaller.engine.protocol import SHOW_FILE
from showcaller.run import events as ev
from showcaller.run.runlog import RUNLOG_VERSION, Record


class RunFileError(Exception):
    """A run's journal that cannot be understood, in one sentence."""


@dataclass(frozen=True, slots=True)
class RunFile:
    """A run as found in its journal.

    Attributes:
        clock: that of the last clock entry.
        records: the run's log without a gap from its first record.
        after: whole records behind a gap.
        missing: how many records the gap lacks.
        front: where the log's newest part was kept in memory; None where it was not.
        headless: the header was damaged; the show is the one that lies beside the journal.
    """

    run_id: str
    show_text: str
    opened_wall_ns: int
    clock: RunClock
    records: tuple[Record, ...] = field(default=())
    after: tuple[Record, ...] = ()
    missing: int = 0
    front: str | None = None
    headless: bool = False

    @property
    def ended(self) -> bool:
        """Whether the run was ended, not only cut off."""
        # From the back: after the end there are only notes and what outlets still had to say.
        return any(isinstance(e, ev.RunEnded) for r in reversed(self.records) for e in r.events)


def header(run_id: str, show_text: str, wall_ns: int) -> bytes:
    """The journal's first record."""
    body = {"run": run_id, "version": RUNLOG_VERSION, "wall": wall_ns, "show": show_text}
    return json.dumps({"header": body}, ensure_ascii=False).encode()


def clock_entry(clock: RunClock, front: str | None = None) -> bytes:
    """A clock entry: from here on, times are of this clock, and the log's newest part is kept at
    ``front``."""
    return json.dumps({"clock": asdict(clock), "front": front}).encode()


def parse(bodies: list[bytes], name: str, beside: Path | None = None) -> RunFile:
    """A run from a journal's records, those behind a gap included.

    Args:
        bodies: whole records, in order.
        name: what the journal is called in a sentence.
        beside: the show document to go by when the header is damaged.

    Raises:
        RunFileError: empty, without a header and a show beside it, of a newer version, or not a run at all.
    """
    if not bodies:
        raise RunFileError(f"{name} holds nothing; the show was never opened")
    try:
        return _parse(bodies, name, beside)
    except (ValueError, KeyError, TypeError, AttributeError):
        raise RunFileError(
            f"{name} is a log, but not one that can be read here; use the version of showcaller that wrote it"
        ) from None


def _parse(bodies: list[bytes], name: str, beside: Path | None) -> RunFile:
    first = json.loads(bodies[0])
    head = first.get("header") if isinstance(first, dict) else None
    if head is None and beside is None:
        raise RunFileError(f"{name} does not begin as a show's log does; restore it from a copy")
    if head is None:
        head = {"run": beside.parent.name if beside else "", "version": RUNLOG_VERSION, "wall": 0}
        head["show"] = _show_beside(beside, name)
    if head["version"] > RUNLOG_VERSION:
        raise RunFileError(
            f"{name} is of version {head['version']}, newer than the {RUNLOG_VERSION} read here; "
            "update showcaller"
        )
    clock, front = RunClock(0, 1.0, "", head["wall"]), None
    records: list[Record] = []
    after: list[Record] = []
    for body in bodies[1:] if "header" in first else bodies:
        if body.startswith(b'{"clock"'):
            entry = json.loads(body)
            clock, front = RunClock(**entry["clock"]), entry.get("front")
            continue
        record = Record.from_bytes(body)
        if not after and record.seq == len(records) + 1:
            records.append(record)
        elif record.seq > (after[-1].seq if after else len(records)):
            after.append(record)
    missing = after[-1].seq - len(records) - len(after) if after else 0
    return RunFile(
        head["run"], head["show"], head["wall"], clock, tuple(records), tuple(after), missing, front,
        headless="header" not in first,
    )  # fmt: skip


def _show_beside(path: Path | None, name: str) -> str:
    try:
        return "" if path is None else path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError):
        raise RunFileError(
            f"{name} lost its beginning, and no show document lies beside it; restore both from a copy"
        ) from None


def read_run(path: Path) -> RunFile:
    """The run in the journal at ``path``, as it is on disk; the file is not touched.

    Raises:
        JournalError, RunFileError: it cannot be read.
    """
    if not path.exists():
        raise JournalError(f"cannot read {path}: no such file or directory")
    found = read(path)
    return parse(whole_bodies(found), path.name, path.with_name(SHOW_FILE))


def whole_bodies(found: Reading) -> list[bytes]:
    """All records of a journal that are whole, in order, whether or not some between them are missing."""
    return found.bodies + [line.body for line in found.after]
