"""The run's term as the last argument of an OSC message, for outlets that carry it. Pure."""


def with_term(body: bytes, term: int) -> bytes:
    """An OSC 1.0 message with one more argument, an int32."""
    at = _padded(body.index(b"\0") + 1)
    end = body.index(b"\0", at)
    tags = body[at:end] + b"i"
    return (
        body[:at]
        + tags
        + b"\0" * (_padded(len(tags) + 1) - len(tags))
        + body[_padded(end + 1) :]
        + term.to_bytes(4, "big")
    )


def _padded(length: int) -> int:
    return (length + 3) // 4 * 4
