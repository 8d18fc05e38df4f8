"""What the engine answers to a desk's requests. Knows no transport."""

import json
import os
import time
from collections.abc import Callable
from typing import Any

from showcaller.engine.desks_heard import Desks
from showcaller.engine.journal import Journal
from showcaller.engine.protocol import LOG_CHUNK, LOG_CHUNK_BYTES, sealed, unsealed
from showcaller.engine.runner import Runner
from showcaller.model.document import text_digest
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.calls_with import admitted
from showcaller.run.codec import command_from
from showcaller.run.runlog import Record
from showcaller.run.terms import WRITTEN
from showcaller.values import replace

LATE_GO_NS = 1_000_000_000
"""A go that was sent longer ago than this (the engine was down, or stopped) fires nothing: the moment it was
meant for is over. Real time."""

_LONGEST_REQUEST = 1 << 16
"""Bytes. Anything longer is a mistake, and might not fit a record of the journal."""

LONG_BYTES = 4096
"""A request longer than this takes long to answer."""

_LOG_STEP = 8


class Desk:
    """Answers for one run."""

    def __init__(
        self,
        runner: Runner,
        prepare: Callable[[c.ChangeTonight], None],
        run_id: str,
        show_text: str,
        journal: Journal,
        urgent: str,
    ) -> None:
        """``prepare`` takes changes of the show, which are made a little later; what comes of them is in the
        log."""
        self._runner = runner
        self._prepare = prepare
        self._run_id = run_id
        self._show_text = show_text
        self._journal = journal
        self._urgent = urgent
        self.desks = Desks(runner.report)

    def answered(self, secret: bytes, data: bytes, link: int | None = None) -> bytes | None:
        """The sealed answer to a sealed request; None for one of somebody who does not know the secret.
        ``link`` is the connection it came by, whose end is the desk's end."""
        body = unsealed(secret, data)
        return None if body is None else sealed(secret, json.dumps(self._answer(body, link)).encode())

    def _answer(self, body: bytes, link: int | None) -> dict[str, Any]:
        number: Any = None
        try:
            if len(body) > _LONGEST_REQUEST:
                raise c.CommandError(
                    f"a request is {_LONGEST_REQUEST} bytes at most; this one is {len(body)}"
                )
            request = json.loads(body)
            number, do = request["id"], request["do"]
            kind = do["kind"]
            desk = str(request.get("desk", ""))[:40]
            if desk and link is not None:
                self.desks.linked(desk, link)
            if kind == "here":
                return {"id": number, "ok": True, "say": None, **self._here(desk, do)}
            if kind in _OF_MACHINES:
                return {"id": number, **_OF_MACHINES[kind](self, do), "seq": len(self._runner.log)}
            if kind in _QUESTIONS:
                return {"id": number, "ok": True, "say": None, **_QUESTIONS[kind](self, do)}
            late_ns = time.monotonic_ns() - int(request.get("at", 1 << 62))
            if kind == "go" and late_ns > LATE_GO_NS:
                return {"id": number, "ok": False, "say": self._too_late(late_ns)}
            given = command_from(do)
            if isinstance(given, c.TakeCalls):
                given = replace(given, gone=self.desks.is_gone(self._runner.state.calling, time.monotonic()))
            given_or_not = admitted(self._runner.state, desk, given, str(request.get("seat", "")))
            if isinstance(given_or_not, c.ChangeTonight):
                self._prepare(given_or_not)
                return {"id": number, "ok": True, "say": None, "seq": len(self._runner.log)}
            if isinstance(given_or_not, c.PlayLayer):
                self._runner.play(given_or_not, desk)
                return {"id": number, "ok": True, "say": None, "seq": len(self._runner.log)}
            out = self._runner.take(given_or_not, by=desk)
        except c.CommandError as error:
            return {"id": number, "ok": False, "say": str(error)}
        except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return {"id": number, "ok": False, "say": 'a request is {"id": number, "do": {"kind": …}}'}
        return {"id": number, "ok": out.refused is None, "say": out.refused, "seq": len(self._runner.log)}

    def _too_late(self, late_ns: int) -> str:
        """A go from another moment: refused, and kept as refused."""
        why = f"that go reached the engine {late_ns / 1e9:.1f} s late and fired nothing; press go again"
        self._runner.take(c.Report(ev.CommandRefused(command="go", why=why)))
        return why

    def _here(self, desk: str, do: dict[str, Any]) -> dict[str, Any]:
        """A desk is there; whether the one with the calls is not."""
        now_s = time.monotonic()
        if desk:
            self.desks.heard(desk, str(do.get("name", ""))[:80], now_s)
        calling = self._runner.state.calling
        return {"calls_gone": bool(calling) and calling != desk and self.desks.is_gone(calling, now_s)}

    def hello(self, _: dict[str, Any]) -> dict[str, Any]:
        """Who this is, and its clock."""
        clock = self._runner.clock
        return {
            "run": self._run_id,
            "digest": text_digest(self._show_text),
            "seq": len(self._runner.log),
            "base_ns": clock.base_ns,
            "wall0_ns": clock.wall0_ns,
            "speed": clock.speed,
            "pid": os.getpid(),
            "urgent": self._urgent,
            "term": self._runner.state.term,
            "disk": self._runner.unkept or self._journal.late(),
        }

    def show(self, _: dict[str, Any]) -> dict[str, Any]:
        """The show document this run was opened with."""
        return {"show": self._show_text}

    def log(self, do: dict[str, Any]) -> dict[str, Any]:
        """Records from number ``from`` on, a chunk at a time."""
        start = max(1, int(do.get("from", 1)))
        found: list[str] = []
        size = 0
        while len(found) < LOG_CHUNK and size < LOG_CHUNK_BYTES:
            part = self._runner.log.slice(start - 1 + len(found), _LOG_STEP)
            if not part:
                break
            for body in part:
                found.append(body.decode())
                size += len(body)
                if size >= LOG_CHUNK_BYTES:  # what comes due meanwhile waits for as long as this takes
                    break
        return {"records": found, "from": start, "seq": len(self._runner.log)}

    def higher_term(self, do: dict[str, Any]) -> dict[str, Any]:
        """Another machine has taken over: nothing leaves here any more, and the engine ends."""
        out = self._runner.take(c.HigherTerm(int(do["term"]), str(do["machine"])))
        return {"ok": out.refused is None, "say": out.refused}

    def heard_apart(self, do: dict[str, Any]) -> dict[str, Any]:
        """Records of another machine's engine that this one had not heard."""
        heard: list[tuple[int, tuple[ev.Event, ...]]] = []
        for text in do["records"]:
            record = Record.from_bytes(text)
            events = record.events
            if isinstance(record.input, c.HeardApart):  # that engine had it from another, and wrote it again
                heard += record.input.heard or ()
                events = tuple(e for e in events if not isinstance(e, WRITTEN))
            heard.append((record.t_ns, events))
        out = self._runner.take(c.HeardApart(int(do["term"]), str(do["machine"]), tuple(heard)))
        return {"ok": out.refused is None, "say": out.refused}

    def pull_plug(self, _: dict[str, Any]) -> dict[str, Any]:
        """End as a pulled plug ends it; in a rehearsal with all outputs muted alone."""
        if not self._runner.state.all_muted:
            return {"ok": False, "say": "the plug is pulled in a rehearsal alone: mute all outputs first"}
        os._exit(137)


def takes_long(request: bytes) -> bool:
    """Whether answering may take a millisecond: it is long, or asks for a part of the log or for the show."""
    return len(request) > LONG_BYTES or any(kind in request for kind in (b'"log"', b'"show"'))


_OF_MACHINES = {
    "higher_term": Desk.higher_term, "heard_apart": Desk.heard_apart, "pull_plug": Desk.pull_plug
}  # fmt: skip
"""What the door of this machine alone may say, the process beside the engine that knows the others."""

_QUESTIONS = {"hello": Desk.hello, "show": Desk.show, "log": Desk.log}
