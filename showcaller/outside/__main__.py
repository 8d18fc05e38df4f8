"""The child: takes one request, holds itself to its limits, answers in lines of JSON, and is gone."""

import contextlib
import importlib
import json
import os
import pickle
import signal
import sys
import time
from typing import Any

from showcaller.outside.limits import Limits, Refused, Within, size_words

_TELL_EVERY_S = 0.1


def hold_to(limits: Limits) -> None:
    """Bind this process to its limits as far as the system can. It may write no file and leave no core."""
    if hasattr(signal, "setitimer"):
        # Should the one that asked be gone, nobody else would end it.
        signal.setitimer(signal.ITIMER_REAL, limits.time_s + 5)
    if hasattr(os, "nice"):
        os.nice(10)
    try:
        import resource  # noqa: PLC0415 - not on every system
    except ImportError:
        return
    for what, value in (
        ("RLIMIT_AS", limits.memory_bytes), ("RLIMIT_CPU", int(limits.time_s) + 5), ("RLIMIT_FSIZE", 0),
        ("RLIMIT_CORE", 0),
    ):  # fmt: skip
        with contextlib.suppress(OSError, ValueError, AttributeError):
            resource.setrlimit(getattr(resource, what), (value, value))


class Answers:
    """Lines of JSON to the one that asked."""

    def __init__(self, handle: int) -> None:
        self._out = os.fdopen(handle, "wb")
        self._told_s = 0.0
        self._what = ""

    def say(self, value: dict[str, Any]) -> None:
        """One answer."""
        self._out.write(json.dumps(value).encode() + b"\n")
        self._out.flush()

    def step(self, what: str, done: int, of: int) -> None:
        """How far it is; not more often than anybody can see."""
        now_s = time.monotonic()
        if what != self._what or now_s - self._told_s > _TELL_EVERY_S:
            self._told_s, self._what = now_s, what
            self.say({"step": [what, done, of]})


def main() -> None:
    """Read one file."""
    answers = Answers(os.dup(1))
    os.dup2(2, 1)  # nothing that a library prints may get between the answers
    reader, args, limits, name = pickle.load(sys.stdin.buffer)  # from the process that started this one
    hold_to(limits)
    module, function = reader.split(":")
    try:
        found = getattr(importlib.import_module(module), function)(Within(limits, answers.step), *args)
        answers.say({"found": found})
    except Refused as error:
        answers.say({"wrong": str(error)})
    except MemoryError:
        most = size_words(limits.memory_bytes)
        answers.say({"wrong": f"reading {name} needs more than {most} of memory, which is the limit"})
    except RecursionError:
        answers.say({"wrong": f"{name} is nested far too deeply; save it again where it came from"})
    except Exception as error:  # libraries raise what they like: each is one sentence and no traceback
        why = ": ".join(w for w in (type(error).__name__, " ".join(str(error).split())[:120]) if w)
        answers.say({"wrong": f"{name} cannot be read ({why}); save it again where it came from"})
    os._exit(0)  # nothing is left to tidy, and a broken library may not get to


if __name__ == "__main__":
    main()
