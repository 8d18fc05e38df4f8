"""Remote control by OSC over UDP, from the addresses the show allows and no others."""

from collections.abc import Callable

from showcaller.engine.datagrams import DatagramPort, Say
from showcaller.engine.osc_read import BUNDLE, UnreadError
from showcaller.engine.remote.gate import Asked
from showcaller.engine.remote.limits import PACKETS_BURST, PACKETS_PER_S, Allowance, Complaints
from showcaller.engine.remote.packets import PREFIX, read_packet
from showcaller.engine.remote.pressing import Presses
from showcaller.model.remote import OscRemote


class OscListener(DatagramPort):
    """Posts what the datagrams ask for; what cannot be read is said, a sort at a time."""

    def __init__(self, remote: OscRemote, post: Callable[[Asked], None], say: Say) -> None:
        self._remote, self._post = remote, post
        self._presses, self._complaints = Presses(), Complaints()
        self._allowed: dict[tuple[str, bool], Allowance] = {}
        super().__init__(remote.host, remote.port, "remote control", say)
        self.start()

    def _heard(self, data: bytes, sender: str, at_ns: int) -> bool:
        if sender not in self._remote.allow:  # others are not answered, and fill no log
            return False
        # Counted apart, so that a device that also sends here what is not for us loses no press by it.
        ours = data.startswith((PREFIX.encode(), BUNDLE))
        allowed = self._allowed.setdefault((sender, ours), Allowance(PACKETS_BURST, PACKETS_PER_S))
        if allowed.take(at_ns):
            self._take(data, sender, at_ns)
            return True
        source = f"OSC from {sender}"
        why = f"more than {PACKETS_PER_S} packets a second come from there; the rest is ignored: check it"
        sentence = self._complaints.about(source, "flood", why, at_ns)
        if sentence is not None:
            self._say("unread", source, sentence)
        return False

    def _take(self, data: bytes, sender: str, at_ns: int) -> None:
        source = f"OSC from {sender}"
        try:
            for message in list(read_packet(data)):  # all of it, or nothing
                control = (sender, message.what)
                if message.what == "note" or self._presses.is_press(control, message.pressure, at_ns):
                    self._post(Asked(message.what, source, at_ns, message.text))
        except UnreadError as unread:
            sentence = self._complaints.about(source, unread.kind, str(unread), at_ns)
            if sentence is not None:
                self._say("unread", source, sentence)

    def _settle(self, now_ns: int) -> None:
        for source, sentence in self._complaints.overdue(now_ns):
            self._say("unread", source, sentence)
