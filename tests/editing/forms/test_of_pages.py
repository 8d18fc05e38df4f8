"""Pages read aloud as typed lines: what is written reads back as what it was, and what cannot be is said."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.editing.changes import ChangeError, stored
from showcaller.editing.forms.of_pages import line_text, page_lines, page_text, parse_page, parse_page_line
from showcaller.model import PageLine, SpokenPage, read_show

SAMPLE = read_show(Path(__file__).parents[3] / "sample_shows" / "breakwater.json")
WORDS = st.from_regex(r"[A-Za-z][A-Za-z ,.?!']{0,30}[A-Za-z.?!]", fullmatch=True)


def test_every_line_of_the_sample_reads_back_as_it_was():
    for page in SAMPLE.pages:
        assert parse_page(SAMPLE, page_text(SAMPLE, page), page.id) == {**stored(page), "kind": page.kind}
        for line in page.lines:
            assert parse_page_line(SAMPLE, line_text(SAMPLE, line)) == stored(line)
    kinds = [line.list for line in page_lines(SAMPLE)]
    assert kinds.count("pages") == len(SAMPLE.pages) == 6


def test_a_checklist_names_the_item_it_has_to_be_ticked_before():
    item = SAMPLE.items[3]
    text = f"Stand by the buoy: checklist, read by Deck chief, before {item.name}"
    part = parse_page(SAMPLE, text)
    assert (part["kind"], part["reader"], part["item"]) == ("checklist", "Deck chief", item.id)
    page = SpokenPage.model_validate(part)
    assert page_text(SAMPLE, page) == text
    with pytest.raises(ChangeError, match="item: 'Nowhere'"):
        parse_page(SAMPLE, "A: checklist, read by B, before Nowhere")


@given(says=WORDS, who=st.none() | WORDS, action=st.none() | WORDS,
       clearance=st.sampled_from([None, *(c.id for c in SAMPLE.clearances)]))  # fmt: skip
def test_any_line_reads_back_as_it_was(says, who, action, clearance):
    line = PageLine(says=says, who=who, action=action, clearance=clearance)
    assert parse_page_line(SAMPLE, line_text(SAMPLE, line)) == stored(line)


def test_a_page_keeps_its_lines_and_its_id_when_its_head_is_typed_anew_and_a_new_one_gets_a_free_id():
    page = SAMPLE.pages[3]
    part = parse_page(SAMPLE, "Stop now: other, read by Ada", page.id)
    assert (part["id"], len(part["lines"])) == (page.id, len(page.lines))
    assert parse_page(SAMPLE, "Preset: read by Ada")["id"] == "preset-2"


def test_semicolons_in_what_is_read_are_read():
    assert parse_page_line(SAMPLE, "Stay; sit; wait; then go on") == {
        "says": "Stay; sit; wait",
        "action": "go on",
    }


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("", "nothing to read aloud; give Deck, are you set"),
        ("; answered by Ada", "nothing to read aloud"),
        ("Deck?; clearance Roof", "no clearance 'Roof' in this show; it has Stage set, Crowd lane clear"),
        ("Deck?; then a; then b", "'then' is given twice"),
    ],
)
def test_a_line_that_cannot_be_read_is_said(typed, why):
    with pytest.raises(ChangeError, match=why):
        parse_page_line(SAMPLE, typed)


@pytest.mark.parametrize(
    ("typed", "why"),
    [("Stop", "needs a name, a colon and who reads it"), ("Stop: dance, read by Ada", "kind")],
)
def test_a_head_that_cannot_be_read_is_said(typed, why):
    with pytest.raises(ChangeError, match=why):
        parse_page(SAMPLE, typed)
