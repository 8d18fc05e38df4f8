"""The door's process dies, the engine lives: it is said, the door is back, the calls stay where they are."""

import pytest
from boxes import Box, wait
from devices import free_port
from small_shows import cue, document, item

from showcaller.calling.session import RunSession
from showcaller.crew.following import Follower
from showcaller.joining.starting import follow_again, reopen_door
from showcaller.run import commands as c

AGAIN = """
import sys; from pathlib import Path; from showcaller.joining import starting
sys.exit(not getattr(starting, sys.argv[1])(Path(sys.argv[2])))
"""


@pytest.fixture
def boxes(tmp_path):
    front, side = Box(tmp_path, "front", port=free_port()), Box(tmp_path, "side")
    try:
        front.open_show(document([item("s", 600, [cue(f"c{n}", f"{n + 1}", 10 * n) for n in range(9)])]))
        front.open_door()
        front.let_in(side, "caller")
        wait(lambda: side.link().get("live") and side.link()["behind"] == 0)
        yield front, side
    finally:
        for box in (front, side):
            box.close()


def test_a_door_that_dies_alone_is_missed_at_once_comes_back_and_nobody_has_lost_the_calls(boxes):
    front, side = boxes
    mo = RunSession(side.folder, None, side.desk, "Mo's desk")
    here = RunSession(front.folder, None, "caller", "caller's desk")
    pages = Follower(side.runs, lambda _: None)
    pages.start()

    def until(done, s=10.0):
        return wait(lambda: [mo.poll(), here.poll()] and done(), s=s)

    try:
        mo.send(c.Start(caller="Mo", muted=False, digest="", desk=mo.desk))
        until(lambda: mo.has_calls and mo.book.state.calling and not here.has_calls)
        mo.send(c.Go("s:start"))
        until(lambda: any(r.input == c.Go("s:start") for r in here.book.records))

        until(lambda: pages.is_live() and pages.clock is not None)
        assert not reopen_door(front.runs), "it lives"
        front.kill("showcaller.joining door")
        assert until(lambda: mo.trouble is not None and not mo.joined["live"]) < 2.0
        name = mo.joined["name"]
        assert mo.trouble == f"{name} is not heard. Call by voice; this desk keeps trying."
        until(lambda: not pages.is_live(), 2.0)
        until(lambda: here.calls_gone)
        assert here.trouble is None, "the engine lives"
        assert not here.has_calls, "what one may take is not yet taken"
        assert mo.has_calls

        port = front.port
        front.run("-c", AGAIN, "reopen_door", str(front.runs))
        assert front.door()["port"] == port
        until(lambda: mo.trouble is None and mo.joined["live"] and not here.calls_gone)
        until(pages.is_live)
        mo.send(c.Go("s:c1"))
        until(lambda: any(r.input == c.Go("s:c1") for r in here.book.records))
        assert here.book.state.calling == mo.desk

        side.kill("showcaller.joining link")
        until(lambda: mo.trouble == f"The way to {name} has stopped. Call by voice; join again.", 3.0)
        side.run("-c", AGAIN, "follow_again", str(side.runs))
        until(lambda: mo.trouble is None and mo.joined is not None and mo.joined["live"])
        assert not follow_again(side.runs), "it lives"
        mo.send(c.Go("s:c2"))
        until(lambda: any(r.input == c.Go("s:c2") for r in here.book.records))
        until(lambda: len(mo.book.records) == len(here.book.records))
        assert [r.to_bytes() for r in mo.book.records] == [r.to_bytes() for r in here.book.records]
    finally:
        pages.stop()
        mo.close()
        here.close()
