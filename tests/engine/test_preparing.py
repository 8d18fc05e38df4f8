"""What is worked out beside the run stands still while something is about to fire, and not for ever."""

import threading
import time
from types import SimpleNamespace

from small_shows import cue, item, show

from showcaller.engine.preparing import Preparer
from showcaller.run import commands as c
from showcaller.run.compiled import compile_show
from showcaller.timing.plan import compile_plan

CHANGE = {"do": "set", "at": ["items", "s"], "fields": {"name": "Another"}}


class AlwaysNear(Preparer):
    """Something is due in a millisecond, always."""

    @property
    def due_ns(self):
        return time.monotonic_ns() + 1_000_000

    @due_ns.setter
    def due_ns(self, at_ns):
        pass


def seconds(kind, length_s):
    """How long a change takes to be worked out."""
    ready = threading.Event()
    compiled = compile_show(compile_plan(show([item("s", length_s, [cue("a", "1", 1)])])))
    preparer = kind(SimpleNamespace(compiled=compiled, encode_ahead=lambda after: {}), ready.set)
    began_s = time.monotonic()
    preparer.want(c.ChangeTonight(change=CHANGE, words="another name", by="Ines"))
    assert ready.wait(20)
    assert preparer.is_ready
    return time.monotonic() - began_s


def test_it_stands_still_while_an_instant_is_near_and_comes_to_an_end_however_close_they_are():
    assert seconds(AlwaysNear, 60) >= 0.3


def test_nothing_near_it_does_not_wait():
    assert min(seconds(Preparer, length_s) for length_s in (61, 62, 63, 64, 65)) < 0.3
