"""What is said of a clock that was set, a machine that slept, an engine that was held up."""

from showcaller.engine.time_watch import Watch
from showcaller.run import events as ev


class World:
    """A machine's clocks, moved by hand."""

    def __init__(self):
        self.now_s, self.wall_s, self.asleep_ns = 100.0, 5_000_000.0, 0
        self.watch = Watch(lambda: self.now_s, lambda: self.wall_s, lambda: self.asleep_ns)
        self.look()

    def pass_time(self, seconds, set_s=0.0, slept_s=0.0):
        self.now_s += seconds
        self.asleep_ns += round(slept_s * 1e9)
        self.wall_s += seconds + set_s + slept_s

    def look(self, meant_s=0.1, watch_wall=True):
        return list(self.watch.look(meant_s, watch_wall))


def test_a_quiet_night_says_nothing():
    world = World()
    for _ in range(1000):
        world.pass_time(0.1, set_s=0.0001)  # a time server's slow correction
        assert world.look() == []


def test_a_clock_that_is_set_is_said_each_time_with_by_how_much():
    world = World()
    world.pass_time(0.1, set_s=3600)
    assert world.look() == [ev.WallClockSet(shift_s=3600.0)]
    world.pass_time(0.1, set_s=-3600)
    assert world.look() == [ev.WallClockSet(shift_s=-3600.0)]
    world.pass_time(0.1)
    assert world.look() == []
    world.pass_time(0.1, set_s=60)
    assert world.look(watch_wall=False) == [], "a rehearsal's time of day is its own"


def test_a_machine_that_slept_and_an_engine_that_was_held_up_are_told_apart():
    world = World()
    world.pass_time(2.1)
    assert world.look() == [ev.EngineStalled(for_s=2.0, why="the engine was held up")]
    world.pass_time(0.1, slept_s=30)
    assert world.look() == [ev.EngineStalled(for_s=30.0, why="the machine slept")]
