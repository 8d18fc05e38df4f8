"""The journal's form on disk: a line of text a record, numbered and chained, so that no gap goes unseen.

A line is ``own prev number body``: the body is the record's JSON, the number counts from 1, ``prev`` is the
hash of the line before and ``own`` that of this one, over ``prev number body`` (BLAKE2b, 8 bytes, in hex).
Any line can be checked by itself and any stretch against what stands before it; a damaged line costs that
line, since the next one begins after the next line feed. Every tool that reads text reads it along.
"""

from collections.abc import Iterable, Iterator
from hashlib import blake2b

from showcaller.values import Struct

MAGIC = b"showcaller journal 2\n"
"""The file's first line."""

FIRST = b"0" * 16
"""What stands as the hash before the first line."""


class JournalError(Exception):
    """A journal that cannot be used, in one sentence."""


class Line(Struct, frozen=True):
    """One record as it lies on disk."""

    number: int
    prev: bytes
    own: bytes
    body: bytes

    def to_bytes(self) -> bytes:
        """The line with its line feed."""
        return b"%b %b %d %b\n" % (self.own, self.prev, self.number, self.body)


def following(prev: bytes, number: int, body: bytes) -> Line:
    """The line for ``body`` behind the line whose hash is ``prev``.

    Raises:
        JournalError: the body is empty or holds a line feed.
    """
    if not body or b"\n" in body:
        raise JournalError("a record of the journal is one line of text, and this is none")
    return Line(number, prev, _hash(prev, number, body), body)


def _hash(prev: bytes, number: int, body: bytes) -> bytes:
    return blake2b(b"%b %d %b" % (prev, number, body), digest_size=8).hexdigest().encode()


def parse_line(text: bytes) -> Line | None:
    """The line in ``text`` (without its line feed); None when it is not whole."""
    parts = text.split(b" ", 3)
    if len(parts) != 4 or len(parts[0]) != 16 or not parts[2].isdigit() or len(parts[2]) > 12:
        return None
    own, prev, number, body = parts[0], parts[1], int(parts[2]), parts[3]
    return Line(number, prev, own, body) if body and _hash(prev, number, body) == own else None


class Scanned(Struct, frozen=True):
    """What lies in a file: its whole lines, the bytes that are none, and whether the last one is torn.

    ``end`` is the offset behind the last whole line if nothing else is wrong, so that appending can go on.
    """

    lines: tuple[Line, ...]
    rubbish: int
    torn: bool
    end: int


def scan(data: bytes, skip: int = len(MAGIC)) -> Scanned:
    """The lines of a journal's bytes, ``skip`` being the length of what stands before the first."""
    lines: list[Line] = []
    rubbish, end, at = 0, skip, skip
    *whole, rest = data[skip:].split(b"\n")
    for text in whole:
        at += len(text) + 1
        line = parse_line(text)
        if line is None:
            rubbish += len(text) + 1
        else:
            lines.append(line)
            end = at
    # A last line that lacks only its line feed was not finished either: nothing has left for it yet.
    return Scanned(tuple(lines), rubbish, bool(rest), end)


class Chain(Struct, frozen=True):
    """A run's lines put in order: ``kept`` without a gap from the first, ``after`` what is whole behind one.

    ``missing`` is how many numbers are nowhere. ``beyond`` is how many of ``kept`` and ``after`` only the
    later sources had.
    """

    kept: tuple[Line, ...]
    after: tuple[Line, ...]
    missing: int


def chained(sources: Iterable[Iterable[Line]]) -> Chain:
    """The one log that all ``sources`` hold pieces of."""
    kept, after, missing = continued(0, FIRST, (line for lines in sources for line in lines))
    return Chain(kept, after, missing)


def continued(
    count: int, last: bytes, lines: Iterable[Line]
) -> tuple[tuple[Line, ...], tuple[Line, ...], int]:
    """What of ``lines`` follows ``count`` lines, the last of which has the hash ``last``: (the lines that go
    on without a gap, those behind one, how many numbers are nowhere)."""
    at: dict[tuple[int, bytes], Line] = {}
    for line in lines:
        at.setdefault((line.number, line.prev), line)
    kept = tuple(_follow(at, count + 1, last))
    end = count + len(kept)
    behind = {line.number: line for line in at.values() if line.number > end}
    after = tuple(behind[n] for n in sorted(behind))
    missing = max(behind) - end - len(behind) if behind else 0
    return kept, after, missing


def _follow(at: dict[tuple[int, bytes], Line], number: int, prev: bytes) -> Iterator[Line]:
    while (line := at.get((number, prev))) is not None:
        yield line
        number, prev = number + 1, line.own
