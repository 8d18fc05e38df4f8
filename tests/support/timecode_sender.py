"""A tape machine for tests: timecode sent in real time, and when it was where."""

import threading
import time
import uuid
from fractions import Fraction

from showcaller.timing.mtc import quarter_frame
from showcaller.timing.timecode import frame_number, rate_named


class MtcSender:
    """Plays MIDI Time Code through a real port of JACK's, on a thread of its own.

    ``play(label, seconds)`` and ``silence(seconds)`` are lined up before ``start``; silence leaves the code
    running, unheard. ``instant(label)`` is when, by the plan, that frame starts (s, monotonic): the last time
    it is played.
    """

    def __init__(self, rate):
        import rtmidi

        self.rate, self.name = rate, f"tape{uuid.uuid4().hex[:8]}"
        self._out = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=self.name)
        self._out.open_virtual_port("code")
        self._quarter_s = 1 / (4 * rate_named(rate).fps)
        self._parts = []  # (first quarter, quarters, whether it is heard)
        self._starts = []
        self._thread = threading.Thread(target=self._run, daemon=True)
        self.began_s = 0.0
        self.late_s = []

    def play(self, label, seconds):
        first = 4 * frame_number(label, self.rate)
        first -= first % 8  # sequences begin on even frames
        self._parts.append((first, int(Fraction(seconds) / self._quarter_s), True))

    def go_on(self, seconds, heard=True):
        first, count, _ = self._parts[-1]
        self._parts.append((first + count, int(Fraction(seconds) / self._quarter_s), heard))

    def silence(self, seconds):
        self.go_on(seconds, heard=False)

    def start(self):
        self.began_s = time.monotonic() + 0.05
        self._thread.start()

    def join(self):
        self._thread.join(30)
        assert not self._thread.is_alive()

    def close(self):
        self._out.close_port()
        self._out.delete()

    def seconds(self):
        return float(sum(count for _, count, _ in self._parts) * self._quarter_s)

    def part_starts_s(self):
        """When each part starts."""
        starts, at = [], self.began_s
        for _, count, _ in self._parts:
            starts.append(at)
            at += float(count * self._quarter_s)
        return starts

    def instant(self, label):
        quarter, found = 4 * frame_number(label, self.rate), None
        for start_s, (first, count, _) in zip(self.part_starts_s(), self._parts, strict=True):
            if first <= quarter < first + count:
                found = start_s + float((quarter - first) * self._quarter_s)
        return found

    def _run(self):
        for start_s, (first, count, heard) in zip(self.part_starts_s(), self._parts, strict=True):
            for n in range(count if heard else 0):
                due_s = start_s + float(n * self._quarter_s)
                left_s = due_s - time.monotonic()
                if left_s > 0:
                    time.sleep(left_s)  # a tape runs by the clock
                self._out.send_message(list(quarter_frame(first + n, self.rate)))
                self.late_s.append(time.monotonic() - due_s)
