"""Forms: what a field says can be typed into it again, and what cannot be read is one sentence."""

import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import document, item, show, two_songs

from showcaller.editing import ChangeError, Put, SetFields, apply
from showcaller.editing.forms import cue_fields, edit_cue, edit_item, edit_show, item_fields, show_fields
from showcaller.editing.forms.field import plain_sentence
from showcaller.editing.forms.messages import message_text, parse_message
from showcaller.editing.forms.of_item import parse_meters, parse_sections, parse_tempo, section_text
from showcaller.editing.forms.of_setup import parse_setup, setup_lines
from showcaller.editing.placing import anchor_text, clock_text, parse_anchor
from showcaller.model import OscMessage, parse_show, read_show
from showcaller.model.quantities import parse_seconds

SAMPLE = read_show(Path(__file__).parents[3] / "sample_shows" / "breakwater.json")


def test_every_anchor_and_message_of_the_sample_comes_back_from_its_own_words():
    for one in SAMPLE.items:
        for cue in one.cues:
            typed = parse_anchor(anchor_text(cue.anchor, SAMPLE, one), SAMPLE, one)
            at = ("items", one.id, "cues", cue.id)
            changed, _ = apply(SAMPLE, SetFields(at=at, fields={"anchor": typed}))
            assert next(c for c in changed.all_cues() if c.id == cue.id).anchor == cue.anchor
            for message in cue.messages:
                again = parse_message(SAMPLE, message_text(SAMPLE, message))
                assert type(message).model_validate(again) == message


def test_what_a_field_says_typed_again_changes_nothing():
    for one in SAMPLE.items:
        for field in item_fields(SAMPLE, one.id):
            assert edit_item(SAMPLE, one.id, field.key, field.text).change is None
        for cue in one.cues[:3]:
            for field in cue_fields(SAMPLE, cue.id):
                assert edit_cue(SAMPLE, cue.id, field.key, field.text).change is None
    for field in show_fields(SAMPLE):
        assert edit_show(SAMPLE, field.key, field.text).change is None


def test_tempo_meters_and_sections_of_the_sample_come_back_from_their_own_words():
    for one in SAMPLE.items:
        texts = {f.key: f.text for f in item_fields(SAMPLE, one.id)}
        data = one.model_dump(mode="json", exclude_defaults=True)
        if one.kind == "song":
            assert parse_tempo(texts["tempo"]) == data.get("tempo", [])
            assert parse_meters(texts["meters"]) == data.get("meters", [])
            assert parse_sections(texts["sections"]) == data.get("sections", [])


@given(st.fractions(min_value=0, max_value=9999, max_denominator=1000))
def test_a_time_typed_as_it_is_shown_is_the_same_time(seconds):
    assert parse_seconds(clock_text(seconds).removesuffix(" s")) == seconds


_ARGS = st.one_of(
    st.booleans(),
    st.integers(-(2**31), 2**31 - 1),
    st.floats(allow_nan=False, allow_infinity=False, width=32),
    st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=12),
)


@settings(max_examples=300)
@given(st.lists(_ARGS, max_size=5))
def test_any_osc_message_comes_back_from_its_own_words(args):
    made = show(
        [item("a", 10, [])], outlets=[{"kind": "osc_udp", "id": "wall", "name": "Wall", "port": 9000}]
    )
    message = OscMessage(kind="osc", outlet="wall", address="/wall/look", args=tuple(args))
    again = OscMessage.model_validate(parse_message(made, message_text(made, message)))
    assert again == message
    assert [type(a) for a in again.args] == [type(a) for a in message.args]


@pytest.mark.parametrize(
    ("typed", "anchor"),
    [
        ("69/3", {"at": "bar", "bar": 69, "beat": 3}),
        ("bar 69 beat 2.5", {"at": "bar", "bar": 69, "beat": 2.5}),
        ("12", {"at": "bar", "bar": 12, "beat": 1}),
        ("1:23.5", {"at": "time", "seconds": 83.5}),
        ("83.5 s", {"at": "time", "seconds": 83.5}),
        ("01:00:12:10", {"at": "timecode", "timecode": "01:00:12:10"}),
        ("1:00:12;10", {"at": "timecode", "timecode": "01:00:12;10"}),
        ("when she lifts the lamp", {"at": "visual", "sees": "she lifts the lamp"}),
        ("after LX 1 + 2", {"at": "after", "cue": "a1", "delay_s": 2}),
        ("after lights 1", {"at": "after", "cue": "a1", "delay_s": 0}),
    ],
)
def test_a_place_is_typed_as_people_say_it(typed, anchor):
    song = item("song", 100, [{**_cue("a1", "1")}], tempo=[{"bar": 1, "bpm": 120}])
    made = show([song])
    assert parse_anchor(typed, made, made.items[0]) == anchor


def _cue(ident, number):
    return {
        "id": ident, "department": "lights", "number": number, "label": "x",
        "anchor": {"at": "time", "seconds": 1},
    }  # fmt: skip


@pytest.mark.parametrize(
    ("key", "typed", "sentence"),
    [
        ("anchor", "yesterday", "'yesterday' is not a time or a place; give bar/beat"),
        ("anchor", "-3", "not a time or a place|before the item begins"),
        ("anchor", "5/1", "is a bar, but First has no tempo"),
        ("anchor", "after lights 99", "no cue 'lights 99'"),
        ("number", "abc", "number: 'abc' is not a cue number"),
        ("number", "2", "Lights 2 is used already"),
        ("department", "catering", "'catering' is not one of them; there are Lights, Video, Moves"),
        ("standby_s", "-1", "standby: -1 is below zero"),
        ("standby_s", "soon", "standby: 'soon' is not a time"),
        ("label", "", "label: .* at least 1 character"),
        ("look", "sunset", "look: 'sunset' is not one of them"),
        ("needs", "moon", "clearance: 'moon' is not one of them"),
        ("hazard", "lift", "three parts with semicolons"),
        ("message:0", "nowhere", "has no colon"),
        ("message:0", "nowhere: /x", "outlet: 'nowhere' is not one of them"),
    ],
)
def test_what_cannot_be_read_is_one_sentence_and_changes_nothing(key, typed, sentence):
    made = two_songs()
    cue = next(c for c in made.items[0].cues if c.department == "lights" and str(c.number) == "1")
    with pytest.raises(ChangeError, match=sentence) as refused:
        apply(made, edit_cue(made, cue.id, key, typed).change)
    assert "\n" not in str(refused.value)


def test_a_cue_made_dangerous_is_called_from_then_on():
    made = two_songs()
    cue = next(c for c in made.items[0].cues if c.fires == "by itself" and c.anchor.at == "time")
    edited = edit_cue(made, cue.id, "hazard", "lift; Keep clear; I. Marr")
    changed, _ = apply(made, edited.change)
    assert next(c for c in changed.all_cues() if c.id == cue.id).fires == "called"


def test_a_song_freed_of_tempo_with_cues_on_bars_is_refused_and_says_which():
    song = item(
        "song", 100, [{**_cue("a1", "1"), "anchor": {"at": "bar", "bar": 3}}], tempo=[{"bar": 1, "bpm": 120}]
    )
    made = show([song])
    with pytest.raises(ChangeError, match=r"cues\[0\].anchor: this item has no tempo"):
        apply(made, edit_item(made, "song", "tempo", "").change)


def test_an_item_put_in_puts_its_alternate_out():
    made = two_songs()
    second = made.items[1]
    made, _ = apply(made, edit_item(made, second.id, "instead_of", made.items[0].name).change)
    assert [i.out for i in made.items][:2] == [False, True]
    made, _ = apply(made, edit_item(made, second.id, "out", "no").change)
    assert [i.out for i in made.items][:2] == [True, False]


def test_departments_outlets_and_clearances_come_back_from_their_own_lines():
    for line in setup_lines(SAMPLE):
        part = parse_setup(SAMPLE, line.list, line.text, line.id)
        was = next(p for p in getattr(SAMPLE, line.list) if p.id == line.id)
        assert part == was.model_dump(mode="json", exclude_defaults=True) | {
            k: part[k] for k in part if part[k] == getattr(was, k, None)
        }
        changed, _ = apply(SAMPLE, SetFields(at=(line.list, line.id), fields=part))
        assert changed == SAMPLE


def test_a_distance_that_is_to_be_kept_is_typed_as_it_is_shown():
    typed = "Lightning: Watch, km at least 16, older than 300 s is stale, from the plan"
    part = parse_setup(SAMPLE, "clearances", typed)
    assert (part["side"], part["limit"]) == ("at least", 16)
    made, _ = apply(SAMPLE, Put(at=("clearances",), index=0, part={"id": "flash"} | part))
    assert setup_lines(made)[len(made.departments) + len(made.outlets)].text == typed


@pytest.mark.parametrize(
    ("where", "typed", "sentence"),
    [
        ("outlets", "Wall", "needs a name, a colon and where it goes"),
        ("outlets", "Wall: osc udp nowhere", "'osc udp nowhere' is not an address"),
        ("outlets", "Synth: midi port; loud", "after the MIDI port: 'loud' is not one of them"),
        ("departments", "Lights", "give a name, letters, a shape"),
        ("departments", "Lights LX blob yellow", "shape: 'blob' is not one of them"),
        ("departments", "Lights LX circle yellow; quick", "'quick' is not understood"),
        ("clearances", "Path clear", "needs a name, a colon and who gives it"),
        ("clearances", " ", "nothing is typed"),
        (
            "clearances",
            "Wind: Rigger, m/s at most 12",
            "is not a whole reading; give Wind: Rigger, m/s at most",
        ),
        ("clearances", "Wind: Rigger < 12 m/s", "is not a whole reading"),
    ],
)
def test_a_line_of_the_set_up_that_cannot_be_read_is_one_sentence(where, typed, sentence):
    with pytest.raises(ChangeError, match=sentence):
        parse_setup(SAMPLE, where, typed)


def test_the_shortest_is_not_longer_than_the_longest():
    made = two_songs()
    name = made.items[0].id
    made, _ = apply(made, edit_item(made, name, "longest_s", "1:10").change)
    with pytest.raises(ChangeError, match="1:20 at the shortest and 1:10 at the longest"):
        edit_item(made, name, "shortest_s", "1:20")


@pytest.mark.parametrize(
    ("text", "sections"),
    [
        ("9 Break (vamp)", [("Break", 9, True)]),
        ("1 intro; 9 break (VAMP) ; 17 out", [("intro", 1, False), ("break", 9, True), ("out", 17, False)]),
        ("9 (vamp)", [("vamp", 9, True)]),
        ("9 break (vamp) loud", [("break (vamp) loud", 9, False)]),  # a name; nothing of it is lost
    ],
)
def test_a_section_that_is_vamped_by_the_plan_says_so_behind_its_name(text, sections):
    found = parse_sections(text)
    assert [(s["name"], s["bar"], s.get("vamp", False)) for s in found] == sections
    song = item("one", 60, [], tempo=[{"bar": 1, "bpm": 120}], sections=found)
    read = parse_show(json.dumps(document([song]))).items[0]
    assert parse_sections(section_text(read)) == found


def typed(made, key, text):
    return edit_show(made, key, text).change.fields[key]


def test_a_curfew_before_the_start_asks_whether_it_is_the_next_day():
    made = show([item("s", 60, [])], starts_at="20:45", curfew="23:00")
    with pytest.raises(ChangeError, match="is not after the start 20:45: is it on the next day"):
        edit_show(made, "curfew", "00:30")
    assert typed(made, "curfew", "00:30 next day") == "00:30"
    assert typed(made, "curfew", "23:30") == "23:30"
    with pytest.raises(ChangeError, match="type it without 'next day'"):
        edit_show(made, "curfew", "23:30 next day")
    with pytest.raises(ChangeError, match="Then type 23:15 next day"):
        edit_show(made, "starts_at", "23:15")
    assert typed(made, "starts_at", "23:15 next day") == "23:15"
    late = show([item("s", 60, [])], starts_at="22:00", curfew="01:00")
    assert {f.key: f.text for f in show_fields(late)}["curfew"] == "01:00 next day"
    assert typed(late, "starts_at", "21:00") == "21:00", "it was on the next day and stays there"
    assert typed(late, "curfew", "") is None
    assert typed(late, "curfew", "half past") == "half past"  # the document's own sentence is about that


@pytest.mark.parametrize(
    ("words", "plain"),
    [
        (
            "items first-light cues one anchor.bar: 0 is too little; give 1 or more",
            "0 is too little; give 1 or more",
        ),
        ("speaking words_per_minute: 900 is too much; give 300 or less", "900 is too much; give 300 or less"),
        ("starts_at: '-5' is not a time of day", "'-5' is not a time of day"),
        ("venues hall nights[0]: 'x' is no day", "'x' is no day"),
        ("curfew: '-5' is not a time of day", "curfew: '-5' is not a time of day"),
        ("alternate for: 'moon' is not one of them", "alternate for: 'moon' is not one of them"),
        ("Lights 2 is used already", "Lights 2 is used already"),
    ],
)
def test_a_refusal_names_no_place_in_the_document(words, plain):
    assert plain_sentence(words) == plain
