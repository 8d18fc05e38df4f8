"""Where departments' desks are heard by OSC: a UDP port, a connection of an outlet."""

from collections.abc import Callable, Sequence
from typing import Any

from showcaller.engine.datagrams import REST_NS, DatagramPort, Say
from showcaller.engine.near import NextInstant, StandsStill
from showcaller.engine.osc_read import UnreadError, read_osc
from showcaller.engine.remote.limits import PACKETS_BURST, PACKETS_PER_S, Allowance, Complaints
from showcaller.engine.reports.desk import DeskHeard
from showcaller.engine.reports.frames import Frames
from showcaller.engine.reports.meaning import osc_means
from showcaller.model.outlets import OscTcpOutlet
from showcaller.model.reports import OscReports, TcpReports

Heard = Callable[[DeskHeard], None]


def _read(packet: bytes, still: StandsStill) -> list[tuple[str, list[Any]]]:
    """All messages of a packet, a long bundle's a few at a time: a cue may come near meanwhile.

    Raises:
        UnreadError: it cannot be read, and nothing of it is taken.
    """
    found = []
    for message in read_osc(packet, timed=True):
        found.append(message)
        still.while_near()
    return found


class OscHeard(DatagramPort):
    """One UDP port, for all desks that report there."""

    def __init__(
        self,
        host: str,
        port: int,
        desks: Sequence[tuple[str, OscReports]],
        heard: Heard,
        say: Say,
        instant: NextInstant,
    ) -> None:
        self._desks, self._post = desks, heard
        self._complaints = Complaints()
        self._allowed: dict[str, Allowance] = {}
        super().__init__(host, port, "what desks report", say, StandsStill(instant))
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
            for address, params in _read(data, self._still):
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
        self,
        outlet: OscTcpOutlet,
        desks: Sequence[tuple[str, TcpReports]],
        heard: Heard,
        say: Say,
        instant: NextInstant,
    ) -> None:
        self._stands = StandsStill(instant)
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
        self._stands.while_near()
        try:
            for packet in self._frames.take(data):
                self._stands.while_near()
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

    def rest(self) -> None:
        """Wait a little, since more came than is read."""
        self._stands.rest(REST_NS)

    def _packet(self, packet: bytes, at_ns: int) -> None:
        try:
            for address, params in _read(packet, self._stands):
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
