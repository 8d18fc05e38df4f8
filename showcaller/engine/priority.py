"""How urgent the engine's process is to the system."""

import contextlib
import os
import sys

ORDINARY = "ordinary"
"""How urgent an engine is that asks for no more than other programs get."""


def lower_priority() -> str:
    """A rehearsal that runs faster than life is busy all the time and must not keep a show waiting."""
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))
    return ORDINARY


def raise_priority() -> str:
    """Ask to be run before other programs: real time if allowed, else a better 'nice'; says which."""
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(5))
            return "real time"
    if hasattr(os, "nice"):
        with contextlib.suppress(OSError):
            os.nice(-10)
            return "preferred"
    return ORDINARY


def keep_pace() -> None:
    """Ask for the calling thread what the process's first has. For threads that a library has made: put aside
    while it holds the interpreter, one of them would hold up the engine's own."""
    if not sys.platform.startswith("linux"):
        return
    with contextlib.suppress(OSError):
        engine, urgency = os.getpid(), os.sched_getscheduler(os.getpid())
        if urgency != os.SCHED_OTHER and os.sched_getscheduler(0) == os.SCHED_OTHER:
            os.sched_setscheduler(0, urgency, os.sched_getparam(engine))
