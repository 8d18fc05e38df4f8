"""An incident is of the moment its key was pressed; its words and its form come when there is a hand free."""

import json

from played import Played
from small_shows import cue, document, item

from showcaller.model import parse_show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import input_dict, input_from
from showcaller.run.incidents import FORM, LONGEST, blank, to_come
from showcaller.run.machine import first_state, step


def run():
    song = item("s", 60, [cue("a", "1", 0), cue("b", "2", 30)])
    return Played(parse_show(json.dumps(document([song]))))


def test_the_press_is_the_moment_with_its_place_and_the_words_come_later():
    played = run()
    played.go(0)
    (opened,) = played.at(12.5, c.OpenIncident("x", "Ada"))
    assert (opened.incident, opened.item, opened.at_s, opened.cue) == ("x", "s", 12.5, "a")
    assert played.state.incidents["x"].at_ns == 12_500_000_000
    assert to_come(played.state.incidents["x"].fields)
    played.at(40, c.WriteIncident("x", {"kind": "near miss", "what": " the riser moved "}, "Ada"))
    fields = played.state.incidents["x"].fields
    assert fields == {"kind": "near miss", "what": "the riser moved"}
    assert played.state.incidents["x"].at_ns == 12_500_000_000, "writing does not move it"
    assert not to_come(fields)
    assert blank(fields) == FORM


def test_what_was_typed_so_far_is_kept_until_the_words_are_given():
    played = run()
    played.at(1, c.OpenIncident("x"), c.WriteIncident("x", {"draft": "near mi"}))
    assert played.state.incidents["x"].fields == {"draft": "near mi"}
    played.at(2, c.WriteIncident("x", {"kind": "near miss", "what": "a truss"}))
    assert "draft" not in played.state.incidents["x"].fields


def test_the_form_is_finished_field_by_field_before_the_start_on_hold_and_after_the_end():
    played = run()
    played.at(1, c.OpenIncident("x"))
    played.go(2)
    played.at(5, c.Hold("hurt"), c.WriteIncident("x", {"person": "a deckhand"}))
    played.at(6, c.Resume(), c.End("over"), c.WriteIncident("x", {"first_aid": "none"}))
    fields = played.state.incidents["x"].fields
    assert fields == {"person": "a deckhand", "first_aid": "none"}
    assert blank(fields) == ("place", "witness", "follow_up")
    played.at(7, c.WriteIncident("x", {"person": ""}))
    assert "person" not in played.state.incidents["x"].fields


def test_a_press_by_mistake_stays_in_the_log_and_asks_for_nothing():
    played = run()
    played.at(1, c.OpenIncident("x"), c.WriteIncident("x", {"kind": "by mistake"}))
    fields = played.state.incidents["x"].fields
    assert (to_come(fields), blank(fields)) == (False, ())


def test_what_will_not_do_is_one_sentence():
    played = run()
    played.at(1, c.OpenIncident("x"))
    for given, words in (
        (c.OpenIncident("x"), "logged already"),
        (c.OpenIncident(""), "logged already"),
        (c.WriteIncident("y", {"what": "a"}), "press its key first"),
        (c.WriteIncident("x", {}), "type what happened"),
        (c.WriteIncident("x", {"kind": "gossip"}), "not 'gossip'"),
        (c.WriteIncident("x", {"shoe": "a"}), "no field 'shoe'"),
        (c.WriteIncident("x", {"what": 7}), "must be words"),
        (c.WriteIncident("x", {"what": "a" * (LONGEST + 1)}), "longer than 2000"),
    ):
        assert words in played.refusal(2, given)


def test_a_kill_in_the_middle_loses_neither_the_moment_nor_the_words():
    played = run()
    played.go(0)
    played.at(3, c.OpenIncident("x", "Ada"), c.WriteIncident("x", {"draft": "injury: a ha"}))
    state = first_state(played.compiled)
    for record in played.records:
        again = input_from(json.loads(json.dumps(input_dict(record.input))))
        state, _ = step(played.compiled, state, again, record.t_ns)
    assert state.incidents == played.state.incidents


def test_what_stands_behind_a_gap_of_the_log_is_believed_also_without_its_opening():
    played = run()
    written = ev.IncidentWritten(incident="x", fields={"kind": "injury", "what": "a hand"}, by="Ada")
    played.at(9, c.Recovered(0, missing=2, heard=((7_000_000_000, (written,)),)))
    one = played.state.incidents["x"]
    assert (one.at_ns, one.fields["what"]) == (7_000_000_000, "a hand")
