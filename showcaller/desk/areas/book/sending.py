"""Sending a cue's messages once, without holding up the window."""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor

from showcaller.desk.qt import QObject, Signal
from showcaller.engine.sendonce import send_once
from showcaller.model import Message, Show


class Sending(QObject):
    """Sends in a thread of its own and says what came of it."""

    _done = Signal(str)

    def __init__(self, say: Callable[[str], None]) -> None:
        super().__init__()
        self._worker: ThreadPoolExecutor | None = None
        self._say = say
        self._done.connect(say)

    def send(self, show: Show, messages: tuple[Message, ...]) -> None:
        """Begin, and say so; the outcome is said later, which may be at once."""
        self._say("sending …")
        self._worker = self._worker or ThreadPoolExecutor(1, "send once")
        outlets = {o.id: o for o in show.outlets}
        rate = show.timecode_rate

        def all_of_them() -> str:
            return "; ".join(send_once(outlets[m.outlet], m, rate) for m in messages)

        self._worker.submit(all_of_them).add_done_callback(self._tell)

    def _tell(self, done: "Future[str]") -> None:
        self._done.emit(str(done.exception() or done.result()))
