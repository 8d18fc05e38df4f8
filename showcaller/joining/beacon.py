"""The terms of the engines, by datagrams: twenty small ones a second between the machines that can take over.

The other ways between machines are streams. After a cut a stream comes back when its own timers let it, which
may take seconds, and until then two engines that could hear each other both fire. A datagram is there as soon
as the network is. Each is sealed with a key that the two machines alone can make of theirs (X25519, RFC 7748;
ChaCha20-Poly1305, RFC 8439), and one counts only if it carries a word that this machine has sent within the
last two seconds: what was recorded and is sent again later says nothing.
"""

import contextlib
import ipaddress
import json
import secrets
import socket
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

import zmq.utils.z85
from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.asymmetric.x25519 import X25519PrivateKey, X25519PublicKey
from cryptography.hazmat.primitives.ciphers.aead import ChaCha20Poly1305
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF

from showcaller.joining.guests import Guest
from showcaller.joining.machine import Machine, key_id

EVERY_S = 0.05
_WORD_S = 1.0
_MARK = b"sct1"
_LONGEST = 1024
_AT_ONCE = 32


def _word() -> str:
    return secrets.token_hex(6)


@dataclass
class _Peer:
    """``box`` seals what goes to a machine and opens what comes; ``at`` is where to, None until it is known.
    ``theirs`` are the last words it was heard to send."""

    box: ChaCha20Poly1305
    at: tuple[str, int] | None
    ident: bytes
    words: list[str] = field(default_factory=lambda: [_word()])
    since_s: float = 0.0
    theirs: deque[str] = field(default_factory=lambda: deque(maxlen=4))

    def turn(self, now_s: float) -> None:
        """Another word now and then; the one before it is still good."""
        if now_s - self.since_s >= _WORD_S:
            self.since_s = now_s
            self.words = [_word(), *self.words[:1]]


class TermBeacon:
    """One machine's. ``poll`` gives what others tell. Without a port of its own it is silent, and the streams
    have to do."""

    def __init__(self, machine: Machine, bind: str, port: int) -> None:
        self._machine = machine
        self._secret = X25519PrivateKey.from_private_bytes(zmq.utils.z85.decode(machine.secret.encode()))
        self._ident = bytes.fromhex(machine.id)
        self._peers: dict[tuple[str, str], _Peer] = {}
        self._sent_s = -1e9
        self._sock: socket.socket | None = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self._sock.setblocking(False)
        try:
            self._sock.bind((bind, port))
        except OSError:
            self._sock.close()
            self._sock = None

    def sockets(self) -> tuple[Any, ...]:
        """To be polled."""
        return () if self._sock is None or not self._peers else (self._sock,)

    def hurry(self) -> None:
        """There is news: at the next turn."""
        self._sent_s = -1e9

    def due_s(self, now_s: float) -> float:
        """In how many s the next is to leave."""
        return max(0.0, self._sent_s + EVERY_S - now_s) if self._peers else EVERY_S

    def poll(
        self, guests: Iterable[Guest], own: dict[str, Any], now_s: float
    ) -> list[tuple[str, dict[str, Any]]]:
        """(the machine's key, what it tells) of all that have come; tell them ``own`` now and then."""
        self._know({(g.key, g.door) for g in guests if g.seat == "engine" and g.door})
        found = [] if self._sock is None else list(self._heard(own, now_s))
        if now_s - self._sent_s >= EVERY_S:
            self._sent_s = now_s
            for peer in self._peers.values():
                self._tell(peer, own, now_s)
        return found

    def _know(self, wanted: set[tuple[str, str]]) -> None:
        for gone in self._peers.keys() - wanted:
            del self._peers[gone]
        for key, door in wanted - self._peers.keys():
            with contextlib.suppress(ValueError):  # a key that is none
                self._peers[key, door] = _Peer(self._box(key), _where(door), bytes.fromhex(key_id(key)))

    def _box(self, key: str) -> ChaCha20Poly1305:
        shared = self._secret.exchange(X25519PublicKey.from_public_bytes(zmq.utils.z85.decode(key.encode())))
        both = "".join(sorted((key, self._machine.key))).encode()
        return ChaCha20Poly1305(HKDF(SHA256(), 32, both, b"showcaller term").derive(shared))

    def _tell(self, peer: _Peer, own: dict[str, Any], now_s: float) -> None:
        peer.turn(now_s)
        if peer.at is None or self._sock is None:
            return
        nonce = secrets.token_bytes(12)
        body = json.dumps({**own, "mine": peer.words[0], "yours": list(peer.theirs)}).encode()
        sealed = peer.box.encrypt(nonce, body, self._machine.key.encode())
        with contextlib.suppress(OSError):  # no network, or no room: the next will do
            self._sock.sendto(_MARK + self._ident + nonce + sealed, peer.at)

    def _heard(self, own: dict[str, Any], now_s: float) -> Iterable[tuple[str, dict[str, Any]]]:
        assert self._sock is not None
        for _ in range(_AT_ONCE):
            try:
                data, at = self._sock.recvfrom(_LONGEST)
            except OSError:
                return
            for (key, _), peer in self._peers.items():
                if data.startswith(_MARK + peer.ident):
                    with contextlib.suppress(InvalidTag, ValueError, KeyError, TypeError, AttributeError):
                        told = json.loads(peer.box.decrypt(data[8:20], data[20:], key.encode()))
                        if self._is_news(peer, told, (at[0], at[1]), own, now_s):
                            yield key, told

    def _is_news(
        self,
        peer: _Peer,
        told: dict[str, Any],
        at: tuple[str, int],
        own: dict[str, Any],
        now_s: float,
    ) -> bool:
        """Whether it was said just now. A new word is answered at once, so that both sides know at once."""
        fresh = any(word in peer.words for word in told["yours"])
        peer.at = at if fresh else peer.at or at
        if told["mine"] not in peer.theirs:
            peer.theirs.append(str(told["mine"])[:40])
            self._tell(peer, own, now_s)
        return fresh

    def drain(self) -> None:
        """Forget what has come."""
        if self._sock is not None:
            with contextlib.suppress(OSError):
                while True:
                    self._sock.recvfrom(_LONGEST)

    def close(self) -> None:
        """Let go of the port."""
        if self._sock is not None:
            self._sock.close()


def _where(door: str) -> tuple[str, int] | None:
    """A door's address; None for a name, which nobody here waits to have looked up: it shows once the other
    has sent."""
    host, _, port = door.rpartition(":")
    try:
        return str(ipaddress.IPv4Address(host)), int(port)
    except ValueError:
        return None
