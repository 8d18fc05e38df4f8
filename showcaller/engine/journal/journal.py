"""The journal of a run: what is appended outlives a killed process at once and, a moment later, a pulled
plug.

``append`` puts a line into the front, which lies in memory, so that a go never waits for a disk. A helper
thread brings what has come to the disk ten times a second and says, in ``trouble``, when it cannot: full,
gone, read-only, slow. Nothing is lost by that while the machine is on; when the disk takes it again, all
of it goes there. Where there is no front, ``append`` writes to the disk itself.
"""

import contextlib
import itertools
import os
import threading
import time
from collections import deque
from pathlib import Path
from typing import Any

from showcaller.engine.journal.disk import DiskFile
from showcaller.engine.journal.front import Front
from showcaller.engine.journal.lines import FIRST, MAGIC, JournalError, Line, following
from showcaller.engine.journal.memory import Kept
from showcaller.engine.journal.reading import WITNESSES, Reading, read
from showcaller.run import events as ev
from showcaller.run.events import Reporter

SYNC_S = 0.1
BATCH_BYTES = 1 << 18
LOOK_S = 0.4
RETRY_S = 0.5
SLOW_S = 0.5
"""A disk that needs longer than this to take what has come is named slow."""

NEAR_NS = 2_000_000
"""With something due so soon the helper begins no work: it would have the interpreter when that is."""

GIVE_WAY_NS = 50_000_000
"""But it does not give way for longer than this."""


class Journal:
    """An open journal. ``append`` and ``tidy`` belong to one thread.

    ``found`` is what was there on opening; ``memory`` holds every record; ``report`` takes ``journal``
    events, from the helper's thread. ``due_ns`` is when something is due that nothing may hold up
    (monotonic; 0: nothing).
    """

    def __init__(
        self,
        path: Path,
        front: Path | None = None,
        found: Reading | None = None,
        bodies: list[bytes] | None = None,
    ) -> None:
        """Open ``path`` for appending, making it if it is not there.

        Args:
            path: the file on disk.
            front: where its newest part is kept in memory; None for the disk alone.
            found: what was read there already.
            bodies: the records to go on behind, if those found have to be mended first. What lies there is
                kept as a copy. Nothing on disk is changed before the first ``append``.

        Raises:
            JournalError: the folder cannot be written, or the file is not a journal.
        """
        self.path = path
        self.found: Reading = read(path, front) if found is None else found
        self.report: Reporter | None = None
        self.due_ns = 0
        self.trouble: str | None = None
        self._disk = DiskFile(path)
        self.memory = Kept()
        self._last: bytes = FIRST
        self._recent: list[Line] = []
        self._pending: deque[tuple[int, bytes]] = deque()
        self._anew = False
        self._dirty = False
        self._written = self._synced = 0
        self._busy_since: float | None = None
        self._looked_s = self._failed_s = 0.0
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._closed = False
        self._spent: deque[Path] = deque()
        self._front_path = front
        self._front: Front | None = None
        self._helper: threading.Thread | None = None
        self._adopt(self.found, bodies)

    def _adopt(self, found: Reading, bodies: list[bytes] | None) -> None:
        """Go on where the log was left; what must be mended is left to the helper."""
        same = bodies is None or bodies == found.bodies
        sound = found.whole and same and not found.after
        if bodies is None and sound and isinstance(found.log, Kept) and found.tail:
            self.memory, lines = found.log, list(found.tail)
            self._last = lines[-1].own  # as they were read; of a long night making them anew takes a while
        else:
            lines = []
            for body in found.log if bodies is None else bodies:
                lines.append(self._add(body))
                if len(lines) % 1000 == 0:
                    self.memory.compact()
        # The front is to begin with all that the disk may lack, and a few more as a witness.
        first = min(found.on_disk if sound else 0, max(0, len(self.memory) - WITNESSES))
        self._recent = [line for line in lines if line.number > first]
        try:
            if found.is_empty and found.whole:
                self._disk.create()
                self._anew = len(self.memory) > 0
            elif sound:
                self._disk.go_on(max(found.end, len(MAGIC)))
                self._pending.extend((n.number, n.to_bytes()) for n in found.tail if n.number > found.on_disk)
            else:
                self._anew = True
        except OSError as error:
            if not len(found.log):
                raise JournalError(
                    f"cannot keep a journal at {self.path}: {_reason(error)}; choose another folder"
                ) from None
            self._anew = True
            self.trouble = _reason(error)

    def _add(self, body: bytes) -> Line:
        line = following(self._last, len(self.memory) + 1, body)
        self._last = line.own
        self.memory.append(body)
        return line

    def _begin(self) -> None:
        """With the first record of this opening: the front with the log's last lines, and the helper."""
        if self._front_path is not None:
            with contextlib.suppress(OSError):
                self._front = Front(self._front_path, self._recent)
        self._recent.clear()
        self._helper = threading.Thread(target=self._help, name="journal", daemon=True)
        self._helper.start()

    def __len__(self) -> int:
        return len(self.memory)

    def append(self, body: bytes) -> None:
        """Add a record. When this returns, a killed process cannot lose it.

        Raises:
            JournalError: the body is not one line.
        """
        line = self._add(body)
        text = line.to_bytes()
        self._pending.append((line.number, text))
        if self._helper is None:
            self._recent.append(line)
            self._begin()
            if self._front is None:
                self._write_now()
        elif self._front is None or not self._front.append(line.number, text):
            self._write_now()

    def _write_now(self) -> None:
        """Without a front there is only the disk; if that has failed already, the helper goes on trying."""
        if self.trouble is None and self._lock.acquire(timeout=0.05):
            try:
                self._write(sync=False)  # the helper does
            finally:
                self._lock.release()

    def tidy(self) -> None:
        """Let the front forget what the disk has; when there is time."""
        if self._front is not None:
            # Giving much memory back takes milliseconds, so the helper does it.
            self._spent.extend(self._front.tidy(self._synced))

    @property
    def kept(self) -> bool:
        """Whether the disk has all of it."""
        return not self._pending and not self._dirty and not self._anew

    def _help(self) -> None:
        while not self._wake.wait(SYNC_S):
            with self._lock:
                self._write()
            self.memory.compact(self._give_way)
            while self._spent:
                self._spent.popleft().unlink(missing_ok=True)
        with self._lock:
            self._write()

    def late(self) -> str | None:
        """Why the disk does not have what it should, for people; None while all is well."""
        busy = self._busy_since
        if self.trouble is None and busy is not None and time.monotonic() - busy > SLOW_S:
            return "the disk takes very long"
        return self.trouble

    def _write(self, sync: bool = True) -> None:
        now = time.monotonic()
        if self.trouble is not None and now - self._failed_s < RETRY_S and not self._closed:
            return
        self._busy_since = now
        try:
            self._look(now)
            if self._anew or not self._disk.is_open:
                self._write_anew()
            while self._pending:
                self._give_way()
                self._write_some()
            if self._dirty and sync:
                self._give_way()
                self._disk.sync()
                self._dirty = False
                self._synced = self._written
        except OSError as error:
            self._failed_s = now
            self._anew = self._anew or self._dirty  # what was not synced may be anything
            self._say(_reason(error))
        else:
            self._say(None)
        finally:
            self._busy_since = None

    def _write_some(self) -> None:
        """A batch of what waits; one of many lines is one write."""
        texts: list[bytes] = []
        size = 0
        for _, text in itertools.islice(self._pending.copy(), 1000):
            texts.append(text)
            size += len(text)
            if size > BATCH_BYTES:
                break
        self._disk.append(b"".join(texts))
        self._dirty = True
        for _ in texts:
            self._written = self._pending.popleft()[0]
        self.memory.compact(self._give_way)

    def _give_way(self) -> None:
        """In the helper: wait for what is due in a moment, and a little longer."""
        if threading.current_thread() is not self._helper:
            return
        now_ns = time.monotonic_ns()
        until_ns = now_ns + GIVE_WAY_NS
        while 0 < self.due_ns - now_ns < NEAR_NS and now_ns < until_ns and not self._closed:
            time.sleep((self.due_ns - now_ns) / 1e9 + 0.0003)
            now_ns = time.monotonic_ns()

    def _look(self, now: float) -> None:
        if now - self._looked_s < LOOK_S or not self._disk.is_open:
            return
        self._looked_s = now
        wrong = self._disk.wrong()
        if wrong is not None and not self._anew:
            self._anew = True
            self._tell(ev.JournalState(state="damaged", why=wrong))

    def _write_anew(self) -> None:
        count = len(self.memory)
        self._disk.write_anew(self.memory.slice, count)
        while self._pending and self._pending[0][0] <= count:
            self._pending.popleft()
        self._anew, self._dirty = False, False
        self._written = self._synced = count
        self._tell(ev.JournalState(state="written anew", why=""))

    def _say(self, trouble: str | None) -> None:
        if trouble == self.trouble:
            return
        self.trouble = trouble
        self._tell(ev.JournalState(state="behind" if trouble else "kept", why=trouble or ""))

    def _tell(self, event: ev.Event) -> None:
        if self.report is not None:
            self.report(event)

    def close(self, over: bool = True) -> None:
        """Bring everything to the disk and let go. When the run is ``over`` the front goes as well, if the
        disk has everything; otherwise it stays as a witness."""
        if self._closed:
            return
        self._closed = True
        self._wake.set()
        if self._helper is not None:
            self._helper.join()
        if self._front is not None:
            self._front.close(forget=over and self.kept)
        self._disk.close()

    def __enter__(self) -> "Journal":
        return self

    def __exit__(self, *_: Any) -> None:
        self.close()


def _reason(error: OSError) -> str:
    return (error.strerror or os.strerror(error.errno or 0)).lower()
