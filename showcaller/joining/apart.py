"""What this machine's engine did while the others did not hear it: kept until the one that counts has it."""

import contextlib
import json
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import Any

from showcaller.joining.machine import write_private
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import event_dict, to_json
from showcaller.run.runlog import Record
from showcaller.run.terms import TELL_APART
from showcaller.values import replace

FILE = "to-tell.json"
CHUNK_BYTES = 40_000
"""As they are sent. A request to an engine is 64 KiB at most."""
_RAISED = json.dumps(ev.TermRaised.kind).encode()
_APART = json.dumps(c.HeardApart.kind).encode()
_NOTHING = (c.Report, c.HigherTerm, c.UnknownInput)
"""What its outlets said, and that it let go, is nothing to the other."""


Told = tuple[int, str]
"""What tells one record from another wherever it is told of: its instant (ns), and its events as text."""


def told_of(bodies: list[bytes], known: Collection[Told] = ()) -> list[str]:
    """Those of its records that tell of something, as texts, each short enough for a request; without those
    that are ``known`` at the other (:func:`already_told`). One that is too long (a change of the show) is
    told with what counts of it alone, or as one that was: all of it stays in the log here."""
    found: dict[Told, str] = {}
    for body in bodies:
        with contextlib.suppress(ValueError):
            record = Record.from_bytes(body)
            for one in _of_others(record) if isinstance(record.input, c.HeardApart) else (record,):
                told = _told(one.t_ns, one.events)
                if one.events and not isinstance(one.input, _NOTHING) and told not in known:
                    text = body.decode() if one is record else one.to_bytes().decode()
                    found.setdefault(told, _fitting(text, one))
    return list(found.values())


def already_told(bodies: Iterable[bytes]) -> set[Told]:
    """What was told apart, in a log."""
    found: set[Told] = set()
    for body in bodies:
        if _APART in body:
            with contextlib.suppress(ValueError):
                given = Record.from_bytes(body).input
                if isinstance(given, c.HeardApart):
                    found.update(_told(t_ns, events) for t_ns, events in given.heard or ())
    return found


def _told(t_ns: int, events: tuple[ev.Event, ...]) -> Told:
    return t_ns, to_json([event_dict(event) for event in events])


def _of_others(record: Record) -> Iterator[Record]:
    """What an engine had heard of another, one by one, and what it was in doubt of for that."""
    assert isinstance(record.input, c.HeardApart)
    for t_ns, events in record.input.heard or ():
        yield Record(record.seq, t_ns, record.wall_ns, c.Tick(), events)
    doubts = tuple(e for e in record.events if isinstance(e, ev.CuesDoubtful))
    yield replace(record, input=c.Tick(), events=doubts)


def _fitting(text: str, record: Record) -> str:
    if _sent_bytes(text) <= CHUNK_BYTES:
        return text
    for events in (tuple(e for e in record.events if isinstance(e, TELL_APART)), ()):
        text = replace(record, input=c.Tick(), events=events).to_bytes().decode()
        if _sent_bytes(text) <= CHUNK_BYTES:
            break
    return text


def _sent_bytes(text: str) -> int:
    """What a text takes in a request: letters beyond ASCII, and quotes, are more than one each."""
    return len(json.dumps(text)) + 2


def term_of(bodies: Iterable[bytes]) -> int:
    """The term they were written in; 0 where none was ever raised."""
    term = 0
    for body in bodies:
        if _RAISED in body:  # most have none, and need not be read
            with contextlib.suppress(ValueError):
                events = Record.from_bytes(body).events
                term = max([term, *(e.term for e in events if isinstance(e, ev.TermRaised))])
    return term


def chunks_of(term: int, texts: list[str]) -> list[dict[str, Any]]:
    """Texts of records as requests take them."""
    chunks: list[dict[str, Any]] = []
    part: list[str] = []
    size = 0
    for text in texts:
        if part and size + _sent_bytes(text) > CHUNK_BYTES:
            chunks.append({"term": term, "records": part})
            part, size = [], 0
        part.append(text)
        size += _sent_bytes(text)
    return [*chunks, {"term": term, "records": part}] if part else chunks


class Untold:
    """Chunks that are still to be told, on disk too: the machine may be switched off meanwhile."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / FILE
        self.chunks: list[dict[str, Any]] = []
        with contextlib.suppress(OSError, ValueError):
            self.chunks = list(json.loads(self._path.read_text(encoding="utf-8")))

    def add(self, term: int, texts: list[str]) -> None:
        """More."""
        self.chunks += chunks_of(term, texts)
        self._keep()

    def told(self) -> None:
        """The first of them has arrived."""
        del self.chunks[:1]
        self._keep()

    def _keep(self) -> None:
        with contextlib.suppress(OSError):
            if self.chunks:
                write_private(self._path, json.dumps(self.chunks))
            else:
                self._path.unlink(missing_ok=True)
