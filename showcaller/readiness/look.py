"""The whole check, in the order in which a stage manager would ask."""

from collections.abc import Callable, Iterator
from pathlib import Path

from showcaller.model import Show
from showcaller.readiness.devices import loudness, media, outlets, timecode
from showcaller.readiness.finding import Finding
from showcaller.readiness.machine import clock, disk
from showcaller.readiness.plan import calls, channels, clearances, plan
from showcaller.readiness.selftest import selftest, told


def look_over(
    show: Show, folder: Path | None, runs: Path, measure: Callable[[Path], Finding] | None = None
) -> Iterator[Finding]:
    """Every finding as soon as it is known; about ten seconds in all. Sends nothing to any device.

    Args:
        folder: where the show's media lie; None if it has no folder.
        runs: where runs are kept.
        measure: measures the machine; a real engine for two seconds if not given.
    """
    yield from plan(show)
    yield from calls(show)
    yield from channels(show)
    yield from clearances(show)
    yield from outlets(show)
    yield from media(show, folder)
    yield from loudness(show)
    yield from timecode(show)
    yield from disk(runs)
    yield from clock(show)
    yield measure(runs) if measure is not None else told(selftest(runs))
