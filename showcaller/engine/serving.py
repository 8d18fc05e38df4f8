"""What the engine answers to a desk's requests. Knows no transport."""

import json
import os
import time
from typing import Any

from showcaller.engine.journal import Journal
from showcaller.engine.protocol import LOG_CHUNK, LOG_CHUNK_BYTES, sealed, unsealed
from showcaller.engine.runner import Runner
from showcaller.model.document import text_digest
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import command_from

LATE_GO_NS = 1_000_000_000
"""A go that was sent longer ago than this (the engine was down, or stopped) fires nothing: the moment it was
meant for is over. Real time."""

_LONGEST_REQUEST = 1 << 16
"""Bytes. Anything longer is a mistake, and might not fit a record of the journal."""

_LOG_STEP = 32


class Desk:
    """Answers for one run."""

    def __init__(self, runner: Runner, run_id: str, show_text: str, journal: Journal, urgent: str) -> None:
        self._runner = runner
        self._run_id = run_id
        self._show_text = show_text
        self._journal = journal
        self._urgent = urgent

    def answered(self, secret: bytes, data: bytes) -> bytes | None:
        """The sealed answer to a sealed request; None for one of somebody who does not know the secret."""
        body = unsealed(secret, data)
        return None if body is None else sealed(secret, json.dumps(self._answer(body)).encode())

    def _answer(self, body: bytes) -> dict[str, Any]:
        number: Any = None
        try:
            if len(body) > _LONGEST_REQUEST:
                raise c.CommandError(
                    f"a request is {_LONGEST_REQUEST} bytes at most; this one is {len(body)}"
                )
            request = json.loads(body)
            number, do = request["id"], request["do"]
            kind = do["kind"]
            if kind in _QUESTIONS:
                return {"id": number, "ok": True, "say": None, **_QUESTIONS[kind](self, do)}
            late_ns = time.monotonic_ns() - int(request.get("at", 1 << 62))
            if kind == "go" and late_ns > LATE_GO_NS:
                return {"id": number, "ok": False, "say": self._too_late(late_ns)}
            out = self._runner.take(command_from(do))
        except c.CommandError as error:
            return {"id": number, "ok": False, "say": str(error)}
        except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return {"id": number, "ok": False, "say": 'a request is {"id": number, "do": {"kind": …}}'}
        return {"id": number, "ok": out.refused is None, "say": out.refused, "seq": len(self._runner.log)}

    def _too_late(self, late_ns: int) -> str:
        """A go from another moment: refused, and kept as refused."""
        why = f"that go reached the engine {late_ns / 1e9:.1f} s late and fired nothing; give it again"
        self._runner.take(c.Report(ev.CommandRefused(command="go", why=why)))
        return why

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
            found += [body.decode() for body in part]
            size += sum(map(len, part))
        return {"records": found, "from": start, "seq": len(self._runner.log)}


_QUESTIONS = {"hello": Desk.hello, "show": Desk.show, "log": Desk.log}
