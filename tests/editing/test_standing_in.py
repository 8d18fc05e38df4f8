"""One switch for who stands in: the name changes wherever it stood, and back; nothing else does."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, document, item

from showcaller.editing import ChangeError, SetFields, apply
from showcaller.editing.forms.of_people import (
    breaks_text,
    parse_breaks,
    parse_person,
    person_text,
)
from showcaller.editing.standing_in import stand_in
from showcaller.model import BreakRule, CrewMember, parse_show, show_text

PERSON = {"id": "ada", "name": "Ada", "position": "Deck chief", "stand_in": "Bo Marr"}


def show(**more):
    cues = [cue("a", "1", 0, label="Ada lifts the lamp"), cue("b", "2", 9, notes="not Adaline, not ada")]
    cues.append(cue("c", "3", {"at": "visual", "sees": "Ada nods", "expect_s": 20}))
    route = {
        "id": "ada",
        "name": "Lane",
        "legs": [{"name": "Lane", "length_m": 5, "posted": "Ada at the gate"}],
    }
    route["people"] = [{"name": "Ada", "task": "leads"}]
    clearance = {"kind": "yes", "id": "ada", "name": "Deck", "position": "Ada"}
    page = {"id": "p", "name": "P", "kind": "checklist", "reader": "Ada", "lines": [{"says": "Ada: key out"}]}
    return parse_show(
        json.dumps(
            document(
                [item("s", 60, cues)],
                people=[PERSON | more],
                routes=[route],
                clearances=[clearance],
                pages=[page],
            )
        )
    )


def test_wherever_the_name_stood_the_stand_in_stands_and_back():
    before = show()
    tonight, back = apply(before, stand_in(before, "ada"))
    assert tonight.clearances[0].position == tonight.pages[0].reader == "Bo Marr"
    assert (tonight.clearances[0].id, tonight.routes[0].id) == ("ada", "ada"), "ids are no names"
    assert tonight.routes[0].legs[0].posted == "Bo Marr at the gate"
    assert tonight.pages[0].lines[0].says == "Bo Marr: key out"
    assert tonight.items[0].cues[0].label == "Bo Marr lifts the lamp"
    assert tonight.items[0].cues[1].notes == "not Adaline, not ada"
    assert tonight.items[0].cues[2].anchor.sees == "Bo Marr nods"
    assert (tonight.people[0].acting, tonight.people[0].name) == ("Bo Marr", "Ada")
    assert apply(tonight, back)[0] == before
    again, _ = apply(tonight, stand_in(tonight, "ada"))
    assert show_text(again) == show_text(before)


def test_nobody_and_nobody_to_stand_in_are_sentences():
    with pytest.raises(ChangeError, match="there is nobody 'eve'"):
        stand_in(show(), "eve")
    with pytest.raises(ChangeError, match="nobody stands in for Ada"):
        stand_in(show(stand_in=None), "ada")
    tonight, _ = apply(show(), stand_in(show(), "ada"))
    with pytest.raises(ChangeError, match="switch that back first"):
        parse_person(tonight, "Ada: Deck chief", tonight.people[0])


WORDS = st.from_regex(r"[A-Z][a-z]{1,8}( [A-Z][a-z]{1,8})?", fullmatch=True)


@given(
    WORDS,
    WORDS,
    st.none() | st.from_regex(r"([01][0-9]|2[0-3]):[0-5][0-9]", fullmatch=True),
    st.none() | WORDS,
)
def test_a_line_comes_back_from_its_own_words(name, position, called, other):
    member = CrewMember(
        id="x", name=name, position=position, called_at=called, stand_in=other, reached="radio 2"
    )
    part = parse_person(show(), person_text(member), member)
    assert CrewMember.model_validate(part) == member


@pytest.mark.parametrize("rule", [BreakRule(for_min=30, after_h=5), BreakRule(for_min=45, after_h=5.5)])
def test_a_rule_on_breaks_comes_back_from_its_own_words(rule):
    assert BreakRule.model_validate(parse_breaks(breaks_text(rule))) == rule
    assert parse_breaks(" ") is None
    with pytest.raises(ChangeError, match="is no rule on breaks"):
        parse_breaks("when it suits")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Ada", "needs a name, a colon"),
        ("Ada: Deck; called noon", "is no time to be called at"),
        ("Ada: Deck; 0170; 0171", "one thing too many"),
    ],
)
def test_what_cannot_be_read_gets_a_sentence(text, words):
    with pytest.raises(ChangeError, match=words):
        parse_person(show(), text)


def test_a_person_may_be_changed_like_anything_else():
    made, _ = apply(show(), SetFields(at=("people", "ada"), fields={"called_at": "14:00"}))
    assert made.people[0].called_at == "14:00"
