"""A quick change has the time between two items, tonight; by hand where the figures can be added up."""

import json

import pytest
from small_shows import document, item

from showcaller.editing import ChangeError, Move, SetFields, apply
from showcaller.editing.forms.of_pages import page_text, parse_page
from showcaller.model import SpokenPage, parse_show
from showcaller.timing.quick_changes import rushed, time_between_s

COAT = {"id": "coat", "name": "Coat", "kind": "checklist", "reader": "Wardrobe", "after": "one",
        "item": "three", "takes_s": 90, "lines": [{"says": "Hook and belt"}]}  # fmt: skip


def show(**more):
    items = [item("one", 200, []), item("two", 120, []), item("three", 60, [])]
    return parse_show(json.dumps(document(items, pages=[COAT | more])))


def test_there_is_time_as_long_as_what_lies_between_is_played():
    assert time_between_s(show(), "one", "three") == 120
    assert rushed(show()) == []
    cut, _ = apply(show(), SetFields(at=("items", "two"), fields={"out": True}))
    assert rushed(cut) == [
        "'Coat' (Wardrobe) needs 1:30 between 'One' and 'Three', and there is 0:00: give it time, or help"
    ]
    own, _ = apply(show(), SetFields(at=("items", "one"), fields={"out": True}))
    assert rushed(own) == [], "it begins where 'One' would have"
    not_needed, _ = apply(cut, SetFields(at=("items", "three"), fields={"out": True}))
    assert rushed(not_needed) == []


def test_moved_before_it_they_no_longer_follow():
    moved, _ = apply(show(), Move(at=("items",), key="three", index=0))
    (words,) = rushed(moved)
    assert words.endswith("these do not follow: move one, or change the list")


@pytest.mark.parametrize(("takes", "short"), [(119.5, False), (120, False), (120.5, True)])
def test_the_very_second_counts(takes, short):
    assert bool(rushed(show(takes_s=takes))) is short


def test_it_is_typed_in_one_line_and_comes_back():
    text = "Coat: checklist, read by Wardrobe, after One, before Three, takes 1:30"
    part = parse_page(show(), text, "coat")
    page = SpokenPage.model_validate(part)
    assert (page.after, page.item, page.takes_s) == ("one", "three", 90)
    assert page_text(show(), page) == text
    with pytest.raises(ChangeError, match="between two items"):
        parse_page(show(), "Coat: checklist, read by Wardrobe, before Three, takes 1:30")
