"""The lamps of the departments' cue lights, told by messages what to show.

Nothing here is done on the way of a cue: the loop asks for it when there is room before the next instant. Nor
is it in the log, which has all that it follows from; an engine that is back tells every lamp anew.
"""

import time
from collections import deque
from collections.abc import Iterator, Mapping, Sequence

from showcaller.engine.clock import RunClock
from showcaller.engine.encode import encode
from showcaller.engine.outlets import OutboundBatch, OutletPort
from showcaller.model import Show
from showcaller.model.cue_lights import LightShows
from showcaller.run import events as ev
from showcaller.run.compiled import CompiledShow
from showcaller.run.cue_light import GO_SHOWN_NS, Own, Told, lamp_of, own_cues
from showcaller.run.state import RunState

_SHOWN: tuple[LightShows, ...] = ("off", "standby", "standing by", "go")

Ready = Mapping[LightShows, Sequence[tuple[str, bytes]]]
"""What is sent for each state: (outlet, the bytes of the wire)."""


class CueLights:
    """What each lamp was told last, and when one is to be looked at again. For the loop's thread."""

    def __init__(self) -> None:
        self._ready: dict[str, Ready] = {}
        self._told: dict[str, tuple[LightShows, frozenset[str]]] = {}
        self._recent: deque[Told] = deque()
        self._of: CompiledShow | None = None
        self._own: dict[str, Own] = {}
        self.due_ns: int | None = None
        """When to look again, monotonic; None: not before something happens."""

    def use(self, show: Show, ports: Mapping[str, OutletPort]) -> None:
        """The lamps of a show, each message as its bytes.

        Raises:
            EncodeError: a message cannot be put into bytes.
        """
        self._ready = {
            d.id: {
                shows: [
                    (m.outlet, ports[m.outlet].frame(encode(m, show.timecode_rate)))
                    for m in d.cue_light.messages(shows)
                ]
                for shows in _SHOWN
            }
            for d in show.departments
            if d.cue_light.every
        }
        self.look_again()

    def look_again(self) -> None:
        """Something may have changed."""
        if self._ready:
            self.due_ns = time.monotonic_ns()

    def note(self, t_ns: int, events: Sequence[ev.Event]) -> None:
        """What has happened in the run, at ``t_ns`` of its clock."""
        if not self._ready:
            return
        for event in events:
            match event:
                case ev.MessagesSent() | ev.MessagesFailed():
                    continue
                case ev.OutletState(state="open"):
                    self._forget(event.outlet)
                case ev.Fired(by="go" | "hand") | ev.TakenBack() | ev.LineSaid():
                    self._recent.appendleft((t_ns, tuple(events)))
                    self.look_again()
                    return
                case _:
                    pass
            self.look_again()

    def _forget(self, outlet: str) -> None:
        """A device that is back shows nobody knows what."""
        for department, ready in self._ready.items():
            if any(outlet == one for sent in ready.values() for one, _ in sent):
                self._told.pop(department, None)

    def take(
        self, compiled: CompiledShow, state: RunState, clock: RunClock, ports: Mapping[str, OutletPort]
    ) -> Iterator[tuple[OutboundBatch, OutletPort]]:
        """What the lamps are to be told now. Nothing before the run has begun: only then is it known whether
        it is a rehearsal, of which nothing may leave."""
        if state.phase == "idle":
            self.due_ns = None
            return
        if compiled is not self._of:
            self._of, self._own = compiled, {d: own_cues(compiled, d) for d in self._ready}
        now_ns = clock.now_ns()
        while self._recent and self._recent[-1][0] <= now_ns - GO_SHOWN_NS:
            self._recent.pop()
        self.due_ns = None
        for department, ready in self._ready.items():
            lamp = lamp_of(compiled, state, self._recent, department, self._own[department], now_ns)
            if lamp.shows == "go":
                over_ns = clock.monotonic_of(lamp.until_ns)
                self.due_ns = over_ns if self.due_ns is None else min(self.due_ns, over_ns)
            held = frozenset(outlet for outlet, _ in ready[lamp.shows] if state.is_muted(outlet))
            if self._told.get(department) == (lamp.shows, held):
                continue
            self._told[department] = lamp.shows, held
            for outlet, packet in ready[lamp.shows]:
                if outlet not in held:
                    yield OutboundBatch("", time.monotonic_ns(), (packet,)), ports[outlet]
