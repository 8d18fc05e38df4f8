"""What remotes ask for, brought to the engine's own thread and past the gate."""

import threading
from collections import deque
from collections.abc import Callable
from typing import Any

from showcaller.engine.remote.gate import Asked, Gate
from showcaller.engine.remote.limits import Allowance, Complaints
from showcaller.engine.remote.midi import PedalPort
from showcaller.engine.remote.osc import OscListener
from showcaller.engine.runner import Runner
from showcaller.model.remote import OscRemote
from showcaller.run import events as ev

_AT_ONCE = 8
"""Asks carried out before the loop looks again at what is due by itself."""

_REFUSED_WRITTEN = 40
"""Refusals for the same reason that are written down one by one; more within 10 s are counted."""


class RemoteFeed:
    """The show's remotes, open. ``take`` is called by the engine's loop."""

    def __init__(self, runner: Runner, wake: Callable[[], None]) -> None:
        compiled = runner.compiled
        self._runner, self._wake = runner, wake
        self._gate = Gate()
        self._asked: deque[Asked] = deque()
        self._lock = threading.Lock()
        self._allowed: dict[str, Allowance] = {}
        self._complaints, self._refused = Complaints(), Complaints(grace=_REFUSED_WRITTEN)
        self._ports: list[Any] = [
            (OscListener if isinstance(remote, OscRemote) else PedalPort)(remote, self._post, self._say)  # type: ignore[arg-type]
            for remote in compiled.plan.show.remotes
        ]

    def _post(self, asked: Asked) -> None:
        with self._lock:  # two ports may be asked from the same place
            if not self._allowed.setdefault(asked.source, Allowance()).take(asked.at_ns):
                why = "more comes from there than any hand could send; the rest is ignored: check that remote"
                sentence = self._complaints.about(asked.source, "flood", why, asked.at_ns)
                if sentence is not None:
                    self._say("unread", asked.source, sentence)
                return
            self._asked.append(asked)
        self._wake()

    def _say(self, state: str, source: str, why: str) -> None:
        if why:
            what = "" if state == "unread" else "listen"
            self._runner.report(ev.RemoteAsked(what=what, source=source, why=why))

    def take(self) -> None:
        """Carry out what has been asked; every ask is logged with where it came from."""
        for _ in range(_AT_ONCE):
            if not self._asked:
                return
            asked = self._asked.popleft()
            command = self._gate.admit(asked, self._runner.compiled, self._runner.state)
            why: str | None = command if isinstance(command, str) else None
            if not isinstance(command, str):
                why = self._runner.take(command).refused
            if why is not None:
                why = self._refused.about(asked.source, why, why, asked.at_ns)
                if why is None:
                    continue
            fact = ev.RemoteAsked(what=asked.what[:40], source=asked.source, why=why)
            self._runner.report(fact)
        self._wake()

    def close(self) -> None:
        """Let go of every port."""
        for port in self._ports:
            port.close()
