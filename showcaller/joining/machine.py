"""This machine's key pair and name, kept for this user's eyes alone.

The public half is how others know this machine; the secret half never leaves it.
"""

import contextlib
import json
import os
import socket
from hashlib import sha256
from pathlib import Path

import zmq
from platformdirs import user_state_path

from showcaller.joining.errors import JoinError
from showcaller.values import Struct, asdict, replace

_FILE = "machine.json"
LONGEST_NAME = 40


class Machine(Struct, frozen=True):
    """``key`` and ``secret`` are a CURVE key pair, 40 characters (Z85) each."""

    key: str
    secret: str
    name: str

    @property
    def id(self) -> str:
        """Eight hex digits that stand for the key."""
        return key_id(self.key)


def key_id(key: str) -> str:
    """What stands for a public key in a log and on a screen; desks of that machine begin with it."""
    return sha256(key.encode()).hexdigest()[:8]


def joining_folder(root: Path | None = None) -> Path:
    """Where everything about other machines is kept, made if it is not there.

    Raises:
        JoinError: it cannot be.
    """
    folder = root or user_state_path("showcaller") / "joining"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        folder.chmod(0o700)
    except OSError as error:
        raise JoinError(_why(folder, error)) from None
    return folder


def this_machine(root: Path | None = None, name: str = "") -> Machine:
    """This machine's own, made at the first time; from now on it has this ``name``, if one is given.

    Raises:
        JoinError: they can be kept nowhere.
    """
    path = joining_folder(root) / _FILE
    made = None
    with contextlib.suppress(OSError, ValueError, TypeError):
        made = Machine(**json.loads(path.read_text(encoding="utf-8")))
        if not name or name == made.name:
            return made
    if made is None:
        key, secret = zmq.curve_keypair()
        made = Machine(key.decode(), secret.decode(), socket.gethostname() or "a machine")
    made = replace(made, name=(name or made.name)[:LONGEST_NAME])
    try:
        write_private(path, json.dumps(asdict(made)))
    except OSError as error:
        raise JoinError(_why(path.parent, error)) from None
    return made


def write_private(path: Path, text: str) -> None:
    """Write a file that only this user can read, whole or not at all; raises OSError."""
    new = path.with_suffix(".new")
    with contextlib.suppress(FileNotFoundError):
        new.unlink()
    with open(new, "x", encoding="utf-8", opener=_mine_alone) as file:
        file.write(text)
    new.replace(path)


def _mine_alone(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def _why(folder: Path, error: OSError) -> str:
    reason = (error.strerror or str(error)).lower()
    return f"this machine's key cannot be kept in {folder}: {reason}; free disk space or choose another user"
