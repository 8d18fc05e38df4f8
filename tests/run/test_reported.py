"""The third instant of a cue: what its desk told, against what was given."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st
from played import Played
from reporting import report, reporting

from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.reported import FORGOTTEN_NS, DesksTold, words_on


def desks(run):
    folded = DesksTold()
    for record in run.records:
        folded.take(run.compiled.plan, record)
    return folded


def words(run, t_s):
    run.at(t_s)
    return [(seen.cue, seen.what) for seen in words_on(run.compiled.plan, desks(run), round(t_s * NS))]


def test_a_cue_has_three_instants_and_one_that_is_not_seen_in_time_is_said():
    run = Played(reporting(seen_within_s=1.5))
    run.at(0, c.Standby("song:a", ("a",)))
    run.go(1)
    report(run, 1.3, "a", ago_s=0.1)
    assert [(t.cue, t.given_ns, t.done_ns) for t in desks(run).told] == [("a", NS, round(1.2 * NS))]
    run.go(10)
    assert words(run, 11.4) == []
    assert words(run, 11.6) == [("b", "not seen")]
    report(run, 12, "b")  # late is better than never
    assert words(run, 12) == []
    assert [(t.cue, t.took_s) for t in desks(run).told] == [("a", 0.2), ("b", 2.0)]
    assert words(run, 16.5) == [("d", "not seen")]  # what fires by itself too
    assert words(run, 15 + FORGOTTEN_NS / NS) == []


def test_a_cue_of_a_department_without_such_a_desk_is_never_missed():
    run = Played(reporting())
    for t_s in (0, 10, 20):
        run.go(t_s)
    assert ("v", "not seen") not in words(run, 29)


def test_one_without_a_go_is_by_itself_unless_it_stood_by_and_the_go_is_on_its_way():
    run = Played(reporting())
    run.go(0)
    report(run, 0.1, "a")
    report(run, 5, "e")
    assert words(run, 5) == [("e", "by itself")]
    run.at(8, c.Standby("song:b", ("b",)))
    report(run, 9.8, "b")  # the desk's hand heard the word, and was quicker than the caller's finger
    assert words(run, 9.9) == [("e", "by itself")]
    run.go(10)
    assert words(run, 10) == [("e", "by itself")]
    assert [t.took_s for t in desks(run).told if t.cue == "b"] == [-0.2]


def test_nothing_is_awaited_of_what_did_not_leave():
    run = Played(reporting())
    run.at(0, c.Mute(outlet="u", muted=True))
    run.go(1)
    run.go(10)
    assert ("b", "not seen") not in words(run, 13)
    assert ("a", "not seen") in words(run, 13)
    run.at(13.5, c.Mute(outlet=None, muted=True))
    run.at(14.5)
    assert ("d", "not seen") not in words(run, 17)


def test_a_go_that_was_taken_back_waits_for_nothing_and_comes_anew():
    run = Played(reporting())
    run.go(0)
    report(run, 0.1, "a")
    run.go(10)
    run.at(11, c.Back())
    run.go(12)
    report(run, 12.2, "b")
    last = desks(run).told[-1]
    assert (last.cue, last.given_ns, last.done_ns) == ("b", 12 * NS, round(12.2 * NS))


@given(st.lists(st.tuples(st.integers(1, 400), st.sampled_from(["a", "b", "d", "e"])), max_size=12))
def test_whatever_desks_tell_changes_no_state_and_no_firing(told):
    """The same run with and without what its desks tell: the same state, the same sends."""
    plain, heard = Played(reporting()), Played(reporting())
    for run, reports in ((plain, []), (heard, sorted(told))):
        marks = [(t / 10, lambda t=t, k=k, run=run: report(run, t / 10, k)) for t, k in reports]
        marks += [(s, lambda s=s, run=run: run.go(s)) for s in (0, 10, 20, 30)]
        for _, act in sorted(marks, key=lambda m: m[0]):
            act()
        run.at(41)
    assert heard.sends == plain.sends
    assert heard.state == plain.state
    found = desks(heard)
    assert sum(t.done_ns is not None for t in found.told) == len(told)
    assert Decimal(len(found.told)) >= 4
