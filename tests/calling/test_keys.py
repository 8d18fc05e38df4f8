"""Keys can be changed, and one press is one go."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.calling.keys import ACTIONS, Guard, KeysError, load_keys


@pytest.fixture
def keys(tmp_path):
    def load(text):
        path = tmp_path / "keys.json"
        path.write_text(text if isinstance(text, str) else json.dumps(text), encoding="utf-8")
        return load_keys(path)

    return load


def test_without_a_file_the_usual_keys_are_in_use(tmp_path):
    keys = load_keys(tmp_path / "none.json")
    assert keys == {name: default for name, (default, _, _) in ACTIONS.items()}
    wanted = {"go": "G", "standby": "S", "answer": "A", "hold": "H", "note": "N"}
    assert {name: keys[name] for name in wanted} == wanted
    assert len(set(keys.values())) == len(keys)


def test_a_key_can_be_changed_and_the_others_stay(keys):
    assert keys({"go": " Space "}) == {**{n: d for n, (d, _, _) in ACTIONS.items()}, "go": "Space"}


def test_two_keys_can_change_places(keys):
    changed = keys({"go": "S", "standby": "G"})
    assert (changed["go"], changed["standby"]) == ("S", "G")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "cannot be read .*the usual keys are in use"),
        ("[]", "must hold"),
        ({"gogo": "G"}, "'gogo' is not an action; there are go, standby,"),
        ({"go": 7}, "the key of 'go' must be a text"),
        ({"go": " "}, "the key of 'go' must be a text"),
        ({"go": "s"}, "is given to both 'go' and 'standby'"),
        ({"go": "3"}, "3 gives a clearance, so 'go' needs another key"),
    ],
)
def test_a_file_that_cannot_be_used_is_said_in_a_sentence(keys, text, sentence):
    with pytest.raises(KeysError, match=sentence):
        keys(text)


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
    assert not guard.twice("back", "x", False, 4.6), "trembling"
    assert not guard.twice("back", "x", True, 5), "held down"
    assert guard.twice("back", "x", False, 5)
    assert [guard.twice("back", "x", False, 9 + n / 30) for n in range(60)] == [False] * 60


def test_a_first_press_can_be_forgotten():
    guard = Guard()
    guard.twice("back", "x", False, 1)
    guard.forget()
    assert not guard.twice("back", "x", False, 1.5)
