"""A whole headset track listened to in a process of its own; what is found comes back as plain values."""

from collections.abc import Callable, Sequence
from pathlib import Path

from showcaller.outside import Limits
from showcaller.outside.asking import ask
from showcaller.outside.limits import Tell
from showcaller.values import Struct

LIMITS = Limits(time_s=7200.0, memory_bytes=1_600_000_000)


class LineExpected(Struct, frozen=True):
    """A line of the plan: its id, its text, and about when it was said, s of the file."""

    id: str
    text: str
    around_s: float


class LineFound(Struct, frozen=True):
    """A line that was said from ``begins_s`` to ``ends_s`` of the file (its last word's end); ``confidence``
    is 0 to 1."""

    id: str
    begins_s: float
    ends_s: float
    confidence: float


def listen(
    path: Path,
    expected: Sequence[LineExpected],
    departments: Sequence[str],
    seen: Tell = lambda _what, _done, _of: None,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[LineFound, ...]:
    """The lines that were said in a WAV, FLAC or video's sound, in time order. It waits for a process.

    Raises:
        Refused: it cannot be read, or exceeds a limit; one sentence.
        Stopped: ``stop`` said so.
    """
    plain = [(e.id, e.text, e.around_s) for e in expected]
    found = ask(
        "showcaller.hearing.child:hear", str(path), plain, list(departments),
        name=path.name, limits=LIMITS, seen=seen, stop=stop,
    )  # fmt: skip
    return tuple(LineFound(str(i), float(a), float(b), float(c)) for i, a, b, c in found)
