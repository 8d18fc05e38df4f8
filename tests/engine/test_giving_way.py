"""What waits for an instant that is near, and for how long."""

import time
from itertools import count
from types import SimpleNamespace

from showcaller.engine.giving_way import GivingWay


class Crowded:
    """Something is due in a millisecond, always; the run's clock is the machine's."""

    clock = SimpleNamespace(monotonic_of=lambda t_ns: t_ns)
    played_ns = None

    @property
    def next_ns(self):
        return time.monotonic_ns() + 1_000_000


def test_a_long_request_waits_for_a_near_instant_and_never_for_ever_whatever_else_comes(monkeypatch):
    now_ns = count(1_000_000_000, 10_000)  # 10 µs go by from each look at the clock to the next
    monkeypatch.setattr("time.monotonic_ns", lambda: next(now_ns))
    way = GivingWay(Crowded())
    began_s = time.monotonic_ns() / 1e9
    put_off = 0
    while way.put_off(True):
        put_off += 1
        assert not way.put_off(False), "a short one is answered meanwhile"
        assert time.monotonic_ns() / 1e9 - began_s < 5
    assert put_off > 1
    assert time.monotonic_ns() / 1e9 - began_s >= 0.1
    assert way.put_off(True), "the next one waits anew"


def test_where_nothing_is_due_nothing_waits():
    runner = Crowded()
    idle = SimpleNamespace(clock=runner.clock, next_ns=None, played_ns=None)
    way = GivingWay(idle)
    assert not way.put_off(True)
    assert not way.is_quiet()
    assert way.play_on(7) == 7
