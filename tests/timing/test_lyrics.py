"""When lines and words are sung."""

import json
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, document, follow, item, show

from showcaller.model import DocumentError, Song, TempoMark, parse_show
from showcaller.timing.lyrics import line_at, sung_lines, word_instant, word_words
from showcaller.timing.plan import compile_plan
from showcaller.timing.tempo import TempoMap

RAMP = ({"bar": 1, "bpm": 120}, {"bar": 9, "bpm": 60, "ramp": True}, {"bar": 17, "bpm": 120})


def song(*lyrics, length_s=100, **more):
    lines = [{"id": f"l{n}", **line} for n, line in enumerate(lyrics)]
    return Song.model_validate(
        {"kind": "song", "id": "s", "name": "S", "length_s": length_s, "lyrics": lines, **more}
    )


def begins(one, tempo=None):
    return [float(line.begins_s) for line in sung_lines(one, tempo)]


def test_a_line_is_sung_at_its_bar_by_the_songs_own_tempo():
    tempo = TempoMap(tuple(TempoMark.model_validate(m) for m in RAMP))
    one = song({"text": "in", "bar": 5, "beat": 3}, {"text": "out", "bar": 17}, tempo=RAMP, downbeat_s="1.5")
    # By hand: a bar of 4 at 120 is 2 s, so bar 5 beat 3 is at 9 s. The ramp takes 32 quarters from 60 to 120:
    # 120 × 32 / 180 s.
    assert [line.begins_s for line in sung_lines(one, tempo)] == [
        Fraction(3, 2) + 9,
        Fraction(3, 2) + 16 + Fraction(64, 3),
    ]


def test_lines_without_a_place_lie_evenly_between_their_neighbours():
    one = song(
        {"text": "a"},
        {"text": "b", "seconds": 10},
        {"text": "c"},
        {"text": "d"},
        {"text": "e", "seconds": 40},
        {"text": "f"},
    )
    assert begins(one) == [0, 10, 20, 30, 40, 70]
    assert begins(song({"text": "a"}, {"text": "b"}, downbeat_s=20)) == [20, 60]  # between downbeat and end


def test_words_lie_evenly_over_their_line_unless_their_times_are_known():
    even, known = sung_lines(
        song(
            {"text": "the lamps are lit", "seconds": 0},
            {"text": "lit now", "seconds": 4, "words_s": [0.5, 2]},
        ),
        None,
    )
    assert even.words_s == (0, 1, 2, 3)
    assert known.words_s == (Fraction(9, 2), 6)
    assert known.ends_s == 8  # the last word is sung for 2 s, and then there is music
    assert [even.word_at(Fraction(n, 2)) for n in range(9)] == [0, 0, 1, 1, 2, 2, 3, 3, 3]


def test_which_line_is_on_and_which_is_next():
    lines = sung_lines(song({"text": "one two", "seconds": 10}, {"text": "three", "seconds": 50}), None)
    at = {s: line_at(lines, Fraction(s)) for s in (0, 10, 13, 14, 49, 50, 52, 99)}
    assert at == {0: (None, 0), 10: (0, 1), 13: (0, 1), 14: (None, 1), 49: (None, 1), 50: (1, None),
                  52: (None, None), 99: (None, None)}  # fmt: skip


PLACES = st.one_of(
    st.just({}),
    st.integers(0, 200).map(lambda s: {"seconds": s}),
    st.integers(1, 99).map(lambda b: {"bar": b}),
)


@given(
    st.lists(
        st.tuples(st.lists(st.sampled_from(["oh", "lit", "sea"]), min_size=1, max_size=6), PLACES),
        max_size=12,
    )
)
def test_every_line_ends_before_the_next_begins_and_holds_its_words(lines):
    one = song(*({"text": " ".join(words), **place} for words, place in lines), tempo=RAMP, downbeat_s=2)
    sung = sung_lines(one, TempoMap(one.tempo))
    assert sorted(line.line.id for line in sung) == sorted(line.id for line in one.lyrics)
    for a, b in pairwise(sung):
        assert a.begins_s <= a.ends_s <= b.begins_s
    for line in sung:
        assert len(line.words_s) == len(line.line.words)
        assert line.begins_s <= min(line.words_s) <= max(line.words_s) <= line.ends_s
        assert list(line.words_s) == sorted(line.words_s)
        assert word_instant(sung, line.line.id, 1) == line.words_s[0]
        assert word_instant(sung, line.line.id, len(line.words_s) + 1) is None
        on, _ = line_at(sung, line.begins_s)
        assert on is None or sung[on].begins_s == line.begins_s


LYRICS = [
    {"id": "la", "text": "The lamps are lit", "seconds": 20},
    {"id": "lb", "text": "and out, and out", "seconds": 30},
]


def on(word, line="la"):
    return {"at": "word", "line": line, "word": word}


def test_a_cue_on_a_word_is_called_by_ear_and_expected_at_the_word():
    cues = [
        cue("a", "1", on(4)),
        cue("v", "1", on(4), "video"),
        cue("b", "2", on(3, "lb")),
        follow("c", "3", "a", 2),
    ]
    planned = compile_plan(show([item("s", 60, cues, lyrics=LYRICS)])).items[0]
    by_id = {one.cue.id: one for one in planned.cues}
    assert (by_id["a"].at_s, by_id["a"].firm) == (26, False)  # 4 words in 8 s at the slowest
    assert (by_id["c"].at_s, by_id["c"].firm) == (28, False)
    _, first, second = planned.goes
    assert (first.sees, len(first.cues)) == ("on the word “lit”: The lamps are lit", 2)  # one word, one go
    assert (first.when, first.word) == ("on the word “lit”", ("la", 4))
    assert second.sees == "on the word “and” (2nd time): and out, and out"
    assert second.when == "on the word “and” (2nd time)"


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (
            {"cues": [cue("a", "1", on(1, "lx"))]},
            "anchor.line: 'cue a' hangs on a word of line 'lx', which is not among the lyrics of S",
        ),
        ({"cues": [cue("a", "1", on(5))]}, "anchor.word: 'cue a' hangs on word 5 of line 'la', which has 4"),
        ({"cues": [cue("a", "1", on(1), fires="by itself")]}, "a cue taken on a word cannot be automatic"),
        (
            {"lyrics": [{"id": "la", "text": "x", "bar": 3}]},
            "'x' is at bar 3, and S has no tempo, so no bars",
        ),
        ({"lyrics": [{"id": "la", "text": "x"}, {"id": "la", "text": "y"}]}, "'la' is used already"),
        (
            {"lyrics": [{"id": "la", "text": "x", "bar": 3, "seconds": 2}], "tempo": [{"bar": 1, "bpm": 90}]},
            "'x' is given a bar and seconds; give one of them",
        ),
        ({"lyrics": [{"id": "la", "text": "x y", "words_s": [1]}]}, "'x y' has 2 words and 1 times"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(change, sentence):
    one = item("s", 60, [], lyrics=LYRICS) | change
    with pytest.raises(DocumentError, match=r".") as told:
        parse_show(json.dumps(document([one])))
    assert any(sentence in problem for problem in told.value.problems), told.value.problems


def test_a_word_of_a_talk_is_no_word():
    talk = item("s", 60, [cue("a", "1", on(1))]) | {"kind": "talk"}
    with pytest.raises(DocumentError, match="not among the lyrics of S"):
        parse_show(json.dumps(document([talk])))


def test_what_stands_around_a_word_is_not_said():
    line = song({"text": "“Lit,” she sang — twice"}).lyrics[0]
    assert [word_words(line, n).partition(":")[0] for n in (1, 4, 5)] == [
        "on the word “Lit”", "on the word “—”", "on the word “twice”",
    ]  # fmt: skip
