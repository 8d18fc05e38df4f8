"""Other machines at this desk: the door is opened, a code shown, and who is let in is put out again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from showcaller.desk.ask import Ask
from showcaller.desk.background import Background
from showcaller.desk.qt import QObject, QTimer

LOOK_MS = 400
Say = Callable[[str, str, float], None]
SEATS = ("caller", "director", "stage", "watcher", "engine")
HINT = (
    "CALLER, DIRECTOR, STAGE, WATCHER, or ENGINE for a second machine: shows a code for one. "
    "WHO is let in; OUT and a name; CLOSE the door"
)


class Machines(QObject):
    """``open`` asks what is wanted; what comes of it is said in the line's place."""

    def __init__(self, runs: Callable[[], Path], ask: Ask, say: Say) -> None:
        super().__init__()
        self._runs, self._ask, self._say = runs, ask, say
        self._background: Background | None = None
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._look)
        self._known: set[str] = set()

    def open(self) -> None:
        """Ask."""
        self._ask("Other machines. Let one in to which seat?", self._done, HINT)

    def _done(self, text: str) -> str | None:
        word, _, rest = text.strip().lower().partition(" ")
        if word in SEATS:
            self._start(lambda: _code(self._runs(), word), self._show)
        elif word == "who":
            self._start(lambda: _steer(self._runs(), {"do": "status"}), self._who)
        elif word == "out" and rest:
            self._start(lambda: _put_out(self._runs(), rest), lambda name: self._tell(f"{name} is out"))
        elif word == "close":
            self._start(
                lambda: _steer(self._runs(), {"do": "close"}), lambda _: self._tell("the door is closed")
            )
        else:
            return "type a seat, WHO, OUT and a name, or CLOSE; Escape leaves it"
        return None

    def _start(self, work: Callable[[], Any], done: Callable[[Any], None]) -> None:
        if self._background is None:
            self._background = Background("other machines", self)
        self._background.start(work, done, lambda error: self._tell(str(error)))

    def _tell(self, words: str) -> None:
        self._say("other machines", words, 8.0)

    def door_is_back(self) -> None:
        """The door had died and is open again."""
        self._tell("the door had stopped and is open again: joined desks come back by themselves")

    def _show(self, status: dict[str, Any]) -> None:
        digits, address = status["code"]["digits"], status["address"]
        words = f"there: showcaller join {address} · seat: {status['code']['seat']} · for five minutes"
        self._say(f"code {digits[:3]} {digits[3:]}", words, float(status["code"]["left_s"]))
        self._known = {guest["id"] for guest in status["guests"]}
        self._timer.start(LOOK_MS)

    def _look(self) -> None:
        if self._background is not None and not self._background.busy:
            self._start(lambda: _steer(self._runs(), {"do": "status"}), self._looked)

    def _looked(self, status: dict[str, Any]) -> None:
        if status["code"] is None:
            self._timer.stop()
            new = [guest for guest in status["guests"] if guest["id"] not in self._known]
            self._tell(
                f"{new[0]['name']} is let in, seat: {new[0]['seat']}" if new else "the code is used up"
            )

    def _who(self, status: dict[str, Any]) -> None:
        rows = [f"{g['name']} ({g['seat']}{'' if g['here'] else ', not here'})" for g in status["guests"]]
        self._tell(" · ".join(rows) or "nobody is let in")

    def close(self) -> None:
        """The desk is left; the door stays as it is."""
        self._timer.stop()
        if self._background is not None:
            self._background.close(wait=False)


def _code(runs: Path, seat: str) -> dict[str, Any]:
    from showcaller.joining.starting import start_door  # noqa: PLC0415 - when it is wanted

    start_door(runs)
    return _steer(runs, {"do": "code", "seat": seat})


def _steer(runs: Path, asked: dict[str, Any]) -> dict[str, Any]:
    from showcaller.joining.control import ask, of_door  # noqa: PLC0415

    return ask(of_door(runs), asked)


def _put_out(runs: Path, name: str) -> str:
    from showcaller.joining.errors import JoinError  # noqa: PLC0415

    guests = _steer(runs, {"do": "status"})["guests"]
    found = [guest for guest in guests if name in (guest["name"].lower(), guest["id"])]
    if len(found) != 1:
        raise JoinError(f"{len(found)} machines are called '{name}'; WHO says how they are called")
    _steer(runs, {"do": "withdraw", "id": found[0]["id"]})
    return str(found[0]["name"])
