"""The log of a run that is on elsewhere, kept here word by word, so that this machine can take it up."""

import contextlib
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

from filelock import BaseFileLock, FileLock, Timeout

from showcaller.engine.clock import RunClock, boot_id
from showcaller.engine.held_back import hold_back
from showcaller.engine.journal import Journal, JournalError, Reading, look, read, together
from showcaller.engine.journal.front import forget_front
from showcaller.engine.journal.memory import Selection
from showcaller.engine.opening import front_of
from showcaller.engine.private import lease
from showcaller.engine.protocol import JOURNAL_FILE, LOCK_FILE, SHOW_FILE
from showcaller.engine.runfile import RunFileError, clock_entry, header
from showcaller.joining.engine_side import number_of
from showcaller.joining.errors import JoinError
from showcaller.run.runlog import RECORD_BEGINNING

APART, WAS, NEW = "journal.apart", "journal.was", "journal.new"
"""A log that was put aside: not told yet, and told; one that is being written."""
_ON_DISK_S = 2.0
_AT_ONCE = 500


class Copy:
    """One run's. Holds the folder's lock while it is open, as an engine does: nobody starts one beside it."""

    def __init__(
        self, runs: Path, run_id: str, show_text: str, clock: RunClock, whose: tuple[str, int]
    ) -> None:
        """Take up what was kept of this run before, or begin. ``whose`` is the machine that has it, and its
        term: no engine starts here but one that takes over.

        Raises:
            JoinError: another has the folder, or the disk does not take it.
        """
        if not run_id.isalnum():
            raise JoinError("that machine tells of a run whose name is none; use one version of showcaller")
        self.folder = runs / run_id
        self.run_id, self.show_text = run_id, show_text
        self._clock = clock
        self.before: list[bytes] = []
        """Records that were kept here and are not in the log that is followed now."""
        self._before_path: Path | None = None
        self._lock = FileLock(self.folder / LOCK_FILE)
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            self._lock.acquire(blocking=False)
            (self.folder / SHOW_FILE).write_text(show_text, encoding="utf-8")
            hold_back(self.folder, *whose)
            self._open()
            self._read_before()
        except Timeout:
            raise JoinError(
                "an engine, or another window, has this show open on this machine; close it"
            ) from None
        except (OSError, JournalError, RunFileError) as error:
            self._lock.release()
            raise JoinError(f"the log cannot be kept in {self.folder}: {error}") from None

    def _open(self) -> None:
        path = self.folder / JOURNAL_FILE
        on_disk = look(path)
        front, right = self._front(on_disk)
        found = together(path, on_disk, front)
        if not found.is_empty and (found.after or not found.whole):
            self._mend(found)
            found = together(path, look(path), None)
        self._journal = Journal(path, None, found)
        self.log = Selection(self._journal.memory, RECORD_BEGINNING)
        if found.is_empty:
            self._journal.append(header(self.run_id, self.show_text, self._clock.wall0_ns))
        self._journal.append(clock_entry(self._clock))
        until_s = time.monotonic() + _ON_DISK_S
        while front is not None and not self._journal.kept and time.monotonic() < until_s:
            time.sleep(0.01)
        if front is not None and self._journal.kept:
            forget_front(front)
        if right is not None:
            right.release()

    def _front(self, on_disk: Any) -> tuple[Path | None, BaseFileLock | None]:
        """What an engine that was killed here left in memory, and may not have on disk; with the right to it.
        None while an engine of this run lives on this very machine: it is its own."""
        try:
            right = lease(self.run_id)
        except Timeout:
            return None, None
        return front_of(self.folder, on_disk), right

    def _mend(self, found: Reading) -> None:
        """The log is damaged, or what an engine left in memory is of another: its beginning stays, since
        somebody may have to take over before the rest is here, and all there is is put aside to be told."""
        self._write_aside([*found.bodies, *(line.body for line in found.after)])
        sound = read(self.folder / JOURNAL_FILE)
        if sound.after or not sound.whole:
            self._write(self.folder / NEW, sound.bodies)
            (self.folder / NEW).replace(self.folder / JOURNAL_FILE)

    def _aside(self) -> Path:
        number = 1 + sum(1 for name in (APART, WAS) for _ in self.folder.glob(f"{name}-*"))
        return self.folder / f"{APART}-{number:04}"

    def _write_aside(self, bodies: list[bytes]) -> None:
        new = self.folder / NEW
        self._write(new, bodies)
        new.replace(self._aside())

    @staticmethod
    def _write(path: Path, bodies: Iterable[bytes]) -> None:
        path.unlink(missing_ok=True)
        with Journal(path, None) as written:
            for body in bodies:
                written.append(body)

    def all(self) -> Iterator[bytes]:
        """Every record of the log here."""
        for start in range(0, len(self.log), _AT_ONCE):
            yield from self.log.slice(start, _AT_ONCE)

    def __len__(self) -> int:
        return len(self.log)

    def add(self, body: bytes) -> bool:
        """Keep a record if it is the next; whether it was."""
        if number_of(body) != len(self.log) + 1:
            return False
        with contextlib.suppress(
            OSError
        ):  # a full disk is told by the journal, and nothing is lost meanwhile
            self._journal.append(body)
        self.log.take_last()
        return True

    def differs(self, bodies: list[bytes]) -> bool:
        """Whether one of these records is another than the one kept here under its number."""
        for body in bodies:
            number = number_of(body)
            if number <= len(self.log) and self.log.slice(number - 1, 1) != [body]:
                return True
        return False

    def replace(self, bodies: list[bytes]) -> None:
        """The log that is followed is another, and all of it is here: it takes the place of what was kept, at
        once or not at all. What was kept is put aside until it is told what of it the other lacks."""
        new = self.folder / NEW
        self._write(new, [header(self.run_id, self.show_text, self._clock.wall0_ns), *bodies])
        self._journal.close()
        journal, aside = self.folder / JOURNAL_FILE, self._aside()
        try:
            aside.hardlink_to(journal)  # there is a log at every moment
        except OSError:
            journal.rename(aside)
        new.replace(journal)
        self._open()
        self._read_before()

    def _read_before(self) -> None:
        """What was put aside and not told yet; also before this machine was switched off."""
        for path in sorted(self.folder.glob(f"{APART}-*")):
            with contextlib.suppress(OSError, JournalError):
                self.before = [b for b in read(path).bodies if b.startswith(RECORD_BEGINNING)]
                self._before_path = path
                return

    def apart(self) -> list[bytes]:
        """Records that were kept here before and that the log lacks which is followed now."""
        at = next(
            (n for n, body in enumerate(self.before) if self.log.slice(n, 1) != [body]), len(self.before)
        )
        rest = self.before[at:]
        return [body for body in rest if self.log.slice(number_of(body) - 1, 1) != [body]]

    def told(self) -> None:
        """They are told, or are kept to be."""
        if self._before_path is not None:
            with contextlib.suppress(OSError):
                self._before_path.rename(self.folder / self._before_path.name.replace(APART, WAS))
        self.before, self._before_path = [], None
        self._read_before()

    def close(self, clock: RunClock | None = None) -> None:
        """Let go; ``clock`` is the run's on this machine, for an engine that is to go on from here."""
        if clock is not None:
            with contextlib.suppress(OSError):
                self._journal.append(clock_entry(clock))
        self._journal.close()
        self._lock.release()

    @property
    def trouble(self) -> str | None:
        """Why the log cannot be kept here; None while it is."""
        return self._journal.late()


def clock_here(hello: dict[str, Any], offset_ns: int) -> RunClock:
    """The run's clock by this machine's monotonic one, which is ``offset_ns`` behind the engine's."""
    return RunClock(
        int(hello["base_ns"]) - offset_ns, float(hello["speed"]), boot_id(), int(hello["wall0_ns"])
    )
