"""The words a house calls in: other languages, with and without numbers, one standby or one a department."""

import json
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, document, item

from showcaller.calling.wording import said_aloud
from showcaller.editing.changes import ChangeError, apply
from showcaller.editing.forms.of_show import edit_show, show_fields
from showcaller.model import HouseWording, Language, parse_show
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.timing.speech import Naming
from showcaller.timing.wording import Pattern, go_words, pattern

LANGUAGES = get_args(Language)


def show(**wording):
    cues = [
        cue("a", "64", 30), cue("b", "65", 30), cue("c", "66", 30), cue("v", "31", 30, "video"),
        cue("z", "12", 60),
    ]  # fmt: skip
    speaking = {"wording": wording}
    return parse_show(json.dumps(document([item("s", 90, cues)], speaking=speaking)))


def naming(**wording):
    plan = compile_plan(show(**wording))
    return Naming(plan.items[0], plan.show.departments, plan.show.speaking.wording)


@pytest.mark.parametrize(
    ("wording", "standby", "go"),
    [
        ({}, "Standby Lights 64 to 66 and Video 31", "Lights 64 to 66, Video 31, go"),
        ({"language": "german"}, "Achtung Lights 64 bis 66 und Video 31", "Lights 64 bis 66, Video 31, los"),
        ({"language": "french"}, "Attention Lights 64 à 66 et Video 31", "Lights 64 à 66, Video 31, top"),
        ({"language": "spanish"}, "Prevenidos Lights 64 a 66 y Video 31", "Lights 64 a 66, Video 31, va"),
        ({"numbers": False}, "Standby Lights and Video", "Lights, Video, go"),
        ({"each": True}, "Standby Lights 64 to 66, standby Video 31", "Lights 64 to 66, Video 31, go"),
        ({"name_first": True}, "Lights 64 to 66 and Video 31, standby", "Lights 64 to 66, Video 31, go"),
        (
            {"name_first": True, "each": True},
            "Lights 64 to 66, standby, Video 31, standby",
            "Lights 64 to 66, Video 31, go",
        ),
    ],
)
def test_lines_are_worded_as_the_house_says_them(wording, standby, go):
    names = naming(**wording)
    assert names.standby("standby", [0, 1, 2, 3]) == standby
    assert names.go([0, 1, 2, 3]) == go


@given(
    language=st.sampled_from(LANGUAGES), numbers=st.booleans(), each=st.booleans(), name_first=st.booleans(),
    places=st.lists(st.integers(0, 4), min_size=1, max_size=5, unique=True),
)  # fmt: skip
def test_the_time_a_line_takes_is_that_of_its_words(language, numbers, each, name_first, places):
    names = naming(language=language, numbers=numbers, each=each, name_first=name_first)
    places = sorted(places)
    counted = pattern(language).word_count(names.standby("standby", places))
    assert names.standby_words(places) == counted
    assert names.go_words(places) == pattern(language).word_count(names.go(places))


def test_the_usual_wording_is_as_it_always_was():
    assert naming() is not None
    assert show().speaking.wording == HouseWording()
    plain = compile_show_calls(compile_plan(show()))
    shorter = compile_show_calls(compile_plan(show(numbers=False)))
    assert sum(x.takes_s for x in shorter[0].lines) < sum(x.takes_s for x in plain[0].lines)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_has_all_its_words(language):
    found = pattern(language)
    assert all(getattr(found, name) for name in Pattern.__struct_fields__ if name != "oh"), (
        "only English has it"
    )
    assert len(found.below_a_hundred) == len(set(found.below_a_hundred)) == 100
    assert all(found.standby and found.warning and found.go and " " not in found.go for _ in [0])
    words = [found.number_words(str(n)) for n in range(0, 20_000, 7)]
    assert len(set(words)) == len(words), "no two numbers sound alike"


@pytest.mark.parametrize(
    ("language", "number", "words"),
    # From memory; English in pairs of figures is common practice, no source.
    [
        ("english", "235", "two thirty five"), ("english", "304", "three oh four"),
        ("german", "235", "zwei hundert fünf und dreißig"), ("german", "17.5", "siebzehn Komma fünf"),
        ("french", "97", "quatre vingt dix sept"), ("spanish", "64", "sesenta y cuatro"),
        ("german", "12000", "zwölf tausend"), ("french", "1301", "mille trois cent un"),
    ],
)  # fmt: skip
def test_numbers_are_read_in_the_language(language, number, words):
    assert pattern(language).number_words(number) == words


def test_the_word_that_fires_is_set_off_in_every_language():
    assert go_words() == {"go", "los", "top", "va"}
    assert said_aloud("Lights 64, los") == "Lights 64 — los"
    assert said_aloud("Lights 64, standby") == "Lights 64, standby"


def test_it_is_typed_among_the_shows_own_fields():
    now = show()
    for key, text in [("language", "german"), ("numbers", "no"), ("each", "yes"), ("name_first", "yes")]:
        edited = edit_show(now, key, text)
        now, _ = apply(now, edited.change)
        assert next(f.text for f in show_fields(now) if f.key == key) == text
    assert now.speaking.wording == HouseWording(language="german", numbers=False, each=True, name_first=True)
    with pytest.raises(ChangeError, match="called in"):
        edit_show(now, "language", "klingon")
    with pytest.raises(ChangeError, match="numbers called"):
        edit_show(now, "numbers", "maybe")
