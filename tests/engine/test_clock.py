"""The run's clock: the machine's monotonic one, shifted and stretched, the same in every process."""

import subprocess
import sys
import time

import pytest

from showcaller.engine.clock import RunClock, boot_id, continued, new_clock

NS = 1_000_000_000


def test_a_new_clock_shows_nothing_yet_and_runs_with_the_machines_own():
    before = time.monotonic_ns()
    clock = new_clock()
    after = time.monotonic_ns()
    assert before <= clock.base_ns <= after
    assert clock.at(clock.base_ns + 5 * NS) == 5 * NS
    assert clock.boot == boot_id()


def test_a_fast_clock_runs_fast_and_back_again():
    clock = RunClock(1000, 20.0, "", 0)
    assert clock.at(1000 + 3 * NS) == 60 * NS
    assert clock.monotonic_of(60 * NS) == 1000 + 3 * NS


@pytest.mark.parametrize("speed", [1.0, 1.5, 20.0, 60.0])
def test_an_instant_of_the_run_is_found_again_to_within_the_clocks_speed_in_ns(speed):
    clock = RunClock(123_456_789, speed, "", 0)
    for run_ns in (0, 1, 999_999_999, 3 * 3600 * NS + 7):
        assert abs(clock.at(clock.monotonic_of(run_ns)) - run_ns) <= speed


def test_the_time_of_day_of_a_fast_rehearsal_runs_with_the_rehearsal():
    wall0_ns = 1_760_000_000 * NS
    assert RunClock(0, 20.0, "", wall0_ns).wall_ns(90 * NS) == wall0_ns + 90 * NS


def test_the_time_of_day_of_a_show_is_the_machines():
    before = time.time_ns()
    assert before <= RunClock(0, 1.0, "", 0).wall_ns(90 * NS) <= time.time_ns()


def test_a_clock_carried_over_a_restart_of_the_machine_goes_on_where_it_should():
    clock = continued(20.0, 4_000 * NS, 7)
    assert 4_000 * NS <= clock.now_ns() < 4_100 * NS
    assert (clock.boot, clock.wall0_ns) == (boot_id(), 7)


def test_another_process_with_the_same_base_shows_the_same_time():
    clock = new_clock()
    code = (
        "import sys; from showcaller.engine.clock import RunClock, boot_id\n"
        "print(RunClock(int(sys.argv[1]), 1.0, '').now_ns(), boot_id())"
    )
    before = clock.now_ns()
    args = [sys.executable, "-c", code, str(clock.base_ns)]
    shown, boot = subprocess.run(args, capture_output=True, text=True, check=True).stdout.split(maxsplit=1)
    assert before < int(shown) < clock.now_ns()
    assert boot.strip() == clock.boot
