"""The machine itself: room on its disk, and its clock."""

import ctypes
import shutil
import sys
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

from showcaller.model import Show
from showcaller.readiness.finding import Finding

LEAST_BYTES = 200_000_000
ENOUGH_BYTES = 2_000_000_000
_SLOW_SOURCES = ("hpet", "acpi_pm", "jiffies", "pit")
"""Clock sources of Linux that cost microseconds a look (kernel documentation, timekeeping; from memory)."""

_TIME_ERROR = 5
"""What adjtimex returns where no time server keeps the clock (adjtimex(2))."""


def disk(runs: Path) -> Iterator[Finding]:
    """Whether there is room for journals; a long show's is some ten megabytes."""
    where = runs
    while not where.exists() and where != where.parent:
        where = where.parent
    free = shutil.disk_usage(where).free
    words = f"{free / 1e9:.1f} GB free for the record."
    if free < LEAST_BYTES:
        yield Finding("disk", "wrong", words, "Make room before the doors.")
    elif free < ENOUGH_BYTES:
        yield Finding("disk", "look", words, "Enough for tonight; make room soon.")
    else:
        yield Finding("disk", "good", words)


def clock(show: Show | None) -> Iterator[Finding]:
    """What time this machine thinks it is, and whether somebody keeps it right."""
    now = datetime.now().astimezone()
    words = f"{now:%H:%M:%S} {now:%Z} here"
    if show is not None:
        words += f"; the show starts at {show.starts_at}"
        words += f", curfew {show.curfew}" if show.curfew else ""
    words += "."
    if _kept() is False:
        yield Finding("clock", "look", words, "No time server keeps it: compare it with the venue's.")
    else:
        yield Finding("clock", "good", words)


def timer(root: Path = Path("/")) -> Iterator[Finding]:
    """How fine the clock is by which cues fire. ``root`` is where the system's own files are."""
    step_ns = time.get_clock_info("monotonic").resolution * 1e9
    words = f"cues are fired by a clock of {step_ns:g} ns"
    source = root / "sys/devices/system/clocksource/clocksource0/current_clocksource"
    name = source.read_text(encoding="ascii").strip() if source.exists() else ""
    words += f" ('{name}')." if name else "."
    if step_ns > 1e6 or name in _SLOW_SOURCES:
        yield Finding("timer", "look", words, "A slow one: restart the machine, then check again.")
    else:
        yield Finding("timer", "good", words)


def _kept() -> bool | None:
    """Whether a time server keeps the clock; None where that cannot be known."""
    if not sys.platform.startswith("linux"):
        return None
    try:
        # The call fills a struct of some 200 bytes; mode 0 only reads.
        return int(ctypes.CDLL(None).adjtimex(ctypes.create_string_buffer(512))) != _TIME_ERROR
    except (OSError, AttributeError):
        return None
