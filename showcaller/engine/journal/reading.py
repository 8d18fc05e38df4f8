"""What a journal holds, and what is wrong with it; the file is not touched."""

from dataclasses import dataclass
from pathlib import Path

from showcaller.engine.journal import first_format
from showcaller.engine.journal.front import read_front
from showcaller.engine.journal.lines import FIRST, MAGIC, JournalError, Line, chained, following, scan


@dataclass(frozen=True, slots=True)
class Reading:
    """A journal as found.

    Attributes:
        lines: the log without a gap from its first line.
        after: whole lines behind a gap.
        missing: how many lines the gap lacks.
        whole: the file holds just ``lines`` or a beginning of them, but for a torn last line.
        on_disk: how many of ``lines`` the file holds, if it is whole.
        end: the offset behind the last of those.
        witnessed: the front was there, and agrees.
    """

    lines: tuple[Line, ...] = ()
    after: tuple[Line, ...] = ()
    missing: int = 0
    whole: bool = True
    on_disk: int = 0
    end: int = 0
    witnessed: bool = False

    @property
    def bodies(self) -> list[bytes]:
        """The records of ``lines``."""
        return [line.body for line in self.lines]


def read(path: Path, front: Path | None = None) -> Reading:
    """What the journal at ``path`` and its front hold together.

    Raises:
        JournalError: it cannot be read, or is no journal.
    """
    try:
        data = path.read_bytes() if path.exists() else b""
    except OSError as error:
        raise JournalError(f"cannot read {path}: {(error.strerror or str(error)).lower()}") from None
    if data.startswith(first_format.MAGIC):
        return _first(data, path)
    witness = read_front(front) if front is not None else None
    begun = MAGIC.startswith(data[: len(MAGIC)])  # also what was killed before its first line was whole
    found = scan(data, len(MAGIC) if begun else 0)
    if not begun and not found.lines and not witness:
        raise JournalError(
            f"{path.name} is not a show's log; choose the file named journal in the show's folder"
        )
    chain = chained([found.lines, witness or ()])
    same = chain.kept[: len(found.lines)] == found.lines
    return Reading(
        lines=chain.kept,
        after=chain.after,
        missing=chain.missing,
        whole=begun and same and found.rubbish == 0 and (len(data) >= len(MAGIC) or not chain.kept),
        on_disk=len(found.lines),
        end=found.end,
        witnessed=witness is not None,
    )


def _first(data: bytes, path: Path) -> Reading:
    bodies, damaged = first_format.read_first_format(data, path.name)
    lines: list[Line] = []
    prev = FIRST
    for n, body in enumerate(bodies, 1):
        # A line feed never stood in a record of 0.1 either: they are JSON.
        lines.append(following(prev, n, body))
        prev = lines[-1].own
    return Reading(tuple(lines), whole=False, missing=0 if not damaged else 1, witnessed=True)


def read_journal(path: Path) -> list[bytes]:
    """The bodies of all records without a gap from the first, as they are on disk.

    Raises:
        JournalError: unreadable, or not a journal.
    """
    if not path.exists():
        raise JournalError(f"cannot read {path}: no such file or directory")
    return read(path).bodies
