"""A large document, read by a process of its own first: what would fill the memory ends that one."""

from pathlib import Path

from showcaller.model import DocumentError, read_show
from showcaller.outside import Limits, Refused, Within

BOUNDED_BYTES = 4_000_000
"""What a document of so many bytes can cost is bounded: half a gigabyte and seconds. Larger ones are tried
first."""

LIMITS = Limits(time_s=30.0)


def try_first(path: Path, size_bytes: int) -> None:
    """See that a large document can be read within limits. It waits for a process.

    Raises:
        DocumentError: it cannot.
    """
    if size_bytes <= BOUNDED_BYTES:
        return
    from showcaller.outside.asking import ask  # noqa: PLC0415 - few shows are as large

    try:
        problems = ask("showcaller.editing.importing.shows:tried", str(path), name=path.name, limits=LIMITS)
    except Refused as error:
        raise DocumentError([str(error)]) from None
    if problems:
        raise DocumentError([str(problem) for problem in problems])


def tried(within: Within, path: str) -> list[str]:
    """The child's part: what is wrong, nothing if it is a show."""
    within.tell(f"reading {Path(path).name}", 0, 0)
    try:
        read_show(Path(path))
    except DocumentError as error:
        return error.problems
    return []
