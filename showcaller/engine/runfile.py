"""What a run's journal holds: a header with the whole show, clock entries, then the records of the run."""

import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Literal

from showcaller.engine.clock import RunClock
from showcaller.engine.journal import JournalError, Plain, Reading, read
from showcaller.engine.protocol import SHOW_FILE
from showcaller.run import events as ev
from showcaller.run.runlog import RECORD_BEGINNING, RUNLOG_VERSION, Record
from showcaller.values import Struct, asdict, field

_CLOCK = b'{"clock"'


class RunFileError(Exception):
    """A run's journal that cannot be understood, in one sentence."""


class RunHead(Struct, frozen=True):
    """What a journal says of its run, apart from the records.

    Attributes:
        clock: that of the last clock entry.
        front: where the log's newest part was kept in memory; None where it was not.
        headless: the header was damaged; the show is the one that lies beside the journal.
    """

    run_id: str
    show_text: str
    opened_wall_ns: int
    clock: RunClock
    front: str | None = None
    headless: bool = False


class RunFile(RunHead, frozen=True):
    """A run as found in its journal.

    Attributes:
        records: the run's log without a gap from its first record.
        after: whole records behind a gap.
        missing: how many records the gap lacks.
    """

    records: tuple[Record, ...] = field(default=())
    after: tuple[Record, ...] = ()
    missing: int = 0

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
    head = parse_head(bodies, name, beside)
    log = Ordered()
    records: list[Record] = []
    after: list[Record] = []
    try:
        for body in records_in(bodies):
            record = Record.from_bytes(body)
            if (place := log.place_of(record.seq)) is not None:
                (records if place == "next" else after).append(record)
    except UNREADABLE:
        raise unreadable(name) from None
    return RunFile(
        head.run_id, head.show_text, head.opened_wall_ns, head.clock, head.front, head.headless,
        tuple(records), tuple(after), log.missing,
    )  # fmt: skip


UNREADABLE = (ValueError, KeyError, TypeError, AttributeError)
"""What reading a record raises that is none, or none of this version."""


def unreadable(name: str) -> RunFileError:
    """The sentence instead."""
    return RunFileError(
        f"{name} is a log, but not one that can be read here; use the version of showcaller that wrote it"
    )


class Ordered:
    """Puts a log's records in order as they are read: those without a gap, and those behind one."""

    def __init__(self) -> None:
        self.count = 0
        """How many there are without a gap."""
        self._behind = 0
        self._last = 0

    def place_of(self, seq: int) -> Literal["next", "behind"] | None:
        """Where the record with this number belongs; None if it, or a later one, was there already."""
        if not self._behind and seq == self.count + 1:
            self.count += 1
            return "next"
        if seq > (self._last or self.count):
            self._last = seq
            self._behind += 1
            return "behind"
        return None

    @property
    def missing(self) -> int:
        """How many records the gap lacks."""
        return self._last - self.count - self._behind if self._behind else 0


def records_in(bodies: Iterable[bytes]) -> Iterator[bytes]:
    """Those of a journal's bodies that are, or should be, records."""
    for n, body in enumerate(bodies):
        if not body.startswith(_CLOCK) and not (n == 0 and _is_header(body)):
            yield body


def parse_head(bodies: Iterable[bytes], name: str, beside: Path | None = None) -> RunHead:
    """What a journal's bodies say of the run; the arguments and what is raised are those of :func:`parse`."""
    told = [body for n, body in enumerate(bodies) if n == 0 or not body.startswith(RECORD_BEGINNING)]
    if not told:
        raise RunFileError(f"{name} holds nothing; the show was never opened")
    try:
        return _parse_head(told, name, beside)
    except UNREADABLE:
        raise unreadable(name) from None


def _is_header(body: bytes) -> bool:
    return "header" in json.loads(body)


def _parse_head(bodies: list[bytes], name: str, beside: Path | None) -> RunHead:
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
    for body in bodies:
        if body.startswith(_CLOCK):
            entry = json.loads(body)
            clock, front = RunClock(**entry["clock"]), entry.get("front")
    return RunHead(head["run"], head["show"], head["wall"], clock, front, headless="header" not in first)


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
    found = read(path, new_log=Plain)
    return parse(list(whole_bodies(found)), path.name, path.with_name(SHOW_FILE))


def whole_bodies(found: Reading) -> Iterator[bytes]:
    """All records of a journal that are whole, in order, whether or not some between them are missing."""
    yield from found.log
    for line in found.after:
        yield line.body
