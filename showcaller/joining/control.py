"""Speaking to the door's process, or the link's, from a desk or a command on the same machine.

One text there and one back, sealed with a secret that only this user can read, as between a desk and its
engine.
"""

import contextlib
import json
import os
import secrets
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import zmq

from showcaller.engine.clock import boot_id
from showcaller.engine.protocol import (
    endpoint_files,
    local_endpoint,
    read_endpoint,
    sealed,
    unsealed,
    write_endpoint,
)
from showcaller.joining.errors import JoinError

WAIT_S = 3.0


def of_door(runs: Path) -> Path:
    """Where the door to the runs in a folder is steered."""
    return runs / "door"


def of_link(runs: Path) -> Path:
    """Where the link that keeps what it follows in a folder is steered."""
    return runs / "link"


class Steering:
    """The process's end. ``obey`` takes what is asked and gives the answer; it may raise JoinError."""

    def __init__(
        self,
        context: "zmq.Context[Any]",
        folder: Path,
        obey: Callable[[dict[str, Any]], dict[str, Any]],
        **about: Any,
    ) -> None:
        """Listen for ``folder``, which is made; raises OSError when it can be said nowhere. ``about`` is left
        there by a process that dies, for who starts it again."""
        folder.mkdir(parents=True, exist_ok=True)
        self._folder, self._obey = folder, obey
        self._secret = secrets.token_bytes(16)
        self.sock = context.socket(zmq.ROUTER)
        self.sock.bind(local_endpoint(f"c{secrets.token_hex(4)}", "do"))
        address = self.sock.getsockopt_string(zmq.LAST_ENDPOINT)
        own = {"pid": os.getpid(), "control": address, "secret": self._secret.hex(), "boot": boot_id()}
        write_endpoint(folder, {**about, **own})

    def poll(self) -> None:
        """Do what has been asked."""
        while True:
            try:
                sender, data = self.sock.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            except ValueError:
                continue
            body = unsealed(self._secret, data)
            if body is None:
                continue
            try:
                answer = {"ok": True, **self._obey(json.loads(body))}
            except JoinError as error:
                answer = {"ok": False, "say": str(error)}
            except (ValueError, KeyError, TypeError):
                answer = {"ok": False, "say": "that is not known; use one version of showcaller"}
            with contextlib.suppress(zmq.ZMQError):
                sealed_answer = sealed(self._secret, json.dumps(answer).encode())
                self.sock.send_multipart((sender, sealed_answer), zmq.NOBLOCK)

    def close(self) -> None:
        """Nobody speaks to it any more."""
        self.sock.close(linger=100)
        for path in endpoint_files(self._folder):
            with contextlib.suppress(OSError, ValueError):
                if json.loads(path.read_text(encoding="utf-8")).get("pid") == os.getpid():
                    path.unlink(missing_ok=True)


def ask(folder: Path, asked: dict[str, Any], wait_s: float = WAIT_S) -> dict[str, Any]:
    """What the process of ``folder`` answers.

    Raises:
        JoinError: there is none, it does not answer, or it refuses; one sentence.
    """
    endpoint = read_endpoint(folder)
    if endpoint is None or "control" not in endpoint:
        raise JoinError("nothing is switched on here for other machines; switch it on first")
    secret = bytes.fromhex(endpoint["secret"])
    context: zmq.Context[Any] = zmq.Context.instance()
    sock = context.socket(zmq.DEALER)
    sock.setsockopt(zmq.LINGER, 0)
    try:
        sock.connect(endpoint["control"])
        sock.send(sealed(secret, json.dumps(asked).encode()))
        until_s = time.monotonic() + wait_s
        while (left_s := until_s - time.monotonic()) > 0:
            if sock.poll(int(left_s * 1000)):
                body = unsealed(secret, sock.recv())
                if body is not None:
                    answer: dict[str, Any] = json.loads(body)
                    if not answer["ok"]:
                        raise JoinError(str(answer["say"]))
                    return answer
    finally:
        sock.close()
    raise JoinError("it does not answer; try again")


def is_there(folder: Path) -> bool:
    """Whether such a process answers for this folder."""
    try:
        ask(folder, {"do": "status"}, 1.0)
    except JoinError:
        return False
    return True
