"""The last note and the house lights: presses of their own, and what the end of a show is counted from."""

from datetime import UTC, datetime

import pytest
from books import book_of
from played import WALL0_NS, Played
from small_shows import cue, item, show, two_songs

from showcaller.calling.status_view import figures
from showcaller.calling.taking_back import last_act
from showcaller.review.notable import notable
from showcaller.review.timeline import last_note_ns, make_timeline
from showcaller.review.waterfall import waterfall
from showcaller.review.words import summary_sentence
from showcaller.run import commands as c
from showcaller.timing.forecast import Forecast

NS = 1_000_000_000


def played():
    """Every go given, one every 20 s from the tenth second on."""
    run = Played(show([item("one", 60, [cue("a", "1", 20)]), item("two", 90, [])]))
    for n in range(3):
        run.go(10 + 20 * n)
    assert run.state.place.item == len(run.compiled.items)
    return run


def test_the_end_is_the_last_note_not_when_end_was_typed():
    run = played()
    run.at(300, c.MarkMoment("last note"))
    run.at(330, c.MarkMoment("house lights"))
    run.at(900, c.End("over"))
    timeline = make_timeline(run.records)
    assert timeline.end_ns == 300 * NS
    assert timeline.by_last_note
    fall = waterfall(run.compiled.plan, run.records, planned_start_wall_ns=WALL0_NS)
    assert fall.end_wall_ns == WALL0_NS + 300 * NS
    assert fall.total_ns == fall.end_wall_ns - fall.planned_end_wall_ns, "every second keeps its owner"
    assert summary_sentence(fall, UTC).startswith("last note ")
    assert [n.words for n in notable(run.compiled.plan, run.records) if n.kind == "moment"] == [
        "last note", "house lights",
    ]  # fmt: skip


def test_an_encore_after_it_makes_the_end_later_again():
    run = played()
    run.at(300, c.MarkMoment("last note"))
    run.at(320, c.Insert("Encore"))
    assert last_note_ns(run.records) is None
    run.at(500, c.MarkMoment("last note"))
    run.at(900, c.End("over"))
    assert make_timeline(run.records).end_ns == 500 * NS


def test_a_press_by_mistake_is_taken_back_and_counts_for_nothing():
    run = played()
    run.at(300, c.MarkMoment("last note"))
    act = last_act(book_of(run))
    assert act is not None
    assert act.words == "last note"
    run.at(301, act.undo)
    run.at(900, c.End("over"))
    assert make_timeline(run.records).end_ns == 900 * NS
    assert not make_timeline(run.records).by_last_note


@pytest.mark.parametrize(
    ("given", "says"),
    [
        (c.MarkMoment("bow"), "mark last note or house lights"),
        (c.MarkMoment("last note", undo=True), "nothing to take back"),
    ],
)
def test_what_cannot_be_marked_is_refused(given, says):
    assert says in played().refusal(250, given)
    assert "has not begun" in Played(two_songs()).refusal(1, c.MarkMoment("last note"))


def test_the_strip_says_whether_the_curfew_was_made_by_it():
    run = played()
    run.at(300, c.MarkMoment("last note"))
    found = figures(book_of(run), 400 * NS, WALL0_NS + 400 * NS, Forecast(0.0, 0.0, 0.0, None, None, None))
    last = found[-1]
    assert last.label == "last note"
    assert "curfew" in last.note
    at = datetime.fromtimestamp((WALL0_NS + 300 * NS) / 1e9).astimezone()
    assert last.value == f"{at:%H:%M:%S}"
    assert found[0].value == "4:50", "the show's length stands still"
