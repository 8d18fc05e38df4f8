"""How a desk talks to the engine: ZeroMQ, JSON texts, local sockets.

A request is ``{"id": n, "do": {"kind": …}}`` on a DEALER–ROUTER pair; its answer ``{"id": n, "ok": bool,
"say": sentence or null, …}``. ``"at"`` beside them is when it was sent, in ns of this machine's monotonic
clock, so that a go that was kept waiting is not fired at another moment. Besides the run's commands there are
``hello``, ``show`` and ``log``. Events are published with a topic frame: ``r`` a run record, ``b`` a
heartbeat with the last sequence number and, after a space, why the journal cannot be kept, if it cannot.
"""

import json
import os
import sys
import tempfile
from pathlib import Path
from typing import Any

ENDPOINT_FILE = "endpoint.json"
JOURNAL_FILE = "journal"
LOCK_FILE = "lock"
LOG_FILE = "engine.log"
SHOW_FILE = "show.json"
RECORD = b"r"
BEAT = b"b"
BEAT_S = 0.25
LOG_CHUNK = 2000
"""Records in one answer to ``log`` at most."""


def local_endpoint(run_id: str, name: str) -> str:
    """A ZeroMQ address on this machine only. Socket paths are short: the system allows about 100 bytes."""
    if sys.platform == "win32":
        return "tcp://127.0.0.1:*"
    folder = Path(os.environ.get("XDG_RUNTIME_DIR") or tempfile.gettempdir()) / f"showcaller-{os.getuid()}"
    folder.mkdir(mode=0o700, exist_ok=True)
    return f"ipc://{folder / f'{run_id[:12]}.{name}'}"


def read_endpoint(folder: Path) -> dict[str, Any] | None:
    """Where the engine of a run folder listens; None if it never did or has closed."""
    try:
        data = json.loads((folder / ENDPOINT_FILE).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    return data if isinstance(data, dict) else None
