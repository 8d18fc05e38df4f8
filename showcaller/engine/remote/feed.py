"""What remotes ask for, brought to the engine's own thread and past the gate."""

from collections import deque
from collections.abc import Callable
from typing import Any

from showcaller.engine.remote.gate import Asked, Gate
from showcaller.engine.remote.midi import PedalPort
from showcaller.engine.remote.osc import OscListener
from showcaller.engine.runner import Runner
from showcaller.model.remote import OscRemote
from showcaller.timing.calls import compile_show_calls


class RemoteFeed:
    """The show's remotes, open. ``take`` is called by the engine's loop."""

    def __init__(self, runner: Runner, wake: Callable[[], None]) -> None:
        program = runner.program
        self._runner, self._wake = runner, wake
        self._gate = Gate(program, compile_show_calls(program.plan))
        self._asked: deque[Asked] = deque()
        self._ports: list[Any] = [
            (OscListener if isinstance(remote, OscRemote) else PedalPort)(remote, self._post, self._say)  # type: ignore[arg-type]
            for remote in program.plan.show.remotes
        ]

    def _post(self, asked: Asked) -> None:
        self._asked.append(asked)
        self._wake()

    def _say(self, state: str, why: str) -> None:
        if state == "closed":
            self._runner.report({"kind": "remote", "what": "listen", "source": "", "why": why})

    def take(self) -> None:
        """Carry out what has been asked; every ask is logged with where it came from."""
        while self._asked:
            asked = self._asked.popleft()
            command = self._gate.admit(asked, self._runner.state)
            why: str | None = command if isinstance(command, str) else None
            if not isinstance(command, str):
                why = self._runner.take(command).refused
            fact = {"kind": "remote", "what": asked.what[:40], "source": asked.source, "why": why}
            self._runner.report(fact)

    def close(self) -> None:
        """Let go of every port."""
        for port in self._ports:
            port.close()
