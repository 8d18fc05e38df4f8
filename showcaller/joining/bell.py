"""Letting a machine in once: the pairing as the door sees it. Takes time (s) as an argument, no socket."""

from dataclasses import dataclass
from typing import Any

from showcaller.joining.code import Code
from showcaller.joining.machine import LONGEST_NAME
from showcaller.joining.pairing import Doorkeeper, PairingError
from showcaller.values import Struct

MOST_WAITING = 8


@dataclass
class _Asking:
    keeper: Doorkeeper
    key: str
    name: str
    door: str


class LetIn(Struct, frozen=True):
    """Who has proved that they have the code."""

    key: str
    name: str
    seat: str
    door: str


class Bell:
    """``answer`` makes of a request (from ``line``, whatever tells connections apart) its answer, and of a
    right code a :class:`LetIn`."""

    def __init__(self, door_key: str, name: str) -> None:
        self._door_key, self._name = door_key, name
        self._asking: dict[bytes, _Asking] = {}
        self.code: Code | None = None

    def show(self, seat: str, now_s: float) -> Code:
        """A new code for a seat; one that was shown before is no good any more."""
        self._asking.clear()
        self.code = Code.new(seat, now_s)
        return self.code

    def hide(self) -> None:
        """No code any more."""
        self.code = None
        self._asking.clear()

    def answer(self, line: bytes, asked: dict[str, Any], now_s: float) -> tuple[dict[str, Any], LetIn | None]:
        """The answer to a request, and who is let in by it."""
        code = self.code
        if code is None or not code.is_good(now_s):
            return _no("no code is shown at that machine: ask for one there, then type it"), None
        if asked.get("kind") == "who":
            return {"ok": True, "key": self._door_key, "name": self._name}, None
        try:
            if asked.get("kind") == "first":
                return self._first(line, code, asked, now_s), None
            if asked.get("kind") == "proof" and line in self._asking:
                return self._proof(self._asking.pop(line), code, asked)
        except (PairingError, KeyError, TypeError):
            pass
        return _no("that is no way to ask; use this version of showcaller at both machines"), None

    def _first(self, line: bytes, code: Code, asked: dict[str, Any], now_s: float) -> dict[str, Any]:
        key, name = str(asked["key"]), str(asked["name"])[:LONGEST_NAME]
        if len(key) != 40:
            raise PairingError("no key")
        if not code.may_try(now_s):
            return _no("wait two seconds, then try again")
        while len(self._asking) >= MOST_WAITING:
            self._asking.pop(next(iter(self._asking)))
        keeper = Doorkeeper(code.digits, key, self._door_key, str(asked["first"]))
        self._asking[line] = _Asking(keeper, key, name, str(asked.get("door", ""))[:60])
        return {"ok": True, "answer": keeper.answer}

    def _proof(
        self, asking: _Asking, code: Code, asked: dict[str, Any]
    ) -> tuple[dict[str, Any], LetIn | None]:
        proof = asking.keeper.checked(asked.get("proof"))
        if proof is None:
            left = "try again" if code.wrong < 3 else "ask for a new one at the caller's desk"
            return _no(f"that is not the code; {left}"), None
        code.right()
        return {"ok": True, "proof": proof}, LetIn(asking.key, asking.name, code.seat, asking.door)


def _no(say: str) -> dict[str, Any]:
    return {"ok": False, "say": say}
