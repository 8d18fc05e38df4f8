"""Following whatever run is on, on a thread of its own: what it has to tell goes to :class:`Told`.

It never starts an engine and never holds one up: it reads what the engine publishes, and asks for what it has
missed. Without a run it looks for one; when one is over, for the next.
"""

import logging
import queue
import threading
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from showcaller.calling.session import RunSession
from showcaller.crew.outline import Outline, outline_of
from showcaller.crew.page_state import page_state, sheet_state
from showcaller.crew.positions import Position, positions_of
from showcaller.engine.clock import RunClock
from showcaller.engine.launch import engine_lives, open_runs
from showcaller.engine.protocol import JOURNAL_FILE, SHOW_FILE, NoEngine
from showcaller.model import DocumentError, read_show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runbook import RunBook
from showcaller.values import Struct, field, replace

log = logging.getLogger(__name__)

LOOK_S = 0.01
"""How often it is looked whether something has come."""
ANEW_S = 0.25
"""What changes with time alone is worked out so often."""
_RESTS = 3
"""Between two workings-out there is so many times as long as one took, however much happens."""
FIND_S = 0.5
STALE_S = 1.0
"""A follower that has not looked for so long is not to be believed."""
_NEWEST = 8
"""Among so many runs the one that is on is looked for."""

MEANT_FOR_S = 1.0
"""What was asked longer ago than this was meant for another moment: it is not handed on, and that is said."""
TOO_LATE = "the run was away for a moment; look again, then answer again"

Asked = c.StandBy | c.Clear | c.TickLine | c.UntickLine


def who_of(command: Asked) -> str:
    """Whose word it is, as in the log."""
    return command.who if isinstance(command, c.StandBy) else command.by


class Result(Struct, frozen=True):
    """What became of what a page asked: ``who`` asked, and why it was refused, if it was."""

    who: str
    refused: str | None


class Told(Struct, frozen=True):
    """What a look has found. ``states`` and ``sheets`` are by the position's key, those that are wanted;
    ``sheets`` is None where none can be another than it was."""

    positions: tuple[Position, ...] = ()
    states: dict[str, dict[str, Any]] = field(default_factory=dict)
    sheets: dict[str, dict[str, Any]] | None = None
    results: tuple[Result, ...] = ()


def is_run_folder(path: Path) -> bool:
    """Whether this is the folder of one run, not one with runs in it."""
    return (path / JOURNAL_FILE).exists()


class Follower(threading.Thread):
    """``tell`` takes what was found, on this thread; ``where`` is a run's folder, or one with runs in it."""

    def __init__(self, where: Path, tell: Callable[[Told], None], show: Path | None = None) -> None:
        """``show`` is the document whose positions can be chosen before a run is open."""
        super().__init__(name="following the run", daemon=True)
        self._where = where
        self._document = _Document(show or where / SHOW_FILE)
        self._tell = tell
        self._ended = threading.Event()
        self._asked: queue.SimpleQueue[tuple[float, Asked]] = queue.SimpleQueue()
        self._looked_s = 0.0
        self._good = False
        self.clock: RunClock | None = None
        self.wanted: frozenset[str] = frozenset()
        """Keys of the positions somebody looks at; written by the server's thread."""

    def is_live(self) -> bool:
        """Whether what was told last is how it stands: a run's engine was heard a moment ago, or there is no
        run (``clock`` is None). From any thread."""
        return self._good and time.monotonic() - self._looked_s < STALE_S

    def ask(self, command: Asked) -> None:
        """Hand the engine a command at once, or not at all: it may be gone, and another run come. From any
        thread."""
        self._asked.put((time.monotonic(), command))

    def stop(self) -> None:
        """End the thread and wait for it."""
        self._ended.set()
        if self.is_alive():
            self.join()

    def run(self) -> None:
        """Until stopped."""
        while not self._ended.is_set():
            folder = self._find()
            if folder is None:
                self._tell(Told(self._document.positions(), results=self._hand_on(None)))
                self._looked_s, self._good, self.clock = time.monotonic(), True, None
                self._ended.wait(FIND_S)
                continue
            try:
                session = RunSession(folder, None, restarts=False)
            except (NoEngine, DocumentError, OSError) as error:
                log.warning("the run in %s cannot be followed yet: %s", folder.name, error)
                self._ended.wait(FIND_S)
                continue
            try:
                self._follow(session)
            except Exception:  # whatever it is, pages say that they are not connected, and it is begun anew
                log.exception("following the run failed and begins anew")
                self._ended.wait(FIND_S)
            finally:
                self._good = False
                session.close()

    def _hand_on(self, session: RunSession | None) -> tuple[Result, ...]:
        """Hand on what was asked; what was asked too long ago, or of an engine that is away, is told back."""
        late = []
        while not self._asked.empty():
            asked_s, command = self._asked.get()
            there = session is not None and session.trouble is None
            if session is not None and there and time.monotonic() - asked_s < MEANT_FOR_S:
                session.send(command)
            else:
                late.append(Result(who_of(command), TOO_LATE))
        return tuple(late)

    def _find(self) -> Path | None:
        if is_run_folder(self._where):
            return self._where if engine_lives(self._where) else None
        return next((f for f in reversed(open_runs(self._where)[-_NEWEST:]) if engine_lives(f)), None)

    def _follow(self, session: RunSession) -> None:
        self.clock = session.clock
        look = _Look(session.book)
        late: tuple[Result, ...] = ()
        worked_s, took_s, found_s, changed = 0.0, 0.0, time.monotonic(), False
        while not self._ended.is_set():
            late += self._hand_on(session)
            changed = session.poll() or changed
            now_s = time.monotonic()
            if session.book.state.phase == "ended" or session.trouble is not None:
                if now_s - found_s > FIND_S:
                    found_s = now_s
                    if self._find() not in (session.folder, None):
                        return  # another has begun
            else:
                found_s = now_s
            if now_s - worked_s > (_RESTS * took_s if changed else ANEW_S):
                told = look.told(session.book, self.wanted, session.now_ns())
                self._tell(replace(told, results=(*told.results, *late)))
                late = ()
                worked_s, changed = time.monotonic(), False
                took_s = worked_s - now_s
            self.clock = session.clock  # on a joined machine it is put right again and again
            self._looked_s, self._good = time.monotonic(), session.trouble is None
            self._ended.wait(LOOK_S)


class _Document:
    """The positions of a show document, read again when it was written."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._written = 0.0
        self._found: tuple[Position, ...] = ()

    def positions(self) -> tuple[Position, ...]:
        try:
            written = self._path.stat().st_mtime
            if written != self._written:
                self._written = written
                self._found = positions_of(read_show(self._path))
        except (OSError, DocumentError) as error:
            log.warning("the show %s cannot be read: %s", self._path.name, error)
        return self._found


class _Look:
    """Works out what pages are told, and what is new in the log since the last look."""

    def __init__(self, book: RunBook) -> None:
        self._seen = len(book.records)
        self._show: object = None
        self._for: frozenset[str] = frozenset()
        self._outlines: dict[str, Outline] = {}
        self._positions: tuple[Position, ...] = ()

    def told(self, book: RunBook, wanted: frozenset[str], now_ns: int) -> Told:
        show = book.compiled.plan.show
        if show is not self._show:
            self._show, self._positions, self._outlines = show, positions_of(show), {}
        results = []
        happened = self._for != wanted or self._seen > len(book.records)
        self._for = wanted
        self._seen = min(self._seen, len(book.records))
        for record in book.records[self._seen :]:
            happened = happened or not isinstance(record.input, c.Report)
            if isinstance(record.input, Asked):
                why = next((e.why for e in record.events if isinstance(e, ev.CommandRefused)), None)
                results.append(Result(who_of(record.input), why))
        self._seen = len(book.records)
        here = [p for p in self._positions if p.key in wanted]
        for p in here:
            if p.key not in self._outlines:
                self._outlines[p.key] = outline_of(book, p)
        return Told(
            self._positions,
            {p.key: page_state(book, p, self._outlines[p.key], now_ns) for p in here},
            {p.key: sheet_state(book, self._outlines[p.key]) for p in here} if happened else None,
            tuple(results),
        )
