"""Lyrics as they are typed, and what a change of them does to cues on their words."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, item, show

from showcaller.editing.changes import ChangeError, apply
from showcaller.editing.comparing import compare
from showcaller.editing.cues import copy_cues, move_cue, move_cue_to
from showcaller.editing.lyrics import (
    add_line,
    change_line,
    line_text,
    move_line,
    parse_line,
    remove_line,
    replace_lyrics,
)
from showcaller.editing.placing import anchor_text, parse_anchor
from showcaller.editing.running_order import split_item
from showcaller.editing.snapping import moved_anchor, nudged_anchor
from showcaller.model import LyricLine
from showcaller.timing.plan import compile_item

WORDS = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12).filter(
    lambda s: bool(s.strip())
)
SECONDS = st.one_of(
    st.integers(0, 7200),
    st.floats(0, 7200).map(lambda s: round(s, 3)),
    st.fractions(0, 7200, max_denominator=1001).map(lambda f: f"{f.numerator}/{f.denominator}"),
)
TEMPO = [{"bar": 1, "bpm": 120}]
LAMPS = [
    {"id": "la", "text": "The lamps are lit", "bar": 5},
    {"id": "lb", "text": "and the lamps go out", "bar": 9},
    {"id": "lc", "text": "out over the water"},
]


def on(word, line="la"):
    return {"at": "word", "line": line, "word": word}


def made(*cues, lyrics=LAMPS):
    first = item("first", 60, list(cues), lyrics=lyrics, tempo=TEMPO)
    return show([first, item("second", 60, [], tempo=TEMPO)])


@pytest.mark.parametrize(
    ("text", "fields"),
    [
        ("69 The lamps are lit", {"text": "The lamps are lit", "bar": 69}),
        ("69/3 The lamps", {"text": "The lamps", "bar": 69, "beat": 3}),
        ("69/2.5 The lamps", {"text": "The lamps", "bar": 69, "beat": 2.5}),
        ("1:23 The lamps are lit", {"text": "The lamps are lit", "seconds": 83}),
        ("1:23.5 lit", {"text": "lit", "seconds": 83.5}),
        ("  The lamps are lit ", {"text": "The lamps are lit"}),
        ("- 99 lamps are lit", {"text": "99 lamps are lit"}),
        ("99", {"text": "99"}),
    ],
)
def test_a_line_is_typed_with_its_place_before_it(text, fields):
    assert parse_line(text, has_bars=True) == fields


def test_without_bars_a_number_is_seconds():
    assert parse_line("69 lit", has_bars=False) == {"text": "lit", "seconds": 69}
    with pytest.raises(ChangeError, match="'69/3' is a bar and beat, and the song has no tempo"):
        parse_line("69/3 lit", has_bars=False)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "there are no words"),
        ("0 lit", "'0' is not a bar"),
        ("12345 lit", "'12345' is not a bar"),
        ("69/0.5 lit", "'0.5' is not a beat"),
        ("69/1/0 lit", "'1/0' is not a beat"),
        ("1:99 lit", "'1:99' is not a time"),
        ("x" * 401, "401 characters; 400 is the limit"),
    ],
)
def test_what_cannot_be_read_is_one_sentence(text, sentence):
    with pytest.raises(ChangeError, match=sentence):
        parse_line(text, has_bars=True)


BEATS = st.sampled_from([1, 2.5, "4/3"])
PLACES = st.one_of(
    st.just({}),
    st.fixed_dictionaries({"bar": st.integers(1, 9999), "beat": BEATS}),
    st.fixed_dictionaries({"seconds": SECONDS}),
)
LIKE_PLACES = st.sampled_from(
    ["69 lamps", "- lamps", "1:23 x", "2s x", "1/3 x", "- - x", "7", "1/3s y", "0 x"]
)


@given(WORDS | LIKE_PLACES, PLACES)
def test_what_is_shown_is_read_back_as_it_was(text, place):
    line = LyricLine.model_validate({"id": "x", "text": text, **place})
    again = LyricLine.model_validate({"id": "x", **parse_line(line_text(line), has_bars=True)})
    assert again == line


@given(st.text(max_size=30), st.booleans())
def test_whatever_is_typed_is_a_line_or_one_sentence(text, has_bars):
    try:
        fields = parse_line(text, has_bars)
    except ChangeError:
        return
    LyricLine.model_validate({"id": "x", **fields})


def test_a_cue_is_hung_on_a_word_by_typing_it():
    one = made()
    first = one.items[0]
    assert parse_anchor("on lit", one, first) == on(4)
    assert parse_anchor("on Lamps 2", one, first) == on(3, "lb")
    sentence = "'lamps' is sung 2 times: 'on lamps 1' is in: The lamps are lit; 'on lamps 2' is in: and the "
    with pytest.raises(ChangeError) as told:
        parse_anchor("on lamps", one, first)
    assert str(told.value) == sentence + "lamps go out"
    for typed, said in (
        ("on sea", "First does not have it in its lyrics"),
        ("on lamps 3", "sung 2 times; give 1 to 2"),
        ("on lit 2", "is sung once; give 1 to 1"),
    ):
        with pytest.raises(ChangeError, match=said):
            parse_anchor(typed, one, first)
    with pytest.raises(ChangeError, match="Second has no lyrics yet"):
        parse_anchor("on lit", one, one.items[1])


def test_every_word_is_typed_as_it_is_shown():
    for line in LAMPS:
        for n in range(1, len(line["text"].split()) + 1):
            one = made(cue("a", "1", on(n, line["id"])))
            first = one.items[0]
            text = anchor_text(first.cues[0].anchor, one, first)
            assert parse_anchor(text, one, first) == on(n, line["id"])


def anchor(changed, ident="a"):
    return next(c for c in changed.all_cues() if c.id == ident).anchor.model_dump(mode="json")


def test_a_mended_line_keeps_its_cues():
    one = made(cue("a", "1", on(4)), cue("b", "2", on(2)))
    change, said = change_line(one, "first", "la", "5 The lamps are litt")
    assert (anchor(apply(one, change)[0]), said) == (on(4), "")
    change, said = change_line(one, "first", "la", "7 All the lamps of the bay are lit")
    after, back = apply(one, change)
    assert (anchor(after), anchor(after, "b"), said) == (on(8), on(3), "")
    assert apply(after, back)[0] == one


def test_a_cue_whose_word_goes_stays_at_its_time_and_that_is_said():
    one = made(cue("a", "1", on(4)), cue("b", "2", on(1, "lb")))
    for change, said in (
        change_line(one, "first", "la", "5 Dark"),
        remove_line(one, "first", "la"),
        replace_lyrics(one, one.items[0], [{"text": "and the lamps go out"}]),
    ):
        after, back = apply(one, change)
        assert anchor(after) == {"at": "time", "seconds": 14.0}  # bar 5 is at 8 s, 4 words over 8 s
        assert anchor(after, "b") == on(1, "lb")  # the line that stays keeps its id
        assert said == "Lights 1 (was on “lit”) loses its word and stays at its time"
        assert apply(after, back)[0] == one


def test_lines_are_added_and_moved():
    one = made()
    after, _ = apply(one, add_line(one, "first", 1, "7 In between"))
    assert [line.text for line in after.items[0].lyrics][:2] == ["The lamps are lit", "In between"]
    after, _ = apply(after, move_line(after.items[0], "la", 1))
    assert [line.id for line in after.items[0].lyrics][:2] == ["line-4", "la"]
    with pytest.raises(ChangeError, match=r"lyrics are a song's, and Chat is a talk"):
        add_line(show([item("chat", 9, []) | {"kind": "talk"}]), "chat", 0, "x")


def test_a_cue_moved_or_copied_elsewhere_leaves_its_word():
    one = made(cue("a", "1", on(4)))
    there = {"at": "time", "seconds": 14.0}
    assert anchor(apply(one, move_cue_to(one, "a", "second"))[0]) == there
    change, (new,) = copy_cues(one, ["a"], "second")
    assert anchor(apply(one, change)[0], new) == there
    change, (new,) = copy_cues(one, ["a"], "first")
    assert anchor(apply(one, change)[0], new) == on(4)


def test_dragged_or_nudged_it_goes_from_word_to_word():
    one = made(cue("a", "1", on(4)))
    planned = compile_item(one.items[0], "25")
    assert moved_anchor(planned, planned.cues[0], 0.0) == on(1)
    assert moved_anchor(planned, planned.cues[0], 16.2) == on(1, "lb")
    assert nudged_anchor(planned, planned.cues[0], 1) == on(1, "lb")
    assert nudged_anchor(planned, planned.cues[0], -99) == on(1)


def test_a_split_song_has_its_lines_where_they_were():
    one = made(cue("a", "1", on(4)), cue("b", "2", on(2, "lb")), cue("x", "3", on(4, "lc")))
    before = {c.cue.id: c.at_s for c in compile_item(one.items[0], "25").cues}
    change, new = split_item(one, "first", 16)  # bar 9
    after, back = apply(one, change)
    second = next(i for i in after.items if i.id == new)
    assert [line.id for line in after.items[0].lyrics] == ["la"]
    assert [(line.id, line.bar) for line in second.lyrics] == [("lb", 1), ("lc", None)]
    for one_cue in compile_item(second, "25").cues:
        assert one_cue.at_s + 16 == before[one_cue.cue.id]
    assert apply(after, back)[0] == one


def test_a_comparison_says_which_lines_changed():
    one = made(cue("a", "1", 3))
    after, _ = apply(one, change_line(one, "first", "la", "5 The lamps are out")[0])
    after, _ = apply(after, move_cue(after, "a", on(4)))
    words = [note.words for note in compare(one, after).notes]
    assert words == [
        "First: lines of the lyrics: 1 changed (“The lamps are out”)",
        "Lights 1 is now on out 1 (was at 0:03)",
    ]
