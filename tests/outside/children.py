"""Readers that behave as badly as a reader can; only a child runs them."""

import ctypes
import os
import sys
import time
from pathlib import Path

from showcaller.outside import Within


def counts(within: Within, to: int) -> object:
    for n in range(to):
        within.tell("one of them", n + 1, to)
        time.sleep(0.12)
    return {"counted": to, "ö": [None, 1.5]}


def segfault(_within: Within) -> None:
    ctypes.string_at(0)


def abort(_within: Within) -> None:
    os.abort()


def quits(_within: Within) -> None:
    os._exit(3)


def cut_off(within: Within) -> None:
    within.tell.__self__._out.write(b'{"found": ')
    within.tell.__self__._out.flush()
    os._exit(0)


def raises(_within: Within) -> None:
    raise KeyError("a b")


def recurses(within: Within) -> None:
    recurses(within)


def prints(_within: Within) -> str:
    sys.stdout.write("loud\n")
    os.write(1, b"louder\n")
    return "quiet"


def hangs(_within: Within) -> None:
    time.sleep(600)


def hangs_and_tells(within: Within) -> None:
    within.tell("hanging", 0, 0)
    time.sleep(600)


def grows(_within: Within) -> int:
    kept = []
    while True:
        kept.append(bytearray(10_000_000))


def writes(_within: Within, path: str) -> None:
    Path(path).write_bytes(b"planted")
