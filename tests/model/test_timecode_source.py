"""Timecode coming in, as a show document has it."""

import json
from fractions import Fraction

import pytest
from small_shows import cue, document, item

from showcaller.model import DocumentError, LtcIn, MtcIn, parse_show, show_text


def doc(timecode_in=None, **more):
    extra = {} if timecode_in is None else {"timecode_in": timecode_in}
    return json.dumps(document([item("s", 10, [cue("a", "1", 0)])], **extra, **more))


def test_a_show_without_timecode_in_says_nothing_of_it():
    show = parse_show(doc())
    assert show.timecode_in is None
    assert "timecode_in" not in show_text(show)


@pytest.mark.parametrize(
    "written",
    [
        {"kind": "mtc", "port": "Playback"},
        {"kind": "ltc", "device": "wav:code.wav"},
        {"kind": "ltc", "device": "Line", "channel": 2, "chase": {"freewheel_s": 0.5, "ask_over_s": 3}},
    ],
)
def test_what_is_written_reads_back_the_same(written):
    show = parse_show(doc(written))
    assert json.loads(show_text(show))["timecode_in"] == written
    assert parse_show(show_text(show)) == show


def test_what_is_not_given_has_its_usual_value():
    mtc = parse_show(doc({"kind": "mtc", "port": "x"})).timecode_in
    assert isinstance(mtc, MtcIn)
    assert (mtc.chase.lock_frames, mtc.chase.freewheel_s, mtc.chase.ask_over_s) == (4, 2, 1)
    ltc = parse_show(doc({"kind": "ltc", "device": "x", "chase": {"freewheel_s": 0.1}})).timecode_in
    assert isinstance(ltc, LtcIn)
    assert (ltc.channel, ltc.chase.freewheel_s) == (1, Fraction(1, 10))


@pytest.mark.parametrize(
    ("written", "sentence"),
    [
        ({"kind": "mtc"}, "timecode_in.port: is missing"),
        ({"kind": "mtc", "port": " "}, "timecode_in.port: string should have at least 1 character"),
        ({"kind": "tape"}, "timecode_in: its 'kind' is 'tape'; it may be 'mtc', 'ltc'"),
        ({"kind": "ltc", "device": "x", "channel": 0}, "timecode_in.channel: 0 is too little; give"),
        (
            {"kind": "mtc", "port": "x", "chase": {"freewheel_s": 61}},
            "timecode_in.chase.freewheel_s: 61 s is too long here; give 0 to 60 s",
        ),
        (
            {"kind": "mtc", "port": "x", "chase": {"lock_frames": 1}},
            "timecode_in.chase.lock_frames: 1 is too little; give 2 or more",
        ),
    ],
)
def test_what_is_wrong_is_named_by_its_path(written, sentence):
    with pytest.raises(DocumentError) as caught:
        parse_show(doc(written), "x.json")
    (problem,) = caught.value.problems
    assert problem.removeprefix("x.json: ").startswith(sentence)


def test_a_rate_that_no_timecode_carries_is_refused():
    with pytest.raises(DocumentError, match=r"timecode_in: timecode comes in at 30 frames a second at most"):
        parse_show(doc({"kind": "mtc", "port": "x"}, timecode_rate="50"))
    assert parse_show(doc(timecode_rate="50")).timecode_rate == "50"
