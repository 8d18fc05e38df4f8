"""What must be known afterwards is named, and a caller's goes are counted against their instants."""

import pytest
from played import Played
from small_shows import two_songs

from showcaller.review.notable import notable
from showcaller.review.score import scores
from showcaller.review.slips import slips
from showcaller.review.stats import department_stats
from showcaller.review.tables import cue_table
from showcaller.review.timeline import NS
from showcaller.review.waterfall import waterfall
from showcaller.run import commands as c
from showcaller.run import events as ev


def fumbled():
    """A run with a slip of every kind: late, unanswered, wrong, refused, overridden, by hand, unplanned."""
    run = Played(two_songs())
    run.go(0)
    run.at(5, c.Standby("x", ("b",)))
    run.go(10.4)
    run.at(11, c.Wrong())
    run.at(12.5, c.TakeOver("e"))
    run.go(21)
    run.at(29, c.Go("first:m1", confirmed=True))
    run.at(30, c.OverrideClearance("path", "seen from the gantry", "I. Marr"))
    run.go(30.2, confirmed=True)
    run.at(35, c.Handover("Bo"))
    run.go(40.1)
    run.at(60, c.Insert("talk"))
    run.go(75)
    run.at(90, c.Report(ev.MessagesFailed(outlet="u", cue="g", why="connection refused")))
    run.at(100, c.End("over"))
    return run


def test_everything_somebody_will_ask_about_is_named_with_its_moment():
    run = fumbled()
    told = [(round(n.t_s, 1), n.kind, n.words) for n in notable(run.compiled.plan, run.records)]
    for wanted in [
        (10.4, "no answer", "Lights 2, Video 1 went, not acknowledged by Lights"),
        (11.0, "wrong go", "Lights 2, Video 1 was a wrong go"),
        (12.5, "by hand", "Lights 5 was fired by hand"),
        (29.0, "refused", "Moves 1 needs 'Path clear': waiting for Moves"),
        (30.0, "override", "'Path clear' overridden by I. Marr: seen from the gantry"),
        (30.2, "hazard", "Moves 1 (moving scenery) fired, responsible I. Marr"),
        (35.0, "handover", "Ada handed over to Bo"),
        (60.0, "unplanned", "“talk” was inserted"),
        (90.0, "message", "Lights 8 did not reach u: connection refused"),
    ]:
        assert wanted in told


def test_an_unplanned_item_owns_its_seconds_and_the_parts_still_add_up():
    run = fumbled()
    fall = waterfall(run.compiled.plan, run.records)
    extra = [p for p in fall.parts if p.kind == "unplanned"]
    assert [(p.name, p.ns) for p in extra] == [("talk", 15 * NS)]
    assert fall.total_ns == fall.actual_length_ns - fall.planned_length_ns


def test_each_caller_has_a_score_of_their_own():
    run = fumbled()
    first, second = scores(run.compiled.plan, run.records)
    # Ada: Lights 2 and Video 1 (one go) 0.4 s late, the hazard 0.2 s; a start and the sight are not judged.
    assert (first.caller, first.goes, first.wrong, first.unanswered) == ("Ada", 2, 1, 1)
    assert first.worst_s == pytest.approx(0.4)
    assert first.near == 1.0
    # Bo: 0.1 s late, and the start of the second song, which is never early or late.
    assert (second.caller, second.goes, second.wrong) == ("Bo", 1, 0)
    assert second.worst_s == pytest.approx(0.1)


def test_what_did_not_come_because_the_run_ended_is_named_too():
    run = Played(two_songs())
    run.go(0)
    run.at(5, c.End("over"))
    told = [(n.kind, n.words) for n in notable(run.compiled.plan, run.records)]
    assert ("missed", "Lights 5 missed: the run ended") in told
    assert {kind for kind, _ in told} == {"missed"}


def test_standbys_never_called_and_called_late_are_counted_for_their_caller():
    run = Played(two_songs())  # every cue wants its standby at least 8 s before its go
    run.go(0)
    run.at(5, c.Standby("x", ("b", "v1")))
    run.go(10)  # 5 s after its standby: hurried
    run.at(15, c.Standby("y", ("look",)))
    run.go(20)  # by eye, and so when it comes
    run.at(22, c.Standby("z", ("m1",)))
    run.at(23, c.Unsay("z", ("m1",)))
    run.at(29, c.Clear("path", True, None, "Moves"))
    run.go(30, confirmed=True)  # taken back: never called
    run.at(35, c.Handover("Bo"))
    run.go(40.1)
    run.at(60, c.End("over"))
    ada, bo = scores(run.compiled.plan, run.records)
    assert (ada.caller, ada.unsaid, ada.hurried) == ("Ada", 2, 1), "the first go of all had none either"
    assert (bo.caller, bo.unsaid, bo.hurried) == ("Bo", 1, 0)
    assert bo.spread_s is None


def test_near_is_about_gos_that_stood_and_neither_of_cues_nor_of_what_is_automatic():
    run = Played(two_songs())
    run.go(0)
    run.go(13.5)  # Lights 2 and Video 1, 3.5 s late: a slip of the finger
    run.at(14, c.Back())
    run.go(10 + 4.2)  # given again: 4.2 s late is what stood
    run.at(40, c.End("over"))
    (score,) = scores(run.compiled.plan, run.records)
    assert (score.goes, score.near) == (1, 0), "the one go that stood; an item's start is not judged"
    assert score.worst_s == pytest.approx(4.2)
    lights, video, *_ = department_stats(cue_table(run.compiled.plan, run.records))
    assert (lights.goes, video.goes, video.taken_back) == (2, 1, 1)
    assert lights.worst_s == video.worst_s == pytest.approx(4.2)
    assert lights.median_error_s == pytest.approx(4.2), "without the 3.5 that was taken back"
    automatic = [e for r in run.records for e in r.events if isinstance(e, ev.Fired) and e.by == "itself"]
    assert automatic, "some fired by themselves, and none of them is counted"


def test_a_go_repeated_after_a_jump_back_stood_both_times():
    run = Played(two_songs())
    run.go(0)
    run.go(10)
    run.at(12, c.Jump("first", cue_up=True))
    run.go(20)
    run.go(30.4)
    run.at(40, c.End("over"))
    (score,) = scores(run.compiled.plan, run.records)
    assert score.goes == 2, "and two starts"


def test_a_wrong_go_marked_twice_is_one_in_every_list_until_it_is_given_again():
    run = Played(two_songs())
    run.go(0)
    run.go(10)
    run.at(11, c.Wrong())
    run.at(12, c.Wrong())
    plan = run.compiled.plan

    def counts():
        marked = [s for s in slips(plan, run.records) if s.kind == "wrong"]
        told = [n for n in notable(plan, run.records) if n.kind == "wrong go"]
        return len(marked), len(told), scores(plan, run.records)[0].wrong

    assert counts() == (1, 1, 1)
    run.at(13, c.Back())
    run.go(14)
    run.at(15, c.Wrong())
    assert counts() == (2, 2, 2), "given again, and wrong again"
