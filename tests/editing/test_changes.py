"""Edits as values: what they change, what they leave alone, and that every one of them can be taken back."""

import json
import random
from pathlib import Path

import pytest
from edits import random_edit
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import TypeAdapter
from small_shows import two_songs

from showcaller.editing import Change, ChangeError, Move, Put, SetFields, Take, Together, apply
from showcaller.editing.changes import is_made, stored
from showcaller.editing.naming import cue_ids, numbers
from showcaller.model import parse_show, read_show, show_text
from showcaller.model.document import layout
from showcaller.model.references import holds, reference_errors
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_item, compile_plan

SAMPLE = Path(__file__).parents[2] / "sample_shows" / "breakwater.json"


def test_a_thousand_random_edits_and_a_thousand_undos_give_the_document_back_byte_for_byte():
    show = read_show(SAMPLE)
    text = show_text(show)
    rng = random.Random(1)
    inverses = []
    for _ in range(1000):
        show, _, inverse = random_edit(show, rng)
        inverses.append(inverse)
    assert show_text(show) != text
    for inverse in reversed(inverses):
        show, _ = apply(show, inverse)
    assert show_text(show) == text


@settings(max_examples=60, deadline=None)
@given(st.randoms(use_true_random=False))
def test_what_an_edit_leads_to_is_a_show_that_can_be_written_and_read_again(rng):
    show = two_songs()
    adapter = TypeAdapter(Change)
    for _ in range(6):
        changed, change, inverse = random_edit(show, rng)
        assert holds(changed)
        assert not list(reference_errors(changed))
        assert parse_show(show_text(changed)) == changed
        # Through a log's line and back a change does the same, and so does its inverse.
        again = adapter.validate_json(json.dumps(change.model_dump(mode="json")))
        assert apply(show, again)[0] == changed
        back = adapter.validate_json(json.dumps(inverse.model_dump(mode="json")))
        taken_back, redo = apply(changed, back)
        assert show_text(taken_back) == show_text(show)
        assert show_text(apply(taken_back, redo)[0]) == show_text(changed)
        show = changed


@settings(max_examples=200, deadline=None)
@given(st.randoms(use_true_random=False))
def test_the_quick_check_of_references_agrees_with_the_one_that_explains(rng):
    """Parts torn out and swapped at random: `holds` is the same as 'no sentence'."""
    show = two_songs()
    lists = [n for n in type(show).model_fields if isinstance(getattr(show, n), tuple) and getattr(show, n)]
    for _ in range(rng.randint(1, 3)):
        name = rng.choice(lists)
        parts = list(getattr(show, name))
        if rng.random() < 0.5 and len(parts) > 1:
            parts.pop(rng.randrange(len(parts)))
        elif parts:
            parts.append(rng.choice(parts))
        show = show.model_copy(update={name: tuple(parts)})
    assert holds(show) == (not list(reference_errors(show)))


def _afresh(show):
    """An equal show of which nothing is remembered."""
    return type(show).model_validate(show.model_dump())


@pytest.mark.parametrize("seed", range(20))
def test_what_is_remembered_across_edits_is_what_a_show_read_afresh_gives(seed):
    show, rng = two_songs(), random.Random(seed)
    for _ in range(12):
        show, _, _ = random_edit(show, rng)
        fresh = _afresh(show)
        assert fresh == show
        assert cue_ids(show) == {cue.id for cue in show.all_cues()} == cue_ids(fresh)
        for department in show.departments:
            mine = sorted(c.number for c in show.all_cues() if c.department == department.id)
            assert sorted(numbers(show, department.id)) == mine == sorted(numbers(fresh, department.id))
        for item, other in zip(show.items, fresh.items, strict=True):
            kept, again = (compile_item(one, show.timecode_rate) for one in (item, other))
            assert kept.cues == again.cues
            assert (kept.goes, kept.problems) == (again.goes, again.problems)
        assert compile_show_calls(compile_plan(show)) == compile_show_calls(compile_plan(fresh))


def test_what_did_not_change_is_the_same_object():
    show = two_songs()
    changed, _ = apply(show, SetFields(at=("items", "first"), fields={"name": "Other"}))
    assert changed.items[1] is show.items[1]
    assert changed.items[0].cues[0] is show.items[0].cues[0]
    assert changed.departments is show.departments


def test_a_change_of_several_is_all_or_nothing_and_references_count_at_the_end():
    show = two_songs()
    a, b = [c for c in show.items[0].cues if c.department == "lights"][:2]
    at = ("items", "first", "cues")
    swap = Together(
        changes=(
            SetFields(at=(*at, a.id), fields={"number": str(b.number)}),
            SetFields(at=(*at, b.id), fields={"number": str(a.number)}),
        )
    )
    changed, inverse = apply(show, swap)
    numbers = {c.id: c.number for c in changed.items[0].cues}
    assert (numbers[a.id], numbers[b.id]) == (b.number, a.number)
    assert apply(changed, inverse)[0] == show


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (SetFields(at=("items", "gone"), fields={"name": "x"}), "no 'gone' in items"),
        (SetFields(at=("items", "first"), fields={"colour": "red"}), "no field 'colour'"),
        (SetFields(at=("items", "first"), fields={"length_s": -3}), "length_s: -3 is not above zero"),
        (Take(at=("departments",), key="lights"), "no department 'lights'"),
        (Take(at=("items", "first", "name"), key=0), "is not a list"),
        (Put(at=("items",), index=0, part={"kind": "song", "id": "x", "length_s": 3}), "name: is missing"),
        (Move(at=("items",), key=99, index=0), "no '99' in items"),
        (SetFields(at=("nothing", 3), fields={}), "no nothing in this show"),
    ],
)
def test_what_cannot_be_done_is_one_sentence(change, sentence):
    show = two_songs()
    with pytest.raises(ChangeError, match="(?s)" + sentence.replace("(", r"\(")) as refused:
        apply(show, change)
    assert "\n" not in str(refused.value)


def test_the_last_item_cannot_be_taken_out():
    show = two_songs()
    show, _ = apply(show, Take(at=("items",), key="first"))
    with pytest.raises(ChangeError, match=r"items: .* at least 1"):
        apply(show, Take(at=("items",), key=0))


def test_the_documents_text_is_as_it_would_be_laid_out_in_one_go():
    for show in (two_songs(), read_show(SAMPLE)):
        assert show_text(show) == layout(show.model_dump(mode="json", exclude_defaults=True)) + "\n"


@settings(max_examples=60, deadline=None)
@given(st.randoms(use_true_random=False))
def test_a_change_that_was_made_is_known_to_be_made(rng):
    show = two_songs()
    for _ in range(6):
        changed, change, _ = random_edit(show, rng)
        assert is_made(changed, change)
        show = changed


def test_what_is_not_in_a_show_is_known_not_to_be():
    show = two_songs()
    put = Put(at=("items", "first", "cues"), index=0, part=stored(show.items[0].cues[0]) | {"id": "new"})
    assert not is_made(show, put)
    assert not is_made(show, Take(at=put.at, key="a"))
    assert is_made(show, Take(at=put.at, key="new"))
    assert not is_made(show, SetFields(at=("items", "first"), fields={"name": "Another"}))
    assert not is_made(show, Take(at=("items", "gone", "cues"), key="a"))


def test_what_was_put_in_is_taken_out_again_by_its_id_also_from_a_list_that_is_another():
    show = two_songs()
    part = stored(show.items[0].cues[0]) | {"id": "new", "number": "90"}
    _, inverse = apply(show, Put(at=("items", "first", "cues"), index=4, part=part))
    assert inverse == Take(at=("items", "first", "cues"), key="new")
    other, _ = apply(show, Put(at=("items", "first", "cues"), index=0, part=part))
    assert apply(other, inverse)[0] == show
