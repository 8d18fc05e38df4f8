"""Sending a cue's messages once, without holding up the window."""

from collections.abc import Callable

from showcaller.desk.background import Background
from showcaller.desk.qt import QObject
from showcaller.model import Message, Show


class Sending:
    """Sends in a thread of its own and says what came of it."""

    def __init__(self, say: Callable[[str], None], parent: QObject) -> None:
        self._work = Background("send once", parent)
        self._say = say

    def send(self, show: Show, messages: tuple[Message, ...]) -> None:
        """Begin, and say so; the outcome is said later, which may be at once."""
        from showcaller.engine.sendonce import send_once  # noqa: PLC0415 - loaded where it is first wanted

        self._say("sending …")
        outlets = {o.id: o for o in show.outlets}
        rate = show.timecode_rate

        def all_of_them() -> str:
            return "; ".join(send_once(outlets[m.outlet], m, rate) for m in messages)

        self._work.start(all_of_them, self._say, lambda error: self._say(str(error)))

    def close(self) -> None:
        """Nothing more is sent; what is being sent is let finish."""
        self._work.close()
