"""Keys can be changed, in all profiles or in one, and no key means two things."""

import json

import pytest

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import PROFILES, Keys, KeysError, choose_profile, clash, heard_in, load_keys


@pytest.fixture
def keys(tmp_path):
    def load(text, profile=None):
        path = tmp_path / "keys.json"
        path.write_text(text if isinstance(text, str) else json.dumps(text), encoding="utf-8")
        return load_keys(path, profile)

    return load


def test_without_a_file_the_usual_keys_are_in_use(tmp_path):
    keys = load_keys(tmp_path / "none.json")
    assert keys == Keys()
    wanted = {"go": "G", "standby": "S", "answer": "A", "hold": "P", "note": "N"}
    assert {name: keys[name] for name in wanted} == wanted


@pytest.mark.parametrize("profile", PROFILES)
def test_no_key_means_two_things_in_any_area_and_profile(profile):
    assert clash(Keys(PROFILES[profile])) is None


def test_redo_is_what_every_desktop_has_and_the_day_sheet_has_another():
    assert Keys().chords("redo")[0] == "Ctrl+Y"
    assert [a.id for a in ACTIONS.values() if "Ctrl+Y" in a.keys] == ["redo"]


def test_a_key_can_be_changed_and_the_others_stay(keys):
    changed = keys({"go": " F9 "})
    assert (changed["go"], changed["standby"]) == ("F9", "S")


def test_two_keys_can_change_places(keys):
    changed = keys({"go": "S", "standby": "G"})
    assert (changed["go"], changed["standby"]) == ("S", "G")


def test_a_key_of_an_area_can_be_changed_and_the_same_key_may_mean_another_thing_in_another_area(keys):
    changed = keys({"book.day": "F4", "drift.mark": "F4"})
    assert (changed["book.day"], changed["drift.mark"]) == ("F4", "F4")


def test_a_profile_lies_over_what_all_profiles_share(keys):
    text = {"go": "F9", "profile": "tonight", "profiles": {"tonight": {"standby": "F8", "note": "N"}}}
    changed = keys(text)
    assert (changed["go"], changed["standby"], changed.profile) == ("F9", "F8", "tonight")
    assert "pedal" in changed.profiles
    assert keys(text, "pedal")["standby"] == "Page Up"
    assert keys(text, "pedal")["go"] == "F9"


def test_choosing_a_profile_leaves_the_rest_of_the_file(tmp_path):
    path = tmp_path / "settings" / "keys.json"
    choose_profile(path, "pedal")
    path.write_text(json.dumps(json.loads(path.read_text()) | {"hold": "F12"}))
    choose_profile(path, "big-key pad")
    found = load_keys(path)
    assert (found.profile, found["go"], found["hold"]) == ("big-key pad", "F9", "F12")


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("{", "cannot be read .*the usual keys are in use"),
        ("[]", "must hold"),
        ({"gogo": "G"}, "'gogo' is not an action; there are go, standby,"),
        ({"go": 7}, "the key of 'go' must be a text"),
        ({"go": " "}, "the key of 'go' must be a text"),
        ({"go": "s"}, "s is given to both 'go' and 'standby'|S is given to both 'go' and 'standby'"),
        ({"go": "3"}, "3 is given to both 'go' and 'clear3'"),
        ({"go": "Ctrl+N"}, "Ctrl.N is given to both 'go' and 'book.new_cue'"),
        ({"profile": "none"}, "'none' is not a profile; there are keyboard, big-key pad, pedal"),
        ({"profiles": {"a": []}}, '"profiles" must hold'),
        ({"profiles": {"a": {"gogo": "G"}}}, "'gogo' is not an action"),
    ],
)
def test_a_file_that_cannot_be_used_is_said_in_a_sentence(keys, text, sentence):
    with pytest.raises(KeysError, match=sentence):
        keys(text)


KEYBOARDS = {
    "QWERTY": ("1234567890-=", "qwertyuiop[]", "asdfghjkl;'", "zxcvbnm,./"),
    "QWERTZ": ("1234567890ß´", "qwertzuiopü+", "asdfghjklöä#", "yxcvbnm,.-"),
    "AZERTY": ("&é\"'(-è_çà)=", "azertyuiop^$", "qsdfghjklmù*", "wxcvbn,;:!"),
}
STAGGER = (0.0, 0.5, 0.75, 1.25)
"""How far the rows of a keyboard are shifted, in widths of a key (ISO/IEC 9995-1 leaves it to the maker; the
usual quarter, half and quarter)."""


def around(rows, key):
    """The keys whose edges touch a key's, or nearly."""
    at = {sign: (n + STAGGER[y], y) for y, row in enumerate(rows) for n, sign in enumerate(row)}
    x0, y0 = at[key]
    return {
        s
        for s, (x, y) in at.items()
        if s != key and abs(y - y0) <= 1 and abs(x - x0) <= (1.0 if y == y0 else 0.8)
    }


@pytest.mark.parametrize("rows", KEYBOARDS.values(), ids=KEYBOARDS)
def test_no_key_beside_go_acts_at_one_press_or_opens_a_field(rows):
    by_key = {chord.lower(): action for chord, action in heard_in(Keys(), "Call")}
    beside = {key: by_key[key].id for key in around(rows, "g") if key in by_key}
    assert len(around(rows, "g")) == 6
    assert {name for name in beside.values() if not ACTIONS[name].twice} == set(), beside
