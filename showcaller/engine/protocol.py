"""How a desk talks to the engine: ZeroMQ, JSON texts, local sockets.

A request is ``{"id": n, "do": {"kind": …}}`` on a DEALER–ROUTER pair, or shorter where the system has it (see
``short_way``); its answer ``{"id": n, "ok": bool,
"say": sentence or null, …}``. ``"at"`` beside them is when it was sent, in ns of this machine's monotonic
clock, so that a go that was kept waiting is not fired at another moment; ``"desk"`` is the id of the desk
that asks, which says ``here`` (with its ``name``) twice a second. Besides the run's commands there are
``hello``, ``show``, ``log`` and ``here``. Events are published with a topic frame: ``r`` a run record,
``b`` a heartbeat with the last sequence number and, after a space, why the journal cannot be kept, if it
cannot. A record longer than :data:`PUBLISHED_BYTES` is not published: the heartbeat's number tells a desk
to ask for it.

Both requests and answers are sealed with the run's secret, which stands in the endpoint file that only this
user can read: 16 hex digits, a space, the text.
"""

import contextlib
import glob
import json
import os
import sys
from hashlib import blake2b
from hmac import compare_digest
from pathlib import Path
from typing import Any

from showcaller.engine.private import private_folder, socket_folder
from showcaller.engine.short_way import listens

ENDPOINT_FILE = "endpoint.json"
JOURNAL_FILE = "journal"
LOCK_FILE = "lock"
LOG_FILE = "engine.log"
SHOW_FILE = "show.json"
QUESTIONS = ("hello", "show", "log", "here")
"""What changes nothing; their answers may be long, so they go by ZeroMQ."""
RECORD = b"r"
BEAT = b"b"
BEAT_S = 0.25
HERE_S = 0.5
"""A desk says so often that it is there."""
LOG_CHUNK = 2000
"""Records in one answer to ``log`` at most."""
LOG_CHUNK_BYTES = 1 << 16
"""And about so many bytes: a thing that falls due waits for less than a millisecond behind a desk that
catches up."""
PUBLISHED_BYTES = 1 << 14
UNREAD_RECORDS = 1000
"""So many published records wait for a desk that does not read; then it misses some, and asks for them."""


class NoEngine(Exception):  # noqa: N818 - said as it is read: there is no engine
    """No engine answers for this run folder; one sentence."""


def socket_path(run_id: str, name: str) -> Path:
    """Where this engine's socket lies. Paths are short: the system allows about 100 bytes. Each engine has
    its own, or a desk of the one before would be joined to it without knowing."""
    return socket_folder() / f"{run_id[:12]}.{os.getpid():x}.{name}"


def local_endpoint(run_id: str, name: str) -> str:
    """A ZeroMQ address on this machine only."""
    if sys.platform == "win32":
        return "tcp://127.0.0.1:*"
    return f"ipc://{socket_path(run_id, name)}"


def forget_sockets(run_id: str) -> None:
    """Take away what killed engines of this run have left; only who has the right to run it may."""
    for path in socket_folder().glob(f"{glob.escape(run_id[:12])}.*.[des]*"):
        path.unlink(missing_ok=True)


def sealed(secret: bytes, body: bytes) -> bytes:
    """``body`` with the seal of who knows the secret."""
    return blake2b(body, key=secret, digest_size=8).hexdigest().encode() + b" " + body


def unsealed(secret: bytes, data: bytes) -> bytes | None:
    """The body of ``data``; None when it was not sealed with this secret."""
    seal, _, body = data.partition(b" ")
    right = blake2b(body, key=secret, digest_size=8).hexdigest().encode()
    return body if compare_digest(seal, right) else None


def endpoint_files(folder: Path) -> list[Path]:
    """Where the engine of a run folder says how to reach it: a private place, which a full disk or a deleted
    folder does not touch, and the folder itself, for a desk that has another private place."""
    private = private_folder()
    name = blake2b(str(folder.resolve()).encode(), digest_size=8).hexdigest()
    return [*([] if private is None else [private / f"{name}.endpoint"]), folder / ENDPOINT_FILE]


def write_endpoint(folder: Path, endpoint: dict[str, Any]) -> None:
    """Say it, to this user alone: whoever can read it can give a go.

    Raises:
        OSError: it can be said nowhere.
    """
    failed: list[OSError] = []
    files = endpoint_files(folder)
    for path in files:
        temporary = path.with_suffix(".new")
        try:
            temporary.unlink(missing_ok=True)
            with open(temporary, "x", encoding="utf-8", opener=_mine_alone) as file:
                json.dump(endpoint, file)
            temporary.replace(path)
        except OSError as error:
            failed.append(error)
            with contextlib.suppress(OSError):
                temporary.unlink(missing_ok=True)
    if len(failed) == len(files):
        raise failed[0]


def _mine_alone(path: str, flags: int) -> int:
    return os.open(path, flags, 0o600)


def read_endpoint(folder: Path) -> dict[str, Any] | None:
    """Where the engine of a run folder listens; None if it never did or has closed."""
    found = [e for e in map(_endpoint, endpoint_files(folder)) if e is not None]
    return next((e for e in found if e.get("short") and listens(e["short"])), found[0] if found else None)


def _endpoint(path: Path) -> dict[str, Any] | None:
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data if isinstance(data, dict) else None
