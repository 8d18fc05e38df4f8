"""All records of a run, kept in little memory: the older ones are compressed, block by block.

So the journal can be written anew when its file is gone or was cut, and a desk that joins late is told
everything, without a night's log lying about in full.
"""

import threading
import zlib
from array import array
from collections.abc import Iterator

BLOCK = 32


class Kept:
    """An append-only list of texts. ``append`` and ``slice`` belong to one thread, ``compact`` to a helper.

    A text holds no line feed.
    """

    def __init__(self) -> None:
        self._blocks: list[bytes] = []
        self._recent: list[bytes] = []
        self._lock = threading.Lock()
        self._count = 0

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[bytes]:
        for start in range(0, self._count, BLOCK):
            yield from self.slice(start, BLOCK)

    def append(self, body: bytes) -> None:
        """Add one; never waits."""
        self._recent.append(body)
        self._count += 1

    def slice(self, start: int, count: int) -> list[bytes]:
        """Up to ``count`` of them from the one at ``start`` on, counted from 0."""
        with self._lock:
            blocks, recent = list(self._blocks), list(self._recent)
        found: list[bytes] = []
        at = max(0, start)
        while len(found) < count and at < len(blocks) * BLOCK + len(recent):
            n, offset = divmod(at, BLOCK)
            if n < len(blocks):
                part = zlib.decompress(blocks[n]).split(b"\n")[offset:]
            else:
                part = recent[at - len(blocks) * BLOCK :]
            part = part[: count - len(found)]
            found += part
            at += len(part)
        return found

    def compact(self) -> None:
        """Compress what is no longer recent; called now and then by a helper thread."""
        while len(self._recent) >= 2 * BLOCK:
            block = zlib.compress(b"\n".join(self._recent[:BLOCK]), 1)  # lets other threads run meanwhile
            with self._lock:
                self._blocks.append(block)
                del self._recent[:BLOCK]


class Selection:
    """Some of the texts of a :class:`Kept`, counted by themselves: a run's records among a journal's
    lines."""

    def __init__(self, kept: Kept, beginning: bytes) -> None:
        """Those that are there and begin with ``beginning``."""
        self._kept = kept
        self._at = array("L", (n for n, text in enumerate(kept) if text.startswith(beginning)))

    def __len__(self) -> int:
        return len(self._at)

    def __iter__(self) -> Iterator[bytes]:
        for start in range(0, len(self._at), BLOCK):
            yield from self.slice(start, BLOCK)

    def take_last(self) -> None:
        """What was appended last is one of them."""
        self._at.append(len(self._kept) - 1)

    def slice(self, start: int, count: int) -> list[bytes]:
        """Up to ``count`` of them from the one at ``start`` on, counted from 0."""
        at = self._at[max(0, start) : max(0, start) + count]
        if not at:
            return []
        found = self._kept.slice(at[0], at[-1] - at[0] + 1)
        return [found[n - at[0]] for n in at]
