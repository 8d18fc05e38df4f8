"""The recording's sound while it plays: read on a thread of its own, kept with the picture's clock. No Qt."""

import threading
from collections.abc import Callable
from typing import Any

import numpy as np

from showcaller.desk.sound_output import SoundOutput
from showcaller.screen.errors import ClipError
from showcaller.screen.sound_stream import Block, sound_stream

RATE = 48_000
APART_S = 0.05
"""Sound and picture may be so far apart (EBU R37: sound 40 ms early to 60 ms late) before some is left out or
silence put in: a recorder's sound and this machine's output are two clocks."""
AHEAD = 2 * RATE
"""Samples that are read ahead of what is heard."""
_SIZE = 1024

Clock = Callable[[], float | None]
"""Where the picture is, seconds into the file; None once it does not play."""


class Feed:
    """What was read and is not yet heard, from ``next_s`` of the file on; two threads put and take."""

    def __init__(self, next_s: float) -> None:
        self.next_s = next_s
        self._blocks: list[Block] = []
        self._room = threading.Condition()
        self._closed = False

    def put(self, block: Block) -> bool:
        """Add a block, once there is room; False when nobody hears any more."""
        with self._room:
            while sum(map(len, self._blocks)) > AHEAD and not self._closed:
                self._room.wait()
            self._blocks.append(block)
            return not self._closed

    def take(self, count: int, at_s: float) -> Block:
        """So many samples, those of ``at_s`` as near as ``APART_S``; silence where there are none."""
        behind_s = at_s - self.next_s
        out = np.zeros(count, np.float32)
        with self._room:
            if behind_s > APART_S:
                self._pull(round(behind_s * RATE))
            silent = min(count, round(-behind_s * RATE)) if behind_s < -APART_S else 0
            found = self._pull(count - silent)
            out[silent : silent + len(found)] = found
            self._room.notify()
        return out

    def close(self) -> None:
        """Nobody hears any more."""
        with self._room:
            self._closed = True
            self._room.notify_all()

    def _pull(self, count: int) -> Block:
        got: list[Block] = []
        while count > 0 and self._blocks:
            first = self._blocks[0]
            got.append(first[:count])
            if len(first) > count:
                self._blocks[0] = first[count:]
            else:
                self._blocks.pop(0)
            count -= len(got[-1])
        found = np.concatenate(got) if got else np.zeros(0, np.float32)
        self.next_s += len(found) / RATE
        return found


class TapeSound:
    """``trouble`` is one line on why nothing is heard, empty if something is."""

    def __init__(self, output: SoundOutput | None = None) -> None:
        self.trouble = ""
        self._output = output or SoundOutput()
        self._feed: Feed | None = None

    def play(self, path: str, clock: Clock) -> None:
        """The file's sound from where its picture is, until that stops or ``stop``."""
        self.stop()
        library, begin_s = self._output.library(), clock()
        self.trouble = self._output.trouble
        if library is None or begin_s is None:
            return
        feed = self._feed = Feed(begin_s)
        threading.Thread(target=self._read, args=(path, feed), name="tape sound", daemon=True).start()
        threading.Thread(target=self._hear, args=(library, feed, clock), daemon=True).start()

    def stop(self) -> None:
        """Silence."""
        if self._feed is not None:
            self._feed.close()
            self._feed = None

    def _read(self, path: str, feed: Feed) -> None:
        try:
            for block in sound_stream(path, feed.next_s, RATE):
                if not feed.put(block):
                    return
        except ClipError as error:
            self.trouble = str(error)

    def _hear(self, library: Any, feed: Feed, clock: Clock) -> None:
        over = threading.Event()

        def fill(out: Any, count: int, _time: object, _status: object) -> None:
            now = clock()
            if now is None or self._feed is not feed:
                out[:] = 0
                raise library.CallbackStop
            # What is put in now is heard when all before it has been.
            out[:, 0] = feed.take(count, now + stream.latency)

        try:
            stream = library.OutputStream(
                RATE, blocksize=_SIZE, channels=1, dtype="float32", latency="high", callback=fill,
                finished_callback=over.set,
            )  # fmt: skip
            with stream:
                over.wait()
        except Exception as error:  # the library's own, as of a device that was pulled out
            self.trouble = f"no sound: {(str(error).splitlines() or ['the output is gone'])[0].lower()}"
        feed.close()
