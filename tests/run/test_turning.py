"""A section once more, a vamp until the word, a section cut: the clock turns, and cues and calls with it."""

import json

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st
from played import Played
from small_shows import cue, document, follow, item

from showcaller.model import parse_show, show_text
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import input_dict, input_from
from showcaller.run.machine import first_state, step
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls

# 120 bpm in 4/4: a bar is 2 s (60 / 120 × 4).
SECTIONS = [(1, "Verse"), (9, "Chorus"), (17, "Break"), (25, "Out")]


def show(vamp=()):
    """Verse from 0, chorus from 16, break from 32, out from 48 to 64 s."""
    cues = [
        cue("a", "1", 0), cue("b", "2", 20, fires="by itself"), cue("c", "3", 24),
        cue("d", "4", 32, fires="by itself"), cue("e", "5", 40), cue("f", "6", 48, fires="by itself"),
        cue("g", "7", 50),
    ]  # fmt: skip
    sections = [
        {"bar": bar, "name": name, **({"vamp": True} if name in vamp else {})} for bar, name in SECTIONS
    ]
    song = item("song", 64, cues, tempo=[{"bar": 1, "bpm": 120}], sections=sections)
    return parse_show(json.dumps(document([song, item("next", 60, [cue("n", "9", 0)])])))


def fired(events):
    return [e.cue for e in events if isinstance(e, ev.Fired)]


def at_s(run, t_s):
    run.at(t_s)
    return run.state.item_ns(round(t_s * 1e9)) / 1e9


def test_again_plays_the_section_once_more_and_its_cues_come_again():
    run = Played(show())
    run.go(0)
    run.at(18, c.PlaySection("again"))
    assert fired(run.at(21)) == ["b"]
    assert fired(run.go(24)) == ["c"]
    assert fired(run.at(31.9)) == []
    assert "d" not in fired(run.at(32)), "the break's downbeat is not played yet"
    assert at_s(run, 33) == pytest.approx(17)
    assert fired(run.at(36)) == ["b"]
    assert run.next_go() == "song:c"
    assert fired(run.go(40)) == ["c"]
    assert fired(run.at(48)) == ["d"]
    assert at_s(run, 50) == pytest.approx(34)


def test_a_vamp_turns_until_the_word_and_goes_on_at_its_end():
    run = Played(show())
    run.go(0)
    run.at(17, c.PlaySection("vamp"))
    events = run.at(16 + 16 * 4 + 3)
    assert [e.passes for e in events if isinstance(e, ev.FormTurned)] == [1, 2, 3, 4]
    assert at_s(run, 16 + 16 * 4 + 4) == pytest.approx(20)
    run.at(16 + 16 * 4 + 5, c.PlaySection("on"))
    assert fired(run.at(16 + 16 * 5)) == ["d"]
    assert at_s(run, 16 + 16 * 5 + 2) == pytest.approx(34)


def test_a_go_given_early_from_behind_the_turn_comes_again_too():
    """Else it would stand behind open ones, fired, and the place would come to it a second time."""
    run = Played(show())
    run.go(0)
    run.at(17, c.PlaySection("vamp"))
    run.go(24)
    assert fired(run.go(31)) == ["e"], "from the break, early"
    events = run.at(33)
    assert [cue for e in events if isinstance(e, ev.TakenBack) for cue in e.cues] == ["b", "c", "e"]
    assert run.next_go() == "song:c"
    assert fired(run.go(40)) == ["c"]
    assert run.next_go() == "song:e"


def test_a_vamp_of_the_plan_needs_nobody_and_comes_again_with_the_song():
    run = Played(show(vamp=["Break"]))
    run.go(0)
    turned = [e.section for e in run.at(66) if isinstance(e, ev.FormTurned)]
    assert turned == ["Break", "Break"]
    run.at(67, c.PlaySection("on"))
    assert at_s(run, 82) == pytest.approx(50)
    run.at(83, c.Jump("song"))
    run.go(84)
    assert [e.section for e in run.at(84 + 49) if isinstance(e, ev.FormTurned)] == ["Break"]


def test_what_a_jump_of_the_clock_has_passed_is_no_vamp_any_more():
    run = Played(show(vamp=["Verse"]))
    run.go(0)
    run.at(5, c.Resync(bar=9))
    assert not [e for e in run.at(20) if isinstance(e, ev.FormTurned)]
    assert at_s(run, 20) == pytest.approx(31)


def test_a_section_that_is_cut_is_left_out_at_its_downbeat():
    run = Played(show())
    run.go(0)
    run.at(17, c.PlaySection("cut"))
    run.go(24)
    events = run.at(32)
    assert fired(events) == ["f"], "the out's downbeat is played where the break's would have been"
    assert [e.cue for e in events if isinstance(e, ev.Skipped)] == ["d", "e"]
    assert run.next_go() == "song:g"
    assert at_s(run, 33) == pytest.approx(49)


def test_a_go_of_a_cut_section_is_not_offered_after_one_that_was_given_late():
    run = Played(show())
    run.go(0)
    run.at(17, c.PlaySection("cut"))
    run.at(33)  # the go of the chorus was not given yet
    assert run.next_go() == "song:c"
    run.go(34)
    assert run.next_go() == "song:g", "the break's go is cut"


def test_a_go_of_a_cut_section_is_not_offered_after_one_that_was_left_out_late():
    run = Played(show())
    run.go(0)
    run.at(17, c.PlaySection("cut"))
    run.at(33)
    run.at(34, c.Skip("song:c"))
    assert run.next_go() == "song:g"
    run.at(35, c.Jump("song", "e"))
    assert run.next_go() == "song:e", "whoever names it, has it"
    assert fired(run.go(36)) == ["e"]


def test_what_follows_a_cue_from_before_a_cut_section_still_comes_after_it():
    made = show()
    data = json.loads(show_text(made))
    data["items"][0]["cues"].append(follow("h", "8", "c", 10))  # at 34 s, were its leader in time
    for late_s, due_s in ((0, 34), (9, 43)):  # given in time, and after the break was cut
        run = Played(parse_show(json.dumps(data)))
        run.go(0)
        run.at(17, c.PlaySection("cut"))
        run.go(24 + late_s)
        assert "h" not in fired(run.at(due_s - 0.01))
        assert "h" in fired(run.at(due_s))


def test_a_word_is_taken_back_by_going_on():
    run = Played(show())
    run.go(0)
    run.at(17, c.PlaySection("cut"))
    run.at(18, c.PlaySection("on"))
    assert fired(run.at(32)) == ["b", "d"]


def test_the_last_section_may_be_repeated_too_and_the_next_song_ends_it():
    run = Played(show())
    run.go(0)
    run.at(55, c.PlaySection("vamp"))
    assert at_s(run, 70) == pytest.approx(54)
    assert any(isinstance(e, ev.ItemEnded) for e in run.at(90, c.Jump("next"), c.Go("next:start")))
    assert run.state.turn is None


@pytest.mark.parametrize(
    ("at", "what", "says"),
    [
        (1, "on", "nothing is repeated"), (1, "dance", "say again, vamp, cut or on"),
        (50, "cut", "Out is the last section"),
    ],
)  # fmt: skip
def test_what_cannot_be_played_is_refused(at, what, says):
    run = Played(show())
    run.go(0)
    assert says in run.refusal(at, c.PlaySection(what))


def test_before_the_song_and_in_a_song_without_sections_and_while_held():
    run = Played(show())
    assert "no song is running" in run.refusal(0, c.PlaySection("again"))
    run.go(1)
    run.at(5, c.Hold("rain"))
    assert "on hold" in run.refusal(6, c.PlaySection("again"))
    run.at(7, c.Resume(), c.Jump("next"))
    run.go(8)
    assert "no sections" in run.refusal(9, c.PlaySection("again"))


def test_a_hold_across_the_turn_turns_no_sooner():
    run = Played(show())
    run.go(0)
    run.at(18, c.PlaySection("again"))
    run.at(30, c.Hold("rain"))
    run.at(100, c.Resume())
    assert at_s(run, 101.9) == pytest.approx(31.9)
    assert at_s(run, 103) == pytest.approx(17)


def test_a_turn_found_late_is_said_and_not_made():
    run = Played(show())
    run.go(0)
    run.at(18, c.PlaySection("again"))
    out = run.step(c.Tick(), 40_000_000_000)  # the engine was away for the turn
    assert [e.what for e in out.events if isinstance(e, ev.FormTurned)] == ["missed"]
    assert run.state.item_ns(40_000_000_000) == 40_000_000_000


def test_the_record_says_so_in_words_and_the_log_leads_to_the_same_place():
    run = Played(show(vamp=["Break"]))
    run.go(0)
    run.at(18, c.PlaySection("again"))
    run.at(40, c.PlaySection("cut"))
    run.at(70)
    state = first_state(run.compiled)
    for record in run.records:
        state, _ = step(run.compiled, state, input_from(input_dict(record.input)), record.t_ns)
    assert state == run.state
    book = RunBook(run.compiled, compile_show_calls(run.compiled.plan))
    book.take(run.records)
    words = [said.text for said in book.said]
    assert "Chorus once more" in words
    assert "Chorus again" in words
    assert "without Break" in words
    assert not any("taken back" in text for text in words)


@settings(max_examples=150, deadline=None)
@drawn(
    st.lists(st.tuples(st.integers(1, 9000), st.sampled_from(["again", "vamp", "cut", "on"])), max_size=12)
)
def test_whatever_is_said_the_clock_is_where_the_turns_put_it(words):
    """A plain account beside it: the clock's place is the time since the start, plus every shift told."""
    run = Played(show(vamp=["Break"]))
    run.go(0)
    t_s = 0.0
    for after_ms, what in words:
        t_s += after_ms / 1000
        run.at(t_s, c.PlaySection(what))
    run.at(t_s)
    shifts = [e.shift_s for r in run.records for e in r.events if isinstance(e, ev.FormTurned)]
    assert run.state.item_ns(run.t_ns) / 1e9 == pytest.approx(run.t_ns / 1e9 + sum(shifts))
    times = [e.cue for r in run.records for e in r.events if isinstance(e, ev.Fired)]
    backs = [x for r in run.records for e in r.events if isinstance(e, ev.TakenBack) for x in e.cues]
    for ident in set(times):
        assert times.count(ident) <= backs.count(ident) + 1, "twice without having been taken back"
