"""MIDI Time Code from a MIDI input, found by the words in its name."""

import time
from fractions import Fraction

from showcaller.engine.midi_in import MidiInput
from showcaller.engine.timecode_in.base import Heard, Post, position_ns
from showcaller.model import MtcIn
from showcaller.run.events import Reporter
from showcaller.timing.mtc import MtcRefused, MtcState, rate_code, step


class MtcPort(MidiInput):
    """A MIDI input; every quarter frame is posted with the instant at which it came."""

    def __init__(self, source: MtcIn, rate: str, post: Post, report: Reporter) -> None:
        """Raises ValueError where MIDI Time Code has no such rate."""
        super().__init__(source.port, "timecode in", report, timing=True)
        rate_code(rate)
        self._rate, self._post = rate, post
        self._state = MtcState(rate)
        self.start()

    def _take(self, message: bytes) -> None:
        at_ns = time.monotonic_ns()
        self._state, found = step(self._state, message)
        for one in found:
            if isinstance(one, MtcRefused):
                self.say("refused", one.sentence)
            elif one.forward is not None:  # a full frame says where a stopped tape stands
                self.say("open")
                whole = one.quarter % 4 == 0
                self._post(Heard(position_ns(Fraction(one.quarter, 4), self._rate), at_ns, whole))

    def _shut(self) -> None:
        super()._shut()
        self._state = MtcState(self._rate)
