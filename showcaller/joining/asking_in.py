"""Asking to be let in: this machine's end of the pairing, which waits for its answers."""

import json
from typing import Any

import zmq

from showcaller.joining.errors import JoinError
from showcaller.joining.machine import Machine
from showcaller.joining.pairing import Joiner, PairingError
from showcaller.joining.wire import address_of, prepared
from showcaller.values import Struct

WAIT_S = 3.0


class Known(Struct, frozen=True):
    """A door that has let this machine in: ``door`` (``host:port``), its public key, what it is called."""

    door: str
    key: str
    name: str


def ask_in(machine: Machine, typed: str, digits: str, own_door: str = "") -> Known:
    """Be let in at the address ``typed``, by a code. ``own_door`` is where this machine's own door would be.

    Raises:
        JoinError: nobody answers there, or the code is wrong; one sentence.
    """
    host, port = address_of(typed)
    digits = "".join(sign for sign in digits if sign.isdecimal())
    context: zmq.Context[Any] = zmq.Context.instance()
    sock = prepared(context.socket(zmq.DEALER))
    sock.connect(f"tcp://{host}:{port + 1}")
    try:
        who = _ask(sock, host, {"kind": "who"})
        joiner = Joiner(digits, machine.key, str(who["key"]))
        first = {"kind": "first", "key": machine.key, "name": machine.name, "door": own_door}
        answer = _ask(sock, host, {**first, "first": joiner.first})
        proof = _ask(sock, host, {"kind": "proof", "proof": joiner.proof(str(answer["answer"]))})
        if not joiner.believes(proof.get("proof")):
            raise JoinError(f"{host} does not know the code itself: that is not the caller's machine")
    except (KeyError, PairingError):
        raise JoinError(f"{host} answers, but not as a door of showcaller does; check the address") from None
    finally:
        sock.close()
    return Known(f"{host}:{port}", str(who["key"]), str(who["name"])[:40])


def _ask(sock: Any, host: str, asked: dict[str, Any]) -> dict[str, Any]:
    sock.send(json.dumps(asked).encode())
    if not sock.poll(int(WAIT_S * 1000)):
        raise JoinError(
            f"nobody answers at {host}: is it the caller's machine, and does it show a code just now?"
        )
    try:
        answer = json.loads(sock.recv())
        if not isinstance(answer, dict):
            raise TypeError
    except (ValueError, TypeError):
        raise JoinError(f"{host} answers, but not as a door of showcaller does; check the address") from None
    if not answer.get("ok"):
        raise JoinError(str(answer.get("say", "refused"))[:200])
    return answer
