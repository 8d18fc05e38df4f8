"""Cameras' tallies, told by the show's templates: on the wall, next, neither.

As the cue lights (``cue_lights.py``): not on the way of a cue, not in the log, told anew by an engine that is
back or to a device that is.
"""

import time
from collections.abc import Iterator, Mapping, Sequence

from showcaller.engine.encode import encode
from showcaller.engine.outlets import OutboundBatch, OutletPort
from showcaller.model import LookSend, Show
from showcaller.run import events as ev
from showcaller.run.camera_tally import tallies
from showcaller.run.compiled import CompiledShow
from showcaller.run.state import RunState
from showcaller.screen.cameras import cameras_of
from showcaller.screen.sending import filled_message


class CameraTallies:
    """What each camera was told last. For the loop's thread."""

    def __init__(self) -> None:
        self._sends: tuple[LookSend, ...] = ()
        self._told: dict[tuple[str, str], int] = {}
        self.due_ns: int | None = None
        """When to look again, monotonic; None: not before something happens."""

    def use(self, show: Show) -> None:
        """The show's templates for cameras."""
        self._sends = tuple(s for s in show.sends if s.per == "camera")
        self.look_again()

    def look_again(self) -> None:
        """Something may have changed."""
        if self._sends:
            self.due_ns = time.monotonic_ns()

    def note(self, events: Sequence[ev.Event]) -> None:
        """What has happened in the run."""
        if not self._sends:
            return
        for event in events:
            if isinstance(event, ev.MessagesSent | ev.MessagesFailed):
                continue
            if isinstance(event, ev.OutletState) and event.state == "open":
                mine = {s.id for s in self._sends if s.outlet == event.outlet}
                self._told = {key: was for key, was in self._told.items() if key[0] not in mine}
            self.look_again()

    def take(
        self, compiled: CompiledShow, state: RunState, ports: Mapping[str, OutletPort]
    ) -> Iterator[tuple[OutboundBatch, OutletPort]]:
        """What is to be told now; nothing before the run has begun, nothing to an outlet that is muted."""
        self.due_ns = None
        if state.phase == "idle":
            return
        show = compiled.plan.show
        now = tallies(compiled, state)
        for send in self._sends:
            for number, camera in enumerate(cameras_of(show), 1):
                key = send.id, camera.id
                if state.is_muted(send.outlet):
                    self._told.pop(key, None)  # it shows nobody knows what once it is heard again
                    continue
                if self._told.get(key) == now[camera.id]:
                    continue
                self._told[key] = now[camera.id]
                message = filled_message(
                    send, {"camera": camera.id, "number": number, "tally": now[camera.id]}
                )
                port = ports[send.outlet]
                packet = port.frame(encode(message, show.timecode_rate))
                yield OutboundBatch("", time.monotonic_ns(), (packet,)), port
