"""What stands in the box, and that all of it can be read: every state at every size, nothing cut."""

import pytest
from small_shows import two_songs

from showcaller.calling.caller_view import CallView
from showcaller.calling.rungs import Rung, Sign
from showcaller.desk.areas.call import box
from showcaller.desk.areas.call.box_words import BoxState, box_words, typing_words
from showcaller.desk.areas.call.centre import SAY_SIZES, CentreSheet
from showcaller.desk.keys import Keys
from showcaller.desk.paint.paper import Paper, metrics
from showcaller.desk.qt import QImage, QPainter
from showcaller.desk.told import Prompted
from showcaller.values import replace

DEPARTMENT = two_songs().departments[0]
CAUTION = (
    "Stand clear of the lift; confirm with the deck carpenter that nobody is in the pit and that the gate is "
    "shut, then the second key."
)
BEATS = tuple(60 / 120 * n for n in (4, 3, 2, 1))


def rung(what, text, in_s, signs=1, **more):
    usual = {"takes_s": 1.8, "firm": True, "cues": ("c",), "go": "g" if what == "go" else None}
    return Rung(
        id=text, what=what, text=text, in_s=in_s, signs=(Sign(DEPARTMENT, True),) * signs, **usual | more
    )


def view(now, **more):
    return CallView("running", now=now, next_go=now if now.what == "go" else GO, **more)


GO = rung("go", "Lights 42, Video 16 — go", 2.6, 2, does="first voice; pick up Wren, stage right")
FIVE = "Lights 12, Video 8, Sound 4, Automation 6, Followspots 2 and 3"
HAZARD = rung("go", "Automation 6 — go", 5.0, hazard=CAUTION)
STATES = {
    "one": view(rung("go", "Lights 42 — go", 2.6)),
    "three": view(rung("go", "Lights 42, Video 16, Sound 8 — go", 7.4, 3), waiting=("Video",)),
    "five, standby": view(rung("standby", f"Standby {FIVE}", 3.1, 5)),
    "five, go": view(
        rung("go", f"{FIVE} — go", 1.2, 5, does="all to the bridge; the ferry lamp; strings up")
    ),
    "hazard": view(HAZARD),
    "hazard blocked": view(replace(HAZARD, waits=("Pit clear", "Lift path"))),
    "by eye": view(rung("go", "Followspots 12 — go", 140, firm=False, sees="she lifts the lamp, left hand")),
    "late": view(replace(GO, in_s=-3.0), missed=True),
    "late standby": view(GO, unsaid=("Standby Lights 42, Video 16",), missed_cues=("Lights 41.5",)),
    "beats": view(replace(GO, in_s=1.2, beats_s=BEATS)),
    "now": view(replace(GO, in_s=-0.1, beats_s=BEATS)),
    "after a vamp": view(rung("standby", f"Standby {FIVE}", 40, 5, firm=False, vamp=True)),
    "held": CallView("held", now=GO, next_go=GO, held_s=12, hold_reason="Riser three is not locked"),
    "none open": CallView("idle"),
    "over": CallView("ended", done=True),
}
ARMED = Prompted("hazard · U fires Automation 6", CAUTION, "missed", True)
REFUSED = "Automation 6 needs 'Pit clear': waiting for Deck carpenter; 'Lift path': withdrawn by Moves"


def words_of(name, **more):
    return box_words(STATES[name], BoxState(Keys(), **more))


def said_in(words):
    return " ".join([words.heading, words.count, words.sees, words.line, words.does, words.foot])


@pytest.mark.parametrize("size", [(1024, 600), (1280, 720), (1920, 1080), (2560, 1440)])
@pytest.mark.parametrize("name", STATES)
@pytest.mark.parametrize("more", [{}, {"asked": ARMED}, {"refused": REFUSED}], ids=["", "armed", "refused"])
def test_no_word_of_the_box_is_cut_at_any_size(qapp, name, size, more):
    k = max(0.6, min(size[0] / 1920, size[1] / 1080))
    width = size[0] - 848 * k - 44 * k
    image = QImage(10, 10, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    words = words_of(name, place="bar 69 / 1", **more)
    laid = box.lay(Paper(painter, width, size[1], k), words, width, 1.0)
    painter.end()
    room = width - 2 * 28 * k
    whole = lambda parts: " ".join(parts).replace("\u00a0", " ")  # noqa: E731 - said once
    assert whole(part for part, said in laid.lines if said) == words.line
    assert whole(part for part, said in laid.lines if not said) == words.sees
    assert whole(laid.does) == words.does
    assert whole(laid.foot) == words.foot
    for part, said in laid.lines:
        measures = metrics(laid.size_px, "bold" if said else "medium")
        assert measures.horizontalAdvance(part) <= room or " " not in part
    assert laid.size_px >= 27 * k, "the line is never the smallest text on the screen"


@pytest.mark.parametrize("size", [(1024, 600), (1280, 720), (1920, 1080), (2560, 1440)])
def test_what_a_hazard_waits_for_is_at_full_size_however_much_it_is(qapp, size):
    k = max(0.6, min(size[0] / 1920, size[1] / 1080))
    width = size[0] - 848 * k - 44 * k
    needs = ("Crane zone clear", "Gust at the crane head", "Effects technician's yes")
    image = QImage(10, 10, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paper = Paper(painter, width, size[1], k)
    words = box_words(view(replace(HAZARD, waits=needs)), BoxState(Keys()))
    laid = box.lay(paper, words, width, 1.0)
    painter.end()
    assert " ".join(laid.head).replace("\u00a0", " ") == words.heading.upper().replace(" · ", " ", 1)
    for line in laid.head[:-1]:
        assert metrics(paper.size("body"), "semibold").horizontalAdvance(line) * 1.09 <= width - 2 * 28 * k


def test_a_long_standby_is_written_at_full_size_on_more_lines(qapp):
    image = QImage(10, 10, QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paper = Paper(painter, 1072, 1080, 1.0)
    laid = box.lay(paper, words_of("five, standby"), 1028, 1.0)
    assert (len(laid.lines), laid.size_px) == (3, paper.size("say"))
    assert box.lay(paper, words_of("one"), 1028, 1.5).size_px == 1.5 * paper.size("say")
    painter.end()


def test_now_looks_like_nothing_else():
    assert words_of("now").lit
    assert words_of("now").heading == "call go now"
    assert not any(words_of(name).lit for name in STATES if name != "now")
    assert words_of("beats").heading == "call go in"


def test_what_waits_for_the_end_of_a_vamp_gives_no_definite_time():
    words = words_of("after a vamp")
    assert (words.heading, words.count) == ("after the vamp · soonest in", "0:40")


def test_the_last_beats_are_counted():
    assert words_of("beats").beats == 2  # 1.2 s before it at 120: two of four have been
    at = [
        box_words(view(replace(GO, in_s=s, beats_s=BEATS)), BoxState(Keys())).beats for s in (2.1, 1.9, 0.4)
    ]
    assert at == [None, 1, 4]


def test_a_blocked_hazard_says_how_the_music_goes_on():
    foot = words_of("hazard blocked").foot
    assert "X X skips it, so the next go is free; Shift+V overrides, with a name" in foot
    assert words_of("hazard blocked").heading.startswith(
        "hazard: G, then U · waiting for Pit clear, Lift path"
    )


def test_by_eye_the_picture_is_in_the_line_and_when_about():
    words = words_of("by eye")
    assert (words.sees, words.count, words.heading) == (
        "she lifts the lamp, left hand",
        "about 2:20",
        "watch for",
    )


def test_a_standby_never_said_is_a_mark_on_its_go():
    words = words_of("late standby")
    assert words.foot.startswith("standby not called: Standby Lights 42, Video 16")
    assert words.foot_tone == "caution"


def test_a_held_show_says_both_ways_on():
    assert words_of("held").foot.startswith("P resumes, Q as if never held, Shift+P: give the reason")


def test_every_key_is_the_one_in_use():
    keys = Keys({"go": "F9", "confirm": "F12", "skip": "F11"})
    words = box_words(STATES["hazard blocked"], BoxState(keys))
    assert words.heading.startswith("hazard: F9, then F12")
    assert "F11 F11 skips it" in words.foot
    assert typing_words(STATES["one"], keys) == (
        "typing: keys call nothing · Esc leaves: F9 then fires Lights 42 — go"
    )


def test_what_is_typed_under_says_what_the_go_would_really_do():
    keys = Keys({})
    assert typing_words(STATES["hazard"], keys).endswith(f": G then arms {HAZARD.name}, U fires it")
    assert typing_words(STATES["hazard blocked"], keys).endswith("waits for Pit clear, Lift path")
    assert typing_words(STATES["held"], keys).endswith("Esc leaves")


def test_the_line_to_say_can_be_set_larger_and_smaller(qapp):
    sheet = CentreSheet(Keys())
    for _ in range(9):
        sheet.resize_line(1)
    assert sheet.say == SAY_SIZES[-1]
    for _ in range(9):
        sheet.resize_line(-1)
    assert sheet.say == SAY_SIZES[0]


def test_a_desk_that_watches_shows_no_green(qapp):
    sheet = CentreSheet(Keys())
    sheet.show_view(STATES["now"], [], "")
    assert sheet.words().lit
    sheet.watch = "you watch"
    assert (sheet.words().tone, sheet.words().lit, sheet.words().bar) == ("quiet", False, None)
    assert said_in(sheet.words())
