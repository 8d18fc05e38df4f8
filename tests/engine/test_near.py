"""What reads stands still while something is about to fire, in one piece and not for ever."""

import select
import socket
import subprocess
import sys
import time
from types import SimpleNamespace

import pytest

from showcaller.engine import near
from showcaller.engine.near import AFTER_NS, NEAR_NS, READS_NS, STANDS_NS, NextInstant, StandsStill
from showcaller.engine.stamps import EXTRA_BYTES, came_ns, stamp_arrivals

DUE_NS = 1_000_000_000


class Clock:
    """A clock that only sleeping moves on."""

    def __init__(self, now_ns):
        self.now_ns, self.slept_ns = now_ns, []

    def monotonic_ns(self):
        return self.now_ns

    def sleep(self, seconds):
        self.slept_ns.append(round(seconds * 1e9))
        self.now_ns += self.slept_ns[-1]


@pytest.fixture
def clock(monkeypatch):
    made = Clock(0)
    monkeypatch.setattr(near, "time", SimpleNamespace(monotonic_ns=made.monotonic_ns, sleep=made.sleep))
    return made


@pytest.mark.parametrize("ahead_ns", [NEAR_NS - 1, 200_000, 0, -AFTER_NS + 1])
def test_near_an_instant_it_stands_still_once_until_what_fires_has_left(clock, ahead_ns):
    clock.now_ns = DUE_NS - ahead_ns
    StandsStill(NextInstant(DUE_NS)).while_near()
    assert clock.now_ns == DUE_NS + AFTER_NS
    assert len(clock.slept_ns) == 1


@pytest.mark.parametrize("ahead_ns", [NEAR_NS, 50_000_000, -AFTER_NS, -1_000_000_000])
def test_when_none_is_near_it_waits_for_nothing(clock, ahead_ns):
    clock.now_ns = DUE_NS - ahead_ns
    StandsStill(NextInstant(DUE_NS)).while_near()
    assert clock.slept_ns == []


def test_however_close_the_instants_stand_it_has_its_turn(clock):
    instant = NextInstant(500_000)
    stands = StandsStill(instant)

    def sleep(seconds):
        clock.now_ns += round(seconds * 1e9)
        instant.due_ns = clock.now_ns + 500_000  # the next one is as near again

    near.time.sleep = sleep
    stands.while_near()
    stood_ns = clock.now_ns
    assert STANDS_NS <= stood_ns < STANDS_NS + NEAR_NS + AFTER_NS
    clock.now_ns += READS_NS - 1
    instant.due_ns = clock.now_ns + 500_000
    stands.while_near()
    assert clock.now_ns == stood_ns + READS_NS - 1, "it reads on"
    clock.now_ns += 1
    stands.while_near()
    assert clock.now_ns > stood_ns + READS_NS, "and then stands still again"


@pytest.mark.parametrize(
    ("ahead_ns", "ends_ns"),
    [
        (3_000_000, DUE_NS + AFTER_NS),
        (2_000_000, DUE_NS + AFTER_NS),
        (5_000_000, DUE_NS - 3_000_000),
        (1_000_000, DUE_NS + 1_000_000),
    ],
)
def test_a_rest_does_not_end_while_something_is_about_to_fire(clock, ahead_ns, ends_ns):
    clock.now_ns = DUE_NS - ahead_ns
    StandsStill(NextInstant(DUE_NS)).rest(2_000_000)
    assert clock.now_ns == ends_ns


@pytest.mark.skipif(sys.platform != "linux", reason="only Linux stamps what comes in")
@pytest.mark.parametrize("kind", [socket.SOCK_DGRAM, socket.SOCK_STREAM])
def test_what_is_read_later_has_the_instant_at_which_it_came(kind):
    with socket.socket(socket.AF_INET, kind) as one, socket.socket(socket.AF_INET, kind) as other:
        one.bind(("127.0.0.1", 0))
        if kind == socket.SOCK_STREAM:
            one.listen()
        other.connect(one.getsockname())
        ear = one.accept()[0] if kind == socket.SOCK_STREAM else one
        with ear:
            stamp_arrivals(ear)
            before_ns = time.monotonic_ns()
            other.send(b"done")
            assert select.select([ear], [], [], 5)[0]
            here_ns = time.monotonic_ns()
            while time.monotonic_ns() < here_ns + 3_000_000:
                pass  # something fires meanwhile
            _, extras, _, _ = ear.recvmsg(100, EXTRA_BYTES)
            assert before_ns - 100_000 <= came_ns(extras) <= here_ns + 100_000


def test_without_a_stamp_it_is_now():
    before_ns = time.monotonic_ns()
    assert before_ns <= came_ns([]) <= time.monotonic_ns()


PACE = """
import os, sys, threading
from showcaller.engine.priority import keep_pace, raise_priority
if raise_priority() != "real time":
    sys.exit(3)
found = []
def made_by_a_library():
    os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))
    keep_pace()
    found.append((os.sched_getscheduler(0), os.sched_getparam(0).sched_priority))
thread = threading.Thread(target=made_by_a_library)
thread.start()
thread.join()
assert found == [(os.SCHED_RR, 5)], found
"""


@pytest.mark.skipif(sys.platform != "linux", reason="the calling thread's own urgency is Linux's")
def test_a_library_s_thread_is_as_urgent_as_the_engine():
    done = subprocess.run([sys.executable, "-c", PACE], capture_output=True, text=True, check=False)
    if done.returncode == 3:
        pytest.skip("real time is not allowed here")
    assert done.returncode == 0, done.stderr
