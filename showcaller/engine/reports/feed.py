"""What the departments' desks tell, brought into the log by the engine's own thread when no cue is near."""

import time
from collections import deque
from collections.abc import Callable, Mapping
from typing import Any

from showcaller.engine.near import NextInstant
from showcaller.engine.outlets import OutletPort
from showcaller.engine.outlets.tcp import TcpPort
from showcaller.engine.remote.limits import Allowance, Complaints
from showcaller.engine.reports.desk import DeskHeard, Numbers, Thinning, mark_of
from showcaller.engine.reports.midi_port import MidiHeard
from showcaller.engine.reports.ports import ConnectionHeard, OscHeard
from showcaller.engine.runner import Runner
from showcaller.model import OscTcpOutlet
from showcaller.model.reports import MidiReports, MscReports, OscReports, TcpReports
from showcaller.run import commands as c
from showcaller.run import events as ev

ROOM_NS = 3_000_000
"""What was told is logged while nothing fires for so long: it carries its own instant, so it can wait."""

_WAITING = 400
"""So many reports are kept for that at most."""


class ReportFeed:
    """All desks that report, heard. ``take`` is called by the engine's loop."""

    def __init__(self, runner: Runner, outlets: Mapping[str, OutletPort], wake: Callable[[], None]) -> None:
        self.instant = NextInstant()
        self._runner, self._wake = runner, wake
        self._heard: deque[DeskHeard] = deque(maxlen=_WAITING)
        self._thinning, self._numbers = Thinning(), Numbers()
        self._allowed: dict[str, Allowance] = {}
        self._complaints = Complaints()
        self._ports: list[Any] = []
        self._open(outlets)

    def _open(self, outlets: Mapping[str, OutletPort]) -> None:
        show = self._runner.compiled.plan.show
        udp: dict[tuple[str, int], list[tuple[str, OscReports]]] = {}
        tcp: dict[str, list[tuple[str, TcpReports]]] = {}
        midi: dict[str, list[tuple[str, MscReports | MidiReports]]] = {}
        for department in show.departments:
            for report in department.reports:
                match report:
                    case OscReports():
                        udp.setdefault((report.host, report.port), []).append((department.id, report))
                    case TcpReports():
                        tcp.setdefault(report.outlet, []).append((department.id, report))
                    case MscReports() | MidiReports():
                        midi.setdefault(report.port, []).append((department.id, report))
        for (host, port), heard_there in udp.items():
            say = self._sayer(heard_there[0][0])
            self._ports.append(OscHeard(host, port, heard_there, self._post, say, self.instant))
        for words, desks in midi.items():
            say = self._sayer(desks[0][0])
            self._ports.append(MidiHeard(words, desks, self._post, say, self.instant))
        for outlet in show.outlets:
            port_of = outlets.get(outlet.id)
            if outlet.id in tcp and isinstance(outlet, OscTcpOutlet) and isinstance(port_of, TcpPort):
                there = tcp[outlet.id]
                say = self._sayer(there[0][0])
                port_of.listen(ConnectionHeard(outlet, there, self._post, say, self.instant))

    def _sayer(self, department: str) -> Callable[[str, str, str], None]:
        def say(state: str, source: str, why: str) -> None:
            if why:
                told = ev.ReportsHeard(department=department, state=state, source=source, why=why)
                self._runner.report(told)

        return say

    def _post(self, heard: DeskHeard) -> None:
        if not self._heard:
            self._heard.append(heard)
            self._wake()
        else:
            self._heard.append(heard)

    @property
    def waits(self) -> bool:
        """Whether something was told and is not in the log yet."""
        return bool(self._heard)

    def take(self, room_ns: int) -> int:
        """Log one thing that was told, if nothing fires for ``room_ns``; how long that took (ns)."""
        if not self._heard or room_ns <= ROOM_NS:
            return 0
        began_ns = time.monotonic_ns()
        event = self._event(self._heard.popleft())
        if event is not None:
            self._runner.take(c.Report(event))
        return time.monotonic_ns() - began_ns

    def _event(self, heard: DeskHeard) -> ev.CueReported | None:
        compiled, state = self._runner.compiled, self._runner.state
        cue = self._numbers.cue(compiled, heard.department, heard.number)
        if not self._thinning.is_new(heard, mark_of(compiled, state, cue)):
            return None
        if not self._allowed.setdefault(heard.department, Allowance()).take(heard.at_ns):
            why = "more cues are told of than any desk could fire; the rest is ignored: check that desk"
            words = self._complaints.about(heard.source, "flood", why, heard.at_ns)
            if words is not None:
                self._sayer(heard.department)("unread", heard.source, words)
            return None
        number, at_ns = f"{heard.number.normalize():f}", self._runner.clock.at(heard.at_ns)
        return ev.CueReported(
            department=heard.department, cue=cue, number=number, source=heard.source, at_ns=at_ns
        )

    def close(self) -> None:
        """Let go of every port."""
        for port in self._ports:
            port.close()
