"""Where departments' desks are heard: a UDP port, a MIDI input, a connection of an outlet."""

import time
from collections.abc import Callable, Sequence

from showcaller.engine.datagrams import DatagramPort, Say
from showcaller.engine.midi_in import MidiInput
from showcaller.engine.osc_read import UnreadError, read_osc
from showcaller.engine.remote.limits import PACKETS_BURST, PACKETS_PER_S, Allowance, Complaints
from showcaller.engine.reports.desk import DeskHeard
from showcaller.engine.reports.frames import Frames
from showcaller.engine.reports.meaning import midi_means, osc_means
from showcaller.model.outlets import OscTcpOutlet
from showcaller.model.reports import MidiReports, MscReports, OscReports, TcpReports
from showcaller.run.events import Event, TimecodePortState

Heard = Callable[[DeskHeard], None]


class OscHeard(DatagramPort):
    """One UDP port, for all desks that report there."""

    def __init__(
        self, host: str, port: int, desks: Sequence[tuple[str, OscReports]], heard: Heard, say: Say
    ) -> None:
        self._desks, self._post = desks, heard
        self._complaints = Complaints()
        self._allowed: dict[str, Allowance] = {}
        super().__init__(host, port, "what desks report", say)
        self.start()

    def _heard(self, data: bytes, sender: str, at_ns: int) -> bool:
        desks = [(d, r) for d, r in self._desks if sender in r.allow]
        if not desks:  # others are not answered, and fill no log
            return False
        source = f"OSC from {sender}"
        if not self._allowed.setdefault(sender, Allowance(PACKETS_BURST, PACKETS_PER_S)).take(at_ns):
            why = f"more than {PACKETS_PER_S} packets a second come from there; the rest is ignored: check it"
            self._complain(source, "flood", why, at_ns)
            return False
        try:
            for address, params in list(read_osc(data, timed=True)):
                for department, report in desks:
                    number = osc_means(report, address, params)
                    if number is not None:
                        self._post(DeskHeard(department, number, source, at_ns))
        except UnreadError as unread:
            self._complain(source, unread.kind, str(unread), at_ns)
        return True

    def _complain(self, source: str, kind: str, sentence: str, at_ns: int) -> None:
        words = self._complaints.about(source, kind, sentence, at_ns)
        if words is not None:
            self._say("unread", source, words)

    def _settle(self, now_ns: int) -> None:
        for source, sentence in self._complaints.overdue(now_ns):
            self._say("unread", source, sentence)


class ConnectionHeard:
    """What comes back over an outlet's connection; ``take`` is called by that connection's own thread."""

    def __init__(
        self, outlet: OscTcpOutlet, desks: Sequence[tuple[str, TcpReports]], heard: Heard, say: Say
    ) -> None:
        self._outlet, self._desks, self._post, self._say = outlet, desks, heard, say
        self._source = f"OSC from {outlet.name}"
        self._allowed, self._complaints = Allowance(PACKETS_BURST, PACKETS_PER_S), Complaints()
        self._frames = Frames(outlet.framing)

    def begin(self) -> None:
        """The connection was made anew: what was left of the one before is nothing."""
        self._frames = Frames(self._outlet.framing)

    def take(self, data: bytes, at_ns: int) -> bool:
        """Read what came; False if more came than is read."""
        well = True
        try:
            for packet in self._frames.take(data):
                if self._allowed.take(at_ns):
                    self._packet(packet, at_ns)
                    continue
                well = False
                why = f"more than {PACKETS_PER_S} packets a second come from there; the rest is ignored"
                self._complain("flood", why, at_ns)
        except ValueError as error:
            self._complain("frame", str(error), at_ns)
            return False
        return well

    def _packet(self, packet: bytes, at_ns: int) -> None:
        try:
            for address, params in list(read_osc(packet, timed=True)):
                for department, report in self._desks:
                    number = osc_means(report, address, params)
                    if number is not None:
                        self._post(DeskHeard(department, number, self._source, at_ns))
        except UnreadError as unread:
            self._complain(unread.kind, str(unread), at_ns)

    def _complain(self, kind: str, sentence: str, at_ns: int) -> None:
        words = self._complaints.about(self._source, kind, sentence, at_ns)
        if words is not None:
            self._say("unread", self._source, words)


class MidiHeard(MidiInput):
    """One MIDI input, for all desks that report there. Called on the MIDI system's own thread."""

    def __init__(
        self, words: str, desks: Sequence[tuple[str, MscReports | MidiReports]], heard: Heard, say: Say
    ) -> None:
        self._desks, self._post, self._tell = desks, heard, say
        self._allowed = Allowance(PACKETS_BURST, PACKETS_PER_S)
        super().__init__(words, "reports in", self._state, sysex=True)
        self.start()

    def _state(self, event: Event) -> None:
        if isinstance(event, TimecodePortState):
            self._tell(event.state, "", event.why)

    def _take(self, message: bytes) -> None:
        at_ns = time.monotonic_ns()
        if not self._allowed.take(at_ns):
            return
        for department, report in self._desks:
            number = midi_means(report, message)
            if number is not None:
                self._post(DeskHeard(department, number, f"MIDI from {self._name}", at_ns))
