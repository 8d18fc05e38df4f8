"""A second machine, as on the night but for the network: real processes, each machine with its own keys."""

import signal

import pytest
from boxes import Box, in_step, raw_log, wait
from devices import free_port
from small_shows import cue, document, item

from showcaller.engine.launch import LaunchError, start_engine
from showcaller.joining.control import ask, of_door
from showcaller.joining.errors import JoinError
from showcaller.run import events as ev


@pytest.fixture
def boxes(tmp_path):
    """Front of house, with a show on, and the second machine, which follows it."""
    front, back = (Box(tmp_path, name, port=free_port()) for name in ("front", "back"))
    cues = [cue("a", "1", 0), cue("b", "2", 40)]
    cues += [cue(f"x{n}", f"1{n}", 0.5 + n / 4, fires="by itself") for n in range(60)]
    try:
        front.open_show(document([item("s", 600, cues)]))
        front.open_door()
        front.let_in(back, "engine")
        wait(lambda: back.link().get("live") and back.link()["behind"] == 0)
        wait(lambda: back.door().get("guests"))
        yield front, back
    finally:
        for box in (front, back):
            box.close()


def told(box, kind):
    with box.client() as client:
        return [e for r in client.log() for e in r.events if isinstance(e, kind)]


def follows(box):
    return lambda: box.link().get("live") and box.link()["behind"] == 0


def test_the_second_machine_takes_over_when_told_and_hands_back_and_nothing_fires_twice(boxes):
    front, back = boxes
    with front.client("caller") as desk:
        desk.ask("start", caller="Ines", desk="caller")
        desk.ask("go", go="s:start")
    wait(lambda: len(told(back, ev.Fired)) > 3)
    assert not back.fires, "its outputs are held"
    front.kill()
    assert wait(lambda: not back.link()["live"]) < 1.5, "that it is silent is said at once"
    assert not back.fires, "no machine takes over by itself"
    back.take_over()
    wait(lambda: back.fires)
    assert told(back, ev.TermRaised)[0].term == 1
    unseen = told(back, ev.CuesDoubtful)[0].cues
    assert len(unseen) >= 2, "for half a second or more cues came due every quarter"

    front.open_door()
    wait(follows(front))
    with pytest.raises(LaunchError, match="has this show, and this machine follows it"):
        start_engine(front.folder)
    with pytest.raises(JoinError, match="no rehearsal is open here"):
        ask(of_door(front.runs), {"do": "pull plug"})
    front.take_over()
    wait(lambda: front.fires)
    wait(follows(back))
    wait(lambda: in_step(front, back))
    raised = told(front, ev.TermRaised)
    assert [(e.term, e.planned) for e in raised] == [(1, False), (2, True)]
    fired = [e.cue for e in told(front, ev.Fired)]
    assert len(set(fired)) == len(fired)
    assert not set(fired) & set(unseen)
    assert not told(front, ev.Missed), "handed over while it was running, and none was late"


def test_a_machine_that_dies_while_the_show_is_handed_over_leaves_one_that_can_have_it(boxes):
    front, back = boxes
    with front.client("caller") as desk:
        desk.ask("start", caller="Ines", desk="caller")
        desk.ask("go", go="s:start")
    back.take_over()
    front.kill()  # before it has answered, or just after
    wait(lambda: back.fires)
    front.open_door()
    wait(follows(front))
    front.take_over()
    wait(lambda: not back.fires)
    back.kill()  # it has let go, and what it did last may not have come
    wait(lambda: front.fires)
    back.open_door()
    wait(follows(back))
    back.take_over()
    wait(lambda: not front.fires)
    back.kill()  # the other has let go, and this one had hardly begun
    wait(lambda: front.link().get("can_take_over") and not front.link()["live"])
    front.take_over()
    wait(lambda: front.fires)
    terms = [e.term for e in told(front, ev.TermRaised)]
    assert terms == sorted(set(terms))
    assert len(terms) >= 3
    fired = [e.cue for e in told(front, ev.Fired)]
    assert len(set(fired)) == len(fired)


def test_an_engine_that_takes_over_goes_above_the_term_of_its_own_log(tmp_path):
    box = Box(tmp_path, "front", port=free_port())
    try:
        box.open_show(document([item("s", 60, [cue("a", "1", 0)])]))
        for term in (2, 1):  # what is known of the others may be older than the log
            box.kill("-m showcaller.engine")
            box.start_engine({"term": term, "machine": "front", "by": "", "planned": False})
        assert [e.term for e in told(box, ev.TermRaised)] == [2, 3]
    finally:
        box.close()


def test_an_engine_that_dies_before_anybody_has_seen_its_term_loses_nothing(boxes):
    front, back = boxes
    with front.client("caller") as desk:
        desk.ask("start", caller="Ines", desk="caller")
        desk.ask("go", go="s:start")

    def dies_at_once(new, other):
        """All that ``new`` did before it died, once it has taken over; ``other`` has it by then."""
        new.kill("showcaller.joining door", sign=signal.SIGSTOP)  # so that nobody hears of what comes
        new.take_over()
        wait(lambda: new.fires)
        with new.client() as desk:
            done = raw_log(desk)
        new.kill_engine()
        new.kill("showcaller.joining door", sign=signal.SIGCONT)
        assert '"kind":"term_raised"' in done[-1] + done[-2] + done[-3]
        wait(lambda: other.link().get("has", 0) >= len(done))
        return done

    done = dies_at_once(back, front)
    back.start_engine()  # its desk starts it again
    wait(follows(front))
    more = dies_at_once(front, back)
    back.take_over()  # or somebody takes over at the other side
    wait(lambda: back.fires)
    wait(lambda: front.link() and follows(front)())
    wait(lambda: in_step(front, back))
    with front.client() as desk:
        log = raw_log(desk)
    assert log[: len(done)] == done
    assert log[: len(more)] == more
    assert [e.term for e in told(back, ev.TermRaised)] == [1, 2, 3]
    fired = [e.cue for e in told(back, ev.Fired)]
    assert len(set(fired)) == len(fired)
