"""How a code is compared without being sent: SPAKE2 (RFC 9382's family), over a wire that anybody may read.

Both sides come to the same key only if both have the same code and see the same two public keys; whoever sits
between them has one guess, which counts as a wrong one. Pure: texts in, texts out.
"""

import hmac
from hashlib import sha256
from typing import Any

from spake2 import SPAKE2_A, SPAKE2_B, SPAKEError


class PairingError(Exception):
    """The two codes are not the same, or what came is no part of a pairing."""


class Joiner:
    """The side of the machine that wants in."""

    def __init__(self, digits: str, key: str, door_key: str) -> None:
        """Its own public key and the one the door says it has."""
        self._both = f"{key} {door_key}".encode()
        self._spake = SPAKE2_A(digits.encode(), idA=key.encode(), idB=door_key.encode())
        self.first: str = self._spake.start().hex()
        self._shared = b""

    def proof(self, answer: str) -> str:
        """That this side has the code, once the door has answered.

        Raises:
            PairingError: it is no answer.
        """
        self._shared = _finished(self._spake, answer)
        return _proof(self._shared, b"joiner", self._both)

    def believes(self, proof: Any) -> bool:
        """Whether the door has the code as well."""
        return bool(self._shared) and _same(proof, _proof(self._shared, b"door", self._both))


class Doorkeeper:
    """The side of the door. It shows nothing of its own before the other has proved that it has the code."""

    def __init__(self, digits: str, key: str, door_key: str, first: str) -> None:
        """Raises PairingError when ``first`` is no beginning."""
        self._both = f"{key} {door_key}".encode()
        spake = SPAKE2_B(digits.encode(), idA=key.encode(), idB=door_key.encode())
        self.answer: str = spake.start().hex()
        self._shared = _finished(spake, first)

    def checked(self, proof: Any) -> str | None:
        """The door's own proof if the other's is right; None if it is not."""
        if not _same(proof, _proof(self._shared, b"joiner", self._both)):
            return None
        return _proof(self._shared, b"door", self._both)


def _finished(spake: Any, message: str) -> bytes:
    try:
        return bytes(spake.finish(bytes.fromhex(message)))
    except (SPAKEError, ValueError, TypeError, AssertionError) as error:
        raise PairingError(str(error)) from None


def _proof(shared: bytes, side: bytes, both: bytes) -> str:
    return hmac.new(shared, side + b" " + both, sha256).hexdigest()


def _same(given: Any, right: str) -> bool:
    return isinstance(given, str) and given.isascii() and hmac.compare_digest(given, right)
