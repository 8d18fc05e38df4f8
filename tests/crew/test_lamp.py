"""The cue light: red means standby, green means go (as on the lights beside every stage; common practice)."""

from books import book_of
from played import Played
from small_shows import two_songs

from showcaller.crew.outline import outline_of
from showcaller.crew.page_state import department_lamp
from showcaller.crew.positions import Position
from showcaller.run import commands as c
from showcaller.run.compiled import NS
from showcaller.run.cue_light import GO_SHOWN_S


def lamp(run, department, t_s):
    book = book_of(run)
    mine = outline_of(book, Position("", "", department))
    return department_lamp(book, department, mine, round(t_s * NS))


def begun():
    run = Played(two_songs())
    run.go(0)
    return run


def test_it_is_off_until_a_standby_and_red_until_the_go():
    run = begun()
    assert lamp(run, "video", 5).shows == "off"
    run.at(6, c.Standby("first:standby:b", ("b", "v1")))
    asked = lamp(run, "video", 6)
    assert (asked.shows, asked.standby, asked.answered) == ("standby", ("v1",), False)
    run.at(7, c.StandBy("video", "Video · Kim"))
    assert lamp(run, "video", 7).answered
    assert not lamp(run, "lights", 7).answered
    assert lamp(run, "moves", 7).shows == "off"


def test_a_go_is_green_for_its_time_and_then_off():
    run = begun()
    run.at(6, c.Standby("first:standby:b", ("b", "v1")))
    run.go(10)
    gone = lamp(run, "video", 10)
    assert (gone.shows, gone.went, gone.until_ns) == ("go", ("v1",), round((10 + GO_SHOWN_S) * NS))
    assert lamp(run, "video", 10 + GO_SHOWN_S - 0.01).shows == "go"
    assert lamp(run, "video", 10 + GO_SHOWN_S).shows == "off"


def test_a_go_without_a_standby_is_green_too_and_what_fires_by_itself_is_no_go():
    run = begun()
    assert lamp(run, "lights", 0.1).went == ("a",)
    run.go(10)
    assert lamp(run, "lights", 10.5).went == ("b",)
    run.at(15.1)  # e fires by itself at 15
    assert lamp(run, "lights", 15.1).shows == "off"


def test_a_standby_called_after_the_go_takes_its_place_and_one_from_before_comes_back():
    run = begun()
    run.at(5, c.Standby("l1", ("b",)), c.Standby("l2", ("look",)))
    run.go(10)
    assert lamp(run, "lights", 10.5).shows == "go"
    assert lamp(run, "lights", 10 + GO_SHOWN_S).shows == "standby"
    run.at(11, c.Standby("l3", ("f",)))
    assert lamp(run, "lights", 11.1).shows == "standby"
    assert lamp(run, "lights", 11.1).standby == ("look", "f")


def test_a_go_that_is_taken_back_is_no_go():
    run = begun()
    run.go(10)
    run.at(11, c.Back())
    assert lamp(run, "video", 11).shows == "off"


def test_a_standby_that_is_taken_back_puts_the_light_out_and_so_does_the_end():
    run = begun()
    run.at(6, c.Standby("l1", ("v1",)))
    run.at(7, c.Unsay("l1", ("v1",)))
    assert lamp(run, "video", 7).shows == "off"
    run.at(8, c.Standby("l1", ("v1",)))
    assert lamp(run, "video", 8).shows == "standby"
    run.at(9, c.End())
    assert lamp(run, "video", 9).shows == "off"


def test_who_has_no_department_has_no_light():
    assert lamp(begun(), "", 0.1).shows == "off"
