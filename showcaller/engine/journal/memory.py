"""All records of a run, kept in little memory: the older ones are compressed, block by block.

So the journal can be written anew when its file is gone or was cut, and a desk that joins late is told
everything, without a night's log lying about in full.
"""

import threading
import zlib
from array import array
from bisect import bisect_right
from collections.abc import Callable, Iterator

BLOCK = 32
BLOCK_BYTES = 1 << 16
"""A block has as many texts as this, and is not much longer than so many bytes: whoever puts one together
holds up the threads that fire cues."""


class Kept:
    """An append-only list of texts. ``append`` and ``slice`` belong to one thread, ``compact`` to any.

    A text holds no line feed.
    """

    def __init__(self) -> None:
        self._blocks: list[bytes] = []
        self._starts: list[int] = []
        self._recent: list[bytes] = []
        self._compacted = 0
        self._lock = threading.Lock()
        self._compacting = threading.Lock()
        self._count = 0

    def __len__(self) -> int:
        return self._count

    def __iter__(self) -> Iterator[bytes]:
        """All that are there now, each block put back once."""
        with self._lock:
            blocks, recent = list(self._blocks), list(self._recent)
        for block in blocks:
            yield from zlib.decompress(block).split(b"\n")
        yield from recent

    def append(self, body: bytes) -> None:
        """Add one; never waits."""
        self._recent.append(body)
        self._count += 1

    def slice(self, start: int, count: int) -> list[bytes]:
        """Up to ``count`` of them from the one at ``start`` on, counted from 0."""
        with self._lock:
            blocks, starts, recent = list(self._blocks), list(self._starts), list(self._recent)
            compacted = self._compacted
        found: list[bytes] = []
        at = max(0, start)
        while len(found) < count and at < compacted + len(recent):
            if at < compacted:
                n = bisect_right(starts, at) - 1
                part = zlib.decompress(blocks[n]).split(b"\n")[at - starts[n] :]
            else:
                part = recent[at - compacted :]
            part = part[: count - len(found)]
            found += part
            at += len(part)
        return found

    def compact(self, before: Callable[[], None] = lambda: None) -> None:
        """Compress what is no longer recent; called now and then by a helper thread. ``before`` is called
        before each block."""
        if not self._compacting.acquire(blocking=False):
            return  # another thread is at it: both would take the same texts
        try:
            while len(self._recent) >= 2 * BLOCK:
                before()
                self._compact_block()
        finally:
            self._compacting.release()

    def _compact_block(self) -> None:
        texts: list[bytes] = []
        size = 0
        for text in self._recent[:BLOCK]:
            if texts and size + len(text) > BLOCK_BYTES:
                break
            texts.append(text)
            size += len(text)
        block = zlib.compress(b"\n".join(texts), 1)  # lets other threads run meanwhile
        with self._lock:
            self._blocks.append(block)
            self._starts.append(self._compacted)
            self._compacted += len(texts)
            del self._recent[: len(texts)]


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
