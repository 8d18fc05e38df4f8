"""Inputs as the journal and the wire have them, and what is wrong with one said in a sentence."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.run import commands as c
from showcaller.run.codec import command_from, input_dict, input_from
from showcaller.run.commands import CommandError
from showcaller.run.events import JournalState, Missed

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=8)
NUMBER = st.floats(allow_nan=False, allow_infinity=False)
INPUTS = st.one_of(
    st.builds(c.Start, TEXT, st.booleans(), st.none() | st.integers(), TEXT),
    st.builds(c.Standby, TEXT, st.lists(TEXT, max_size=3).map(tuple), TEXT),
    st.builds(c.Unsay, TEXT, st.lists(TEXT, max_size=3).map(tuple)),
    st.builds(c.Answer, st.lists(TEXT, max_size=3).map(tuple)),
    st.builds(c.StandBy, TEXT, TEXT),
    st.builds(c.Go, TEXT, st.booleans()),
    st.builds(c.Hold, TEXT),
    st.just(c.Resume()),
    st.builds(c.Skip, TEXT),
    st.builds(c.Jump, TEXT, st.none() | TEXT),
    st.just(c.Back()),
    st.builds(c.WriteNote, TEXT),
    st.builds(c.Clear, TEXT, st.booleans(), st.none() | NUMBER, TEXT),
    st.builds(c.OverrideClearance, TEXT, TEXT, TEXT),
    st.builds(c.Mute, st.booleans(), st.none() | TEXT),
    st.builds(c.Resync, st.none() | st.integers(), st.integers(), st.booleans()),
    st.builds(c.Follow, st.booleans()),
    st.builds(c.TimecodeAnswer, st.booleans()),
    st.builds(c.Timecode, TEXT, st.none() | st.integers(), TEXT),
    st.builds(c.End, TEXT),
    st.just(c.Tick()),
    st.builds(c.Recovered, st.integers(0), st.booleans()),
    st.builds(c.Report, st.builds(JournalState, state=TEXT, why=TEXT)),
    st.builds(
        lambda t_ns, event: c.Recovered(0, heard=((t_ns, (event,)),)),
        st.integers(0),
        st.builds(Missed, item=TEXT, cue=TEXT, planned_s=NUMBER, late_s=st.none() | NUMBER, why=TEXT),
    ),
)


@given(INPUTS)
def test_every_input_comes_back_from_the_journal_as_it_was(value):
    written = json.loads(json.dumps(input_dict(value)))
    assert written["kind"] == value.kind
    assert input_from(written) == value


def test_a_desk_may_send_commands_and_nothing_that_is_the_engines_own():
    for name in ("tick", "recovered", "report", "timecode"):
        with pytest.raises(
            CommandError, match=f"no command '{name}'; there are start, standby, answer, stand_by"
        ):
            command_from({"kind": name, "gap_ns": 0, "event": {}})


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        ({"kind": "dance"}, "no command 'dance'; there are start,"),
        ({"kind": ["go"]}, "no command \\['go'\\]; there are"),
        ({}, "no command None"),
        ({"kind": "go"}, "go needs go"),
        ({"kind": "override", "clearance": "x"}, "override needs reason, by"),
        ({"kind": "go", "go": 7}, "go: go must be str, not 7"),
        ({"kind": "go", "go": "a", "confirmed": 1}, "go: confirmed must be bool, not 1"),
        ({"kind": "go", "go": "a", "now": True}, "go has no field 'now'; it has go, confirmed"),
        ({"kind": "resume", "why": ""}, "resume has no field 'why'; it has as_if"),
        ({"kind": "standby", "line": "l", "cues": "ab"}, "standby: cues must be a list of texts, not 'ab'"),
        ({"kind": "standby", "line": "l", "cues": ["a", 1]}, "standby: cues must be a list of texts"),
        ({"kind": "jump", "item": "a", "cue": 1}, "jump: cue must be str | None, not 1"),
        ({"kind": "start", "simulated": True}, "start: simulated must be int | None, not True"),
        ({"kind": "clear", "clearance": "x", "ok": True, "value": "9"}, "clear: value must be float | None"),
        ({"kind": "clear", "clearance": "x", "ok": True, "value": True}, "must be float | None, not True"),
        ({"kind": "clear", "clearance": "x", "ok": True, "value": float("nan")}, "must be a finite number"),
        (
            {"kind": "clear", "clearance": "x", "ok": True, "value": 10**400},
            "must be a finite number, not inf",
        ),
        ({"kind": "note", "text": "\ud800"}, "note: text holds half a character, which cannot be kept"),
    ],
)
def test_what_is_wrong_with_a_command_is_said_in_a_sentence(data, sentence):
    with pytest.raises(CommandError, match=sentence.replace("|", "\\|")):
        command_from(data)


def test_a_reading_given_as_a_whole_number_is_a_reading():
    value = command_from({"kind": "clear", "clearance": "gust", "ok": True, "value": 9}).value
    assert (value, type(value)) == (9.0, float)
