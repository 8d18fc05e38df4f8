"""A thread that keeps an input device open, and says how it is."""

import threading

from showcaller.run import events as ev
from showcaller.run.events import Reporter


class Listener:
    """A thread that opens a device, again and again until it is there, and looks whether it still is.

    Subclasses give ``_open`` (raises OSError with the reason), ``_shut`` and ``_alive``; none of them is
    called before ``start`` or from another thread.
    """

    retry_s = 1.0
    look_s = 0.25

    def __init__(self, report: Reporter) -> None:
        self._report = report
        self._said: tuple[str, str] | None = None
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="listener", daemon=True)

    def start(self) -> None:
        """Begin; call once the subclass is ready."""
        self._thread.start()

    def close(self) -> None:
        """Let go of the device."""
        self._stop.set()
        self._thread.join(timeout=3)

    def say(self, state: str, why: str = "") -> None:
        """Report how the port is, once for as long as it stays so."""
        if (state, why) != self._said:
            self._said = (state, why)
            self._report(ev.TimecodePortState(state=state, why=why))

    def _run(self) -> None:
        while not self._stop.is_set():
            try:
                self._open()
            except OSError as error:
                self.say("closed", str(error))
                self._stop.wait(self.retry_s)
                continue
            self.say("open")
            while self._alive() and not self._pause():
                pass
            self._shut()
            if not self._stop.is_set():
                self.say("closed", "the device went away")

    def _pause(self) -> bool:
        """Until the device is to be looked at again; whether to let go of it."""
        return self._stop.wait(self.look_s)

    def _open(self) -> None:
        raise NotImplementedError

    def _alive(self) -> bool:
        raise NotImplementedError

    def _shut(self) -> None:
        raise NotImplementedError
