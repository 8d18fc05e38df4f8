"""What a journal holds, and what is wrong with it; the file is not touched.

A file that is as it should be, each line chained to the one before, is read as it streams by, and nothing of
it is kept but the records, compressed. Only where something is wrong are all its lines put beside each other.
"""

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path
from typing import Protocol

from showcaller.engine.journal import first_format
from showcaller.engine.journal.front import read_front
from showcaller.engine.journal.lines import (
    FIRST,
    MAGIC,
    JournalError,
    Line,
    Scanned,
    chained,
    continued,
    following,
    parse_line,
    scan,
)
from showcaller.engine.journal.memory import Kept
from showcaller.values import Struct, field

WITNESSES = 200
"""So many of the last lines are known as lines."""
_CHUNK_BYTES = 1 << 20


class Bodies(Protocol):
    """Where the records that are read are put."""

    def append(self, body: bytes, /) -> None:
        """One more."""

    def compact(self) -> None:
        """Some have come."""

    def __iter__(self) -> Iterator[bytes]: ...

    def __len__(self) -> int: ...


class Plain(list[bytes]):
    """Records as they are, for who wants all of them at once anyway."""

    def compact(self) -> None:
        """They stay as they are."""


class Reading(Struct, frozen=True):
    """A journal as found.

    Attributes:
        log: the records without a gap from the first line.
        tail: the last of their lines: all that the file does not hold, and some before.
        after: whole lines behind a gap.
        missing: how many lines the gap lacks.
        whole: the file holds just ``log`` or a beginning of it, but for a torn last line.
        on_disk: how many of ``log`` the file holds, if it is whole.
        end: the offset behind the last of those.
        witnessed: the front was there, and agrees.
    """

    log: Bodies = field(default_factory=Kept)
    tail: tuple[Line, ...] = ()
    after: tuple[Line, ...] = ()
    missing: int = 0
    whole: bool = True
    on_disk: int = 0
    end: int = 0
    witnessed: bool = False

    @property
    def bodies(self) -> list[bytes]:
        """The records of ``log``, all at once."""
        return list(self.log)

    @property
    def is_empty(self) -> bool:
        """Whether there is no whole line at all."""
        return not len(self.log) and not self.after


class Straight(Struct, frozen=True):
    """A file of lines each of which follows from the one before: ``log``, ``count``, where the last ends."""

    log: Bodies
    count: int
    tail: tuple[Line, ...]
    end: int

    @property
    def bodies(self) -> Iterable[bytes]:
        """What its lines hold."""
        return self.log


class Scattered(Struct, frozen=True):
    """Any other file: its whole lines, ``size`` in bytes, and whether it begins as a journal does."""

    found: Scanned
    size: int
    begun: bool

    @property
    def bodies(self) -> Iterable[bytes]:
        """What its lines hold."""
        return (line.body for line in self.found.lines)


def read(path: Path, front: Path | None = None, new_log: Callable[[], Bodies] = Kept) -> Reading:
    """What the journal at ``path`` and its front hold together; ``new_log`` makes what records are put into.

    Raises:
        JournalError: it cannot be read, or is no journal.
    """
    return together(path, look(path, new_log), front)


def look(path: Path, new_log: Callable[[], Bodies] = Kept) -> Straight | Scattered | Reading:
    """What the file at ``path`` holds, to be put together with a front; a journal of 0.1 has none.

    Raises:
        JournalError: it cannot be read.
    """
    try:
        if not path.exists():
            return Scattered(scan(b"", 0), 0, True)
        straight = _straight(path, new_log())
        if straight is not None:
            return straight
        data = path.read_bytes()
    except OSError as error:
        raise JournalError(f"cannot read {path}: {(error.strerror or str(error)).lower()}") from None
    if data.startswith(first_format.MAGIC):
        return _first(data, path)
    begun = MAGIC.startswith(data[: len(MAGIC)])  # also what was killed before its first line was whole
    return Scattered(scan(data, len(MAGIC) if begun else 0), len(data), begun)


def _straight(path: Path, log: Bodies) -> Straight | None:
    """The file read line by line into ``log``; None if anything but its end is amiss."""
    kept: deque[Line] = deque(maxlen=WITNESSES)
    number, prev, end, rest = 0, FIRST, len(MAGIC), b""
    with path.open("rb") as file:
        if file.read(len(MAGIC)) != MAGIC:
            return None
        while chunk := file.read(_CHUNK_BYTES):
            *texts, rest = (rest + chunk).split(b"\n")
            for text in texts:
                line = parse_line(text)
                if line is None or line.prev != prev or line.number != number + 1:
                    return None
                number, prev = line.number, line.own
                end += len(text) + 1
                log.append(line.body)
                kept.append(line)
            log.compact()
    return Straight(log, number, tuple(kept), end)


def together(path: Path, there: Straight | Scattered | Reading, front: Path | None) -> Reading:
    """The one log that a file and its front hold. The file's own records are then the log's.

    Raises:
        JournalError: it is no journal.
    """
    if isinstance(there, Reading):
        return there
    witness = read_front(front) if front is not None else None
    if isinstance(there, Straight):
        return _beside(there, witness)
    if not there.begun and not there.found.lines and not witness:
        raise JournalError(
            f"{path.name} is not a show's log; choose the file named journal in the show's folder"
        )
    chain = chained([there.found.lines, witness or ()])
    same = chain.kept[: len(there.found.lines)] == there.found.lines
    on_disk = len(there.found.lines)
    begun_whole = there.size >= len(MAGIC) or not chain.kept
    return Reading(
        log=_put(line.body for line in chain.kept),
        tail=chain.kept[min(on_disk, max(0, len(chain.kept) - WITNESSES)) :],
        after=chain.after,
        missing=chain.missing,
        whole=there.begun and same and there.found.rubbish == 0 and begun_whole,
        on_disk=on_disk,
        end=there.found.end,
        witnessed=witness is not None,
    )


def _beside(there: Straight, witness: tuple[Line, ...] | None) -> Reading:
    """As :func:`chained` has it: what the file holds comes first, and the front goes on behind it."""
    last = there.tail[-1].own if there.tail else FIRST
    more, after, missing = continued(there.count, last, witness or ())
    for line in more:
        there.log.append(line.body)
    there.log.compact()
    return Reading(
        log=there.log,
        tail=(*there.tail, *more),
        after=after,
        missing=missing,
        on_disk=there.count,
        end=there.end,
        witnessed=witness is not None,
    )


def _put(bodies: Iterable[bytes]) -> Kept:
    log = Kept()
    for n, body in enumerate(bodies, 1):
        log.append(body)
        if n % 1000 == 0:
            log.compact()
    log.compact()
    return log


def _first(data: bytes, path: Path) -> Reading:
    bodies, damaged = first_format.read_first_format(data, path.name)
    lines: list[Line] = []
    prev = FIRST
    for n, body in enumerate(bodies, 1):
        # A line feed never stood in a record of 0.1 either: they are JSON.
        lines.append(following(prev, n, body))
        prev = lines[-1].own
    return Reading(_put(bodies), tuple(lines), whole=False, missing=0 if not damaged else 1, witnessed=True)


def read_journal(path: Path) -> list[bytes]:
    """The bodies of all records without a gap from the first, as they are on disk.

    Raises:
        JournalError: unreadable, or not a journal.
    """
    if not path.exists():
        raise JournalError(f"cannot read {path}: no such file or directory")
    return read(path, new_log=Plain).bodies
