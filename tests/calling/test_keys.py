"""One press is one go, however it is pressed."""

from hypothesis import given
from hypothesis import strategies as st

from showcaller.calling.keys import Guard


def test_a_key_held_down_is_one_go():
    """The system repeats a held key about 30 times a second and says so."""
    guard = Guard()
    assert [guard.go(n > 0, n / 30) for n in range(60)] == [True] + [False] * 59


def test_a_trembling_hand_is_one_go():
    guard = Guard()
    assert [guard.go(False, n / 30) for n in range(60)] == [True] + [False] * 59


def test_two_deliberate_goes_are_two():
    guard = Guard()
    assert [guard.go(False, at_s) for at_s in (10, 10.5, 10.89, 11.3)] == [True, True, False, True]


@given(st.lists(st.floats(0, 0.39), max_size=30))
def test_presses_that_never_pause_are_one_go_however_long_they_go_on(gaps):
    guard, at_s = Guard(), 5.0
    counted = guard.go(False, at_s)
    for gap in gaps:
        at_s += gap
        assert not guard.go(False, at_s)
    assert counted


def test_what_must_be_pressed_twice_is_pressed_twice_for_the_same_thing():
    guard = Guard()
    assert not guard.twice("back", "Lights 2", False, 1)
    assert guard.twice("back", "Lights 2", False, 1.5)
    assert not guard.twice("back", "Lights 2", False, 2), "the next is a first again"
    assert not guard.twice("skip", "Lights 2", False, 2.5), "another key"
    assert not guard.twice("skip", "Lights 3", False, 3), "another go"
    assert guard.twice("skip", "Lights 3", False, 3.5)


def test_the_second_press_must_come_in_time_and_not_by_trembling():
    guard = Guard()
    assert not guard.twice("back", "x", False, 1)
    assert not guard.twice("back", "x", False, 4.5), "forgotten"
    assert not guard.twice("back", "x", False, 4.55), "trembling"
    assert not guard.twice("back", "x", True, 5), "held down"
    assert guard.twice("back", "x", False, 5)
    assert [guard.twice("back", "x", False, 9 + n / 30) for n in range(60)] == [False] * 60


def test_a_first_press_can_be_forgotten():
    guard = Guard()
    guard.twice("back", "x", False, 1)
    guard.forget()
    assert not guard.twice("back", "x", False, 1.5)
