"""When a device goes and comes back: two lines, whatever happens in between."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from showcaller.engine.outlets.presence import HELD_S, LONGEST_WAIT_S, NUDGE_S, Presence
from showcaller.run import events as ev


def test_a_device_that_is_there_is_said_once():
    presence = Presence("u")
    assert presence.due(0)
    assert presence.opened(0) == ev.OutletState(outlet="u", state="open", why="")
    assert [presence.look(t) for t in range(100)] == [None] * 100


def test_the_wait_grows_and_has_an_end():
    presence, at_s, waits = Presence("u"), 0.0, []
    said = [presence.failed("no route to host", at_s)]
    for _ in range(8):
        waits.append(presence.next_try_s - at_s)
        at_s = presence.next_try_s
        said.append(presence.failed("no route to host", at_s))
    assert waits == [0.5, 1, 2, 4, 8, 8, 8, 8]
    assert [e.why for e in said if e] == ["no route to host"]


def test_back_after_a_while_with_what_was_missed():
    presence = Presence("u")
    presence.opened(0)
    assert presence.lost("unplugged", 100).state == "closed"
    presence.failed("no route to host", 100.5)
    presence.unsent = 3
    assert presence.opened(101.5) is None
    assert presence.look(101.5 + HELD_S / 2) is None
    back = presence.look(101.5 + HELD_S)
    assert back.state == "open"
    assert back.why == ("back after 2 s; 2 attempts, 3 messages were not sent (last: no route to host)")
    assert (back.away_s, back.attempts, back.unsent) == (1.5, 2, 3)


def test_a_cue_brings_the_next_attempt_forward_but_not_to_every_cue():
    presence, at_s = Presence("u"), 0.0
    while presence.wait_s < LONGEST_WAIT_S:
        at_s = max(at_s, presence.next_try_s)
        presence.failed("away", at_s)
    presence.failed("away", at_s)
    presence.nudge(at_s + 0.1)
    assert presence.next_try_s == at_s + NUDGE_S
    presence.nudge(at_s + 5)
    assert presence.due(at_s + 5)


@given(st.lists(st.floats(0.001, 1.9), min_size=50, max_size=300))
def test_what_comes_and_goes_all_the_time_says_two_lines(stays_s):
    presence, at_s = Presence("u"), 10.0
    said = [presence.opened(0.0)]
    for stay_s in stays_s:
        said.append(presence.lost("closed by the other side", at_s))
        at_s = presence.next_try_s
        said.append(presence.opened(at_s))
        said.append(presence.look(at_s + stay_s / 2))
        at_s += stay_s
    assert [e.state for e in said if e] == ["open", "closed"]
    assert len(stays_s) / at_s < 1  # attempts a second


@given(st.lists(st.sampled_from(["fail", "open", "lose", "wait", "nudge"]), max_size=200))
def test_lines_alternate_whatever_happens(happenings):
    presence, at_s, said = Presence("u"), 0.0, []
    for what in happenings:
        at_s += 0.7
        if what == "fail" and not presence.here:
            said.append(presence.failed("x", at_s))
        elif what == "open" and not presence.here:
            said.append(presence.opened(at_s))
        elif what == "lose" and presence.here:
            said.append(presence.lost("y", at_s))
        elif what == "nudge":
            presence.nudge(at_s)
        said.append(presence.look(at_s))
    states = [e.state for e in said if e]
    assert all(a != b for a, b in pairwise(states))
