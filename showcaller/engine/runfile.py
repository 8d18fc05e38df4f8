"""What a run's journal holds: a header with the whole show, clock entries, then the records of the run."""

import hashlib
import json
from dataclasses import asdict, dataclass, field
from pathlib import Path

from showcaller.engine.clock import RunClock
from showcaller.engine.journal import read_journal
from showcaller.model.runlog import RUNLOG_VERSION, Record


class RunFileError(Exception):
    """A run's journal that cannot be understood, in one sentence."""


@dataclass(frozen=True, slots=True)
class RunFile:
    """A run as found in its journal. ``clock`` is that of its last entry."""

    run_id: str
    show_text: str
    opened_wall_ns: int
    clock: RunClock
    records: tuple[Record, ...] = field(default=())

    @property
    def ended(self) -> bool:
        """Whether the run was ended, not only cut off."""
        # From the back: after the end there are only notes and what outlets still had to say.
        return any(e["kind"] == "run_ended" for r in reversed(self.records) for e in r.events)


def digest(show_text: str) -> str:
    """The SHA-256 of a show document's text, by which an edition is known."""
    return hashlib.sha256(show_text.encode()).hexdigest()


def header(run_id: str, show_text: str, wall_ns: int) -> bytes:
    """The journal's first record."""
    body = {"run": run_id, "version": RUNLOG_VERSION, "wall": wall_ns, "show": show_text}
    return json.dumps({"header": body}, ensure_ascii=False).encode()


def clock_entry(clock: RunClock) -> bytes:
    """A clock entry: from here on, times are of this clock."""
    return json.dumps({"clock": asdict(clock)}).encode()


def parse(bodies: list[bytes], name: str) -> RunFile:
    """A run from a journal's records.

    Raises:
        RunFileError: empty, without its header, of a newer version, or not a run at all.
    """
    if not bodies:
        raise RunFileError(f"{name} holds nothing; the run was never opened")
    try:
        return _parse(bodies, name)
    except (ValueError, KeyError, TypeError):
        raise RunFileError(f"{name} is a journal, but not of a run that can be read here") from None


def _parse(bodies: list[bytes], name: str) -> RunFile:
    first = json.loads(bodies[0])
    if "header" not in first:
        raise RunFileError(f"{name} does not begin with a run's header")
    head = first["header"]
    if head["version"] > RUNLOG_VERSION:
        raise RunFileError(
            f"{name} is of version {head['version']}, newer than the {RUNLOG_VERSION} read here; "
            "update showcaller"
        )
    clock = RunClock(0, 1.0, "", head["wall"])
    records = []
    for body in bodies[1:]:
        if body.startswith(b'{"clock"'):
            clock = RunClock(**json.loads(body)["clock"])
        else:
            records.append(Record.from_bytes(body))
    return RunFile(head["run"], head["show"], head["wall"], clock, tuple(records))


def read_run(path: Path) -> RunFile:
    """The run in the journal at ``path``; the file is not touched.

    Raises:
        JournalError, RunFileError: it cannot be read.
    """
    return parse(read_journal(path), path.name)
