"""A part of a log as one answer, as the engine gives it."""

from typing import Any, Protocol

from showcaller.engine.protocol import LOG_CHUNK, LOG_CHUNK_BYTES

_STEP = 32


class LogKept(Protocol):
    """Records in their order, from 1."""

    def slice(self, start: int, count: int) -> list[bytes]:
        """Up to ``count`` from the one at ``start`` on, counted from 0."""

    def __len__(self) -> int: ...


def log_chunk(log: LogKept, start: int) -> dict[str, Any]:
    """The records from number ``start`` on that one answer has room for."""
    start, size = max(1, start), 0
    found: list[str] = []
    while len(found) < LOG_CHUNK and size < LOG_CHUNK_BYTES:
        part = log.slice(start - 1 + len(found), _STEP)
        if not part:
            break
        found += [body.decode() for body in part]
        size += sum(map(len, part))
    return {"records": found, "from": start, "seq": len(log)}
