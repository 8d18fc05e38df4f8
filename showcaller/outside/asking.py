"""The side that waits: starts the child, hears how far it is, ends it at its limit or when told to.

It blocks, so the desk calls it on a thread of its own; the thread sleeps and needs none of Python's lock.
"""

import contextlib
import json
import os
import pickle
import queue
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable
from typing import IO, Any

from showcaller.outside.limits import Limits, Refused, Stopped, Tell, size_words

_LOOK_S = 0.05
_SILENCE_S = 1.0
_LARGEST_ANSWER = 128_000_000
# One thread a library, so that a limit on memory is not spent on stacks; and no arena for each thread.
_QUIET = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "2"}


def ask(
    reader: str,
    *args: Any,
    name: str,
    limits: Limits | None = None,
    seen: Tell = lambda _what, _done, _of: None,
    stop: Callable[[], bool] = lambda: False,
) -> Any:
    """What ``reader``, ``"package.module:function"`` of ours, says of a file, read in a process of its own.

    Args:
        reader: is called with a ``Within`` and ``args`` and gives back plain JSON.
        args: values that can be pickled.
        name: what sentences call the file.
        limits: what it may take.
        seen: told how far it is.
        stop: looked at 20 times a second; True ends it.

    Raises:
        Refused: it cannot be read, or exceeds a limit; one sentence.
        Stopped: ``stop`` said so.
    """
    limits = limits or Limits()
    words = [sys.executable, "-m", "showcaller.outside"]
    try:
        child = subprocess.Popen(
            words,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=os.environ | _QUIET,
        )
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise Refused(f"{name} cannot be read: no process can be started for it ({reason})") from None
    assert child.stdin is not None
    assert child.stdout is not None
    lines: queue.Queue[bytes] = queue.Queue()
    hearing = threading.Thread(target=_hear, args=(child.stdout, lines), name="outside", daemon=True)
    hearing.start()
    try:
        with contextlib.suppress(OSError):  # its early death is told by the end of its answers
            child.stdin.write(pickle.dumps((reader, args, limits, name)))
            child.stdin.close()
        return _answer(child, lines, name, limits, seen, stop)
    finally:
        child.kill()
        child.wait()
        hearing.join(5.0)
        for pipe in (child.stdin, child.stdout):
            with contextlib.suppress(OSError):
                pipe.close()


def _hear(pipe: IO[bytes], lines: "queue.Queue[bytes]") -> None:
    """Each answer as it comes; an empty one at the end."""
    with contextlib.suppress(OSError, ValueError):
        while line := pipe.readline(_LARGEST_ANSWER):
            lines.put(line)
    lines.put(b"")


def _answer(
    child: "subprocess.Popen[bytes]",
    lines: "queue.Queue[bytes]",
    name: str,
    limits: Limits,
    seen: Tell,
    stop: Callable[[], bool],
) -> Any:
    begun_s = heard_s = time.monotonic()
    while True:
        if stop():
            raise Stopped(f"reading {name} was stopped; nothing was changed")
        now_s = time.monotonic()
        left_s = limits.time_s - (now_s - begun_s)
        if left_s <= 0:
            raise Refused(_too_long(name, limits))
        if now_s - heard_s > _SILENCE_S:
            # A library that says nothing for so long is at work all the same: how long it may be is known.
            heard_s = now_s
            seen(f"reading {name}", int(now_s - begun_s), int(limits.time_s))
        try:
            line = lines.get(timeout=min(_LOOK_S, left_s))
        except queue.Empty:
            continue
        if not line:
            raise Refused(_death(child, name, limits))
        try:
            said = json.loads(line)
        except ValueError:  # cut off by the child's death, or longer than any answer may be
            raise Refused(_death(child, name, limits)) from None
        if "step" in said:
            heard_s = time.monotonic()
            seen(*said["step"])
        elif "wrong" in said:
            raise Refused(said["wrong"])
        else:
            return said["found"]


def _too_long(name: str, limits: Limits) -> str:
    return (
        f"reading {name} took longer than {limits.time_s:g} s, which is the limit; is it what it should be?"
    )


def _death(child: "subprocess.Popen[bytes]", name: str, limits: Limits) -> str:
    """Why the child is gone, in a sentence."""
    try:
        status = child.wait(2.0)
    except subprocess.TimeoutExpired:
        return f"reading {name} came to no end; save it again where it came from"
    late = {-getattr(signal, s, 0) for s in ("SIGXCPU", "SIGALRM") if hasattr(signal, s)}
    if status in late:
        return _too_long(name, limits)
    if status == -getattr(signal, "SIGKILL", 9):
        return (
            f"reading {name} was ended by the system, as when memory is short "
            f"({size_words(limits.memory_bytes)} is the limit); is it what it should be?"
        )
    if status == -getattr(
        signal, "SIGABRT", 6
    ):  # how libraries end that get no memory, and some that are lost
        return (
            f"{name} broke the program that reads it (SIGABRT), as when it needs more memory than "
            f"{size_words(limits.memory_bytes)}, which is the limit; is it what it should be?"
        )
    try:
        how = signal.Signals(-status).name if status < 0 else f"status {status}"
    except ValueError:
        how = f"signal {-status}"
    return (
        f"{name} broke the program that reads it ({how}), so it is damaged; save it again where it came from"
    )
