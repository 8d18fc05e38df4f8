"""Is this machine fit tonight? Everything about the machine, in words, and one sentence at the end."""

from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from showcaller.model import Show
from showcaller.readiness.devices import outlets
from showcaller.readiness.finding import Finding
from showcaller.readiness.machine import clock, disk, timer
from showcaller.readiness.network import ports
from showcaller.readiness.power import load, power
from showcaller.readiness.selftest import measured, told
from showcaller.readiness.storage import storage


def fit_tonight(
    runs: Path, show: Show | None = None, measure: Callable[[Path], Finding] | None = None
) -> Iterator[Finding]:
    """Every finding as soon as it is known; some ten seconds. Sends nothing to any device.

    Args:
        runs: where runs are kept.
        show: whose outlets and remotes are looked at too.
        measure: measures the machine; a real engine and a bare loop if not given.
    """
    yield from load()  # before what follows adds to it
    yield from power()
    yield from clock(show)
    yield from timer()
    yield from disk(runs)
    yield from storage(runs)
    yield from ports(show)
    if show is not None:
        yield from outlets(show)
    yield measure(runs) if measure is not None else told(measured(runs))


def verdict(findings: Iterable[Finding]) -> Finding:
    """All of it in one sentence."""
    wrong = [f.what for f in findings if f.state == "wrong"]
    look = [f.what for f in findings if f.state == "look"]
    if wrong:
        words = f"not ready: {_names(wrong)}."
        return Finding("this machine", "wrong", words, "Fix that, then check again.")
    if look:
        return Finding("this machine", "look", "ready for tonight.", f"Check: {_names(look)}.")
    return Finding("this machine", "good", "ready for tonight.")


def _names(whats: list[str]) -> str:
    return ", ".join(dict.fromkeys(whats))
