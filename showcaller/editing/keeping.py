"""A show's document on disk while it is being edited: every change is in a file before anybody sees it.

Beside ``NAME.json`` lies ``NAME.json.edits``, a log: a line with the digest of the document it starts from,
then a line for each change as it is made. Writing the whole document is left to a quiet moment; when it is
written the log starts again. What a killed program left in the log is put onto the document at the next
opening, so that at most the edit being typed is lost.
"""

import hashlib
import json
import os
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from filelock import FileLock, Timeout

from showcaller.editing.changes import Change, ChangeError, apply, change_from
from showcaller.editing.importing.shows import try_first
from showcaller.model import DocumentError, Show, parse_show, show_text
from showcaller.model.document import document_bytes, document_text, text_digest, write_document

QUIET_S = 0.4
"""The document is written when nothing was changed for this long."""


class Keeper:
    """The document at ``path``, open for editing. ``trouble`` is a sentence while it cannot be written.

    ``said`` is what there is to tell about the opening, if anything. One keeper at a time may change a
    document; a second one is ``read_only``.
    """

    def __init__(
        self, path: Path, on_trouble: Callable[[str | None], None] = lambda _: None, is_copy: bool = False
    ) -> None:
        """Open the document, and bring in what an earlier program could not write any more. ``is_copy``: the
        document itself is on another machine.

        Raises:
            DocumentError: it cannot be read, or is not a show.
        """
        self.path, self.is_copy = path, is_copy
        self.trouble: str | None = None
        self.said: str | None = None
        self._on_trouble = on_trouble
        self._log = path.with_name(f"{path.name}.edits")
        self._lock = FileLock(path.with_name(f".{path.name}.lock"))
        locked_out = self._lock_out()
        self.read_only = locked_out is not None
        raw = document_bytes(path)
        try_first(path, len(raw))
        self.show = parse_show(document_text(raw, path.name), path.name)
        self._on_disk = hashlib.sha256(raw).hexdigest()
        self._handle: int | None = None
        self._wake = threading.Condition()
        self._wanted: tuple[Show, int] | None = None
        self._count = 0
        self._last_s = 0.0
        self._closing = False
        self._busy = False
        if self.read_only:
            self.said = locked_out
            self._thread = None
            self.recovered = False
            return
        self.recovered = recovered = self._recover()
        self._thread = threading.Thread(target=self._write_when_quiet, name="document", daemon=True)
        self._thread.start()
        if recovered:
            self._want(self.show)

    def record(self, change: Change, show: Show) -> None:
        """Keep a change that has just been made and led to ``show``: in the log now, in the document soon."""
        with self._wake:  # so that the log is not started anew between the line and the wish
            try:
                if self._handle is None:
                    self._handle = os.open(self._log, os.O_CREAT | os.O_WRONLY | os.O_TRUNC, 0o644)
                    self._line({"base": self._on_disk, "upto": self._count})
                self._count += 1
                self._line({"change": change.model_dump(mode="json"), "n": self._count})
            except OSError as error:
                self._say(f"the edit could not be logged ({_reason(error)}); make room, then edit on")
            self.show = show
            self._want(show)

    def replace(self, show: Show) -> None:
        """The document is another one now, as it was made elsewhere: in the document soon. What the log holds
        belongs to the one before."""
        with self._wake:
            if self._handle is not None:
                os.close(self._handle)
                self._handle = None
                self._log.unlink(missing_ok=True)
            self.show = show
            self._want(show)

    def flush(self, timeout_s: float = 10.0) -> bool:
        """Wait until all is in the document; False if that did not work in time."""
        if self._thread is None:
            return True
        end_s = time.monotonic() + timeout_s
        with self._wake:
            self._last_s = -1e9
            self._wake.notify_all()
            while (self._wanted is not None or self._busy) and time.monotonic() < end_s:
                self._wake.wait(0.05)
            return self._wanted is None and not self._busy

    def close(self) -> None:
        """Write what is not written and let go of the document."""
        self.flush()
        with self._wake:
            self._closing = True
            self._wake.notify_all()
        if self._thread is not None:
            self._thread.join(timeout=5)
            self._lock.release()

    # Writing

    def _line(self, line: dict[str, Any]) -> None:
        assert self._handle is not None
        os.write(self._handle, json.dumps(line, ensure_ascii=False).encode() + b"\n")

    def _want(self, show: Show) -> None:
        with self._wake:
            # A thread that has something to write looks by itself; waking it at every edit costs the edit.
            asleep = self._wanted is None
            self._wanted = (show, self._count)
            self._last_s = time.monotonic()
            if asleep:
                self._wake.notify_all()

    def _write_when_quiet(self) -> None:
        while True:
            with self._wake:
                while self._wanted is None or time.monotonic() - self._last_s < QUIET_S:
                    if self._closing and self._wanted is None:
                        return
                    self._wake.wait(None if self._wanted is None else QUIET_S / 2)
                wanted, self._wanted, self._busy = self._wanted, None, True
            good = self._write(*wanted)
            with self._wake:
                self._busy = False
                if not good and self._wanted is None and not self._closing:
                    self._wanted, self._last_s = wanted, time.monotonic() + 2.0
                self._wake.notify_all()

    def _write(self, show: Show, upto: int) -> bool:
        """Write the show as it was after ``upto`` changes; more may be made, and logged, meanwhile."""
        text = show_text(show)
        new = text_digest(text)
        try:
            self._keep_theirs()
            if self._handle is not None:
                self._line({"saved": new, "upto": upto})
            write_document(text, self.path)
        except (DocumentError, OSError) as error:
            why = error.problems[0] if isinstance(error, DocumentError) else _reason(error)
            self._say(f"not saved: {why}; the edits are kept here and saving is tried again")
            return False
        self._on_disk = new
        with self._wake:
            if self._wanted is None and self._handle is not None:
                # All that the log holds is in the document now.
                os.close(self._handle)
                self._handle = None
                self._log.unlink(missing_ok=True)
        self._say(None)
        return True

    def _keep_theirs(self) -> None:
        """Set aside what another program wrote into the document since we looked."""
        try:
            theirs = self.path.read_bytes()
        except FileNotFoundError:
            return
        if hashlib.sha256(theirs).hexdigest() == self._on_disk or not theirs:
            return
        stamp = time.strftime("%H%M%S")
        aside = self.path.with_name(f"{self.path.stem}.changed-elsewhere-{stamp}{self.path.suffix}")
        aside.write_bytes(theirs)
        self.said = f"another program changed {self.path.name}; its version is kept as {aside.name}"

    def _say(self, trouble: str | None) -> None:
        if trouble != self.trouble:
            self.trouble = trouble
            self._on_trouble(trouble)

    # Opening

    def _lock_out(self) -> str | None:
        """Take the lock, or say why nothing can be changed here."""
        try:
            self._lock.acquire(timeout=0)
        except Timeout:
            return f"{self.path.name} is open in another desk; here it is read-only: edit it there"
        except OSError as error:
            return f"{self.path.parent} cannot be written ({_reason(error)}); read-only: allow writing there"
        return None

    def _recover(self) -> bool:
        """Put onto the document what the log holds beyond it."""
        if not self._log.exists():
            return False
        lines, whole = _lines(self._log)
        after = _since(lines, self._on_disk)
        if after is None:
            aside = self._log.with_name(f"{self._log.name}.aside-{time.strftime('%Y%m%d-%H%M%S')}")
            self._log.replace(aside)
            self.said = (
                f"{self.path.name} was changed elsewhere after a desk had stopped in mid-edit; what that "
                f"desk had not written is kept in {aside.name}"
            )
            return False
        count = 0
        for line in after:
            try:
                self.show, _ = apply(self.show, change_from(line["change"]))
            except ChangeError as error:
                self.said = f"one edit of the last session could not be brought back: {error}"
                break
            count += 1
        if count and self.said is None:
            edits = "one edit" if count == 1 else f"{count} edits"
            self.said = f"{edits} of a desk that stopped in mid-edit brought back"
        # The log stays until the document holds them; new lines go behind the old.
        self._handle = os.open(self._log, os.O_WRONLY | os.O_APPEND)
        os.ftruncate(self._handle, whole)  # a torn line must not run into the next
        self._count = max((int(line["n"]) for line in lines if "n" in line), default=0)
        return count > 0


def _lines(log: Path) -> tuple[list[dict[str, Any]], int]:
    """(the log's lines up to the first that is torn, how many bytes those are)."""
    found: list[dict[str, Any]] = []
    whole = 0
    for raw in log.read_bytes().split(b"\n")[:-1]:
        try:
            found.append(json.loads(raw))
        except ValueError:
            break
        whole += len(raw) + 1
    return found, whole


def _since(lines: list[dict[str, Any]], on_disk: str) -> list[dict[str, Any]] | None:
    """The changes that the document on disk does not hold; None if the log does not know it.

    A change may be logged while an earlier state is being written, so they are told apart by their number.
    """
    known = [line for line in lines if on_disk in (line.get("base"), line.get("saved"))]
    if not known:
        return None
    upto = int(known[-1].get("upto", 0))
    return [line for line in lines if "change" in line and int(line.get("n", 0)) > upto]


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
