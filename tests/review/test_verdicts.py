"""Verdicts: where they lie, which one counts, and how often a place was judged so."""

from test_differences import night
from test_stood import COMPILED, PLAN

from showcaller.archive import Remark
from showcaller.review.clock_path import clock_path
from showcaller.review.verdicts import OPEN_AGAIN, TAKEN_BACK, in_force, judged, nights_words
from showcaller.run.compiled import NS


def said(t_s, kind, text="", n=0):
    return Remark(round(t_s * NS), kind, text or kind, "Bo", n)


def verdicts(run, *remarks):
    records = night((64, None))
    return judged(run, remarks, PLAN, clock_path(COMPILED, records))


def test_a_verdict_has_its_place_and_the_last_word_counts():
    (one, other) = verdicts(
        3, said(40, "good"), said(50, "note"), said(40, "bad", "late", 1), said(70, "idea", "crane", 2),
        said(70, "decided", "to Cy", 3),
    )  # fmt: skip
    assert (one.verdict, one.word, one.section, one.bar, one.at_s) == ("bad", "late", "Chorus 2", 21, 40.0)
    assert (other.verdict, other.settled) == ("idea", "to Cy")
    (again,) = verdicts(3, said(70, "idea"), said(70, "decided", "to Cy"), said(70, "decided", OPEN_AGAIN, 1))
    assert again.settled == ""


def test_bad_three_nights_running_is_said_and_a_good_night_breaks_it():
    tour = [*verdicts(1, said(41, "bad")), *verdicts(2, said(60, "bad")), *verdicts(4, said(50, "bad"))]
    last = tour[-1]
    assert nights_words(last, tour, (1, 2, 4)) == "bad three nights running"
    assert nights_words(last, tour, (1, 2, 3, 4)) == ""
    assert nights_words(tour[1], tour, (1, 2, 4)) == "bad two nights running"
    assert nights_words(verdicts(4, said(10, "bad"))[0], tour, (1, 2, 4)) == ""


def test_what_is_taken_back_is_the_last_verdict_there_and_the_one_before_stands_again():
    ada = Remark(5 * NS, "good", "hands in the air", "Ada", 0)
    bo = [Remark(5 * NS, "bad", text, "Bo", n) for n, text in enumerate(("bad", "a blur", "bad"), 1)]
    back = Remark(5 * NS, "decided", TAKEN_BACK, "Bo", 9)
    elsewhere = Remark(6 * NS, "idea", "idea", "Bo", 4)
    told = in_force([ada, *bo, back, elsewhere])
    assert told == [ada, elsewhere]
    assert in_force([*told, back]) == [elsewhere], "and once more, that one"
    assert in_force([back, elsewhere]) == [elsewhere], "nothing is there to take back"
    again = Remark(5 * NS, "good", "good", "Bo", 10)
    assert in_force([ada, *bo, back, again]) == [ada, again]
