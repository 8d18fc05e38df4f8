"""Crew pages on a joined machine follow the clock as it is put right."""

import queue

from devices import wait_until

from showcaller.crew.following import Follower
from showcaller.values import replace


def test_pages_on_a_joined_machine_follow_the_clocks_correction(house):
    house.client.ask("start", caller="Ines", desk="caller")
    stage = house.join("stage", "stage")
    follower = Follower(stage.what.copy.folder, queue.SimpleQueue().put)
    follower.start()
    try:
        assert wait_until(lambda: follower.clock is not None and follower.is_live())
        was_ns, right = follower.clock.base_ns, stage.what._clock
        stage.what._clock = lambda: replace(right(), base_ns=right().base_ns + 40_000_000)  # a slow way back
        assert wait_until(lambda: 39e6 < follower.clock.base_ns - was_ns < 41e6)
        assert follower.is_live()
    finally:
        follower.stop()
