"""Which desks an engine hears."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.engine.desks_heard import GONE_AFTER_S, MOST_DESKS, Desks
from showcaller.run import events as ev


def heard(desks, *when, desk="a"):
    for now_s in when:
        desks.heard(desk, "caller's desk", now_s)


def test_a_desk_joins_once_and_leaves_when_it_is_silent():
    told = []
    desks = Desks(told.append)
    desks.look(0.0)
    heard(desks, 0.1, 0.6, 1.1)
    desks.look(1.1 + GONE_AFTER_S)
    assert not desks.is_gone("a", 1.1 + GONE_AFTER_S)
    desks.look(1.2 + GONE_AFTER_S)
    assert told == [
        ev.DeskJoined(desk="a", name="caller's desk"),
        ev.DeskLeft(desk="a", name="caller's desk"),
    ]
    assert desks.is_gone("a", 1.2 + GONE_AFTER_S)
    heard(desks, 5.0)
    assert told[-1] == ev.DeskJoined(desk="a", name="caller's desk")
    assert not desks.is_gone("a", 5.0)


def test_a_desk_whose_connection_ends_is_gone_at_once_unless_it_has_another():
    told = []
    desks = Desks(told.append)
    desks.look(0.0)
    desks.linked("a", 7)
    heard(desks, 3.0)
    desks.linked("a", 8)
    desks.closed(7)
    assert not desks.is_gone("a", 3.1)
    desks.closed(8)
    assert desks.is_gone("a", 3.1)
    assert isinstance(told[-1], ev.DeskLeft)
    desks.closed(8)  # twice is nothing
    assert len(told) == 2


def test_an_engine_that_has_just_begun_calls_nobody_gone():
    desks = Desks(lambda _: None)
    assert not desks.is_gone("a", 100.0)
    desks.look(100.0)
    assert not desks.is_gone("a", 100.0 + GONE_AFTER_S)
    assert desks.is_gone("a", 100.1 + GONE_AFTER_S)


@given(st.lists(st.integers(0, 200), max_size=300))
def test_whoever_says_so_often_that_it_is_there_they_stay_few(ids):
    told = []
    desks = Desks(told.append)
    for n in ids:
        heard(desks, 1.0, desk=f"d{n}")
    joined = [e.desk for e in told]
    assert len(joined) == len(set(joined)) <= MOST_DESKS
