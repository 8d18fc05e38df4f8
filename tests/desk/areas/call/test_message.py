"""What is asked over the box is read whole: no band, no box and no page is ever painted over a word of it."""

import pytest
from test_box import CAUTION, STATES
from watched_paper import Watched

from showcaller.desk.areas.call.centre import CentreSheet
from showcaller.desk.keys import Keys
from showcaller.desk.qt import QImage, QPainter
from showcaller.desk.told import Prompted
from showcaller.run.runbook import Said
from showcaller.values import replace

EARLY = Prompted("S again to call it 0:56 early", "Standby Lights 42, Video 16, Sound 8, Followspots 2 and 3")
NOT_CLEAR = Prompted("withdrawn", "Lift path: NOT CLEAR (Crane spotter, deck left)", "missed")
LONG = Prompted("not clear · again ticks it all the same", CAUTION)
TYPING = "typing: keys call nothing · Esc leaves: G then fires Lights 42, Video 16 — go"
SIZES = [(1024, 600), (1280, 720), (1920, 1080), (2560, 1440)]


def drawn(size, asked, state="three", typing="", looping="", watch="", paged=False):
    """The centre as it is at a window of this size."""
    k = max(0.6, min(size[0] / 1920, size[1] / 1080))
    width, height = size[0] - 848 * k, size[1] - 188 * k
    sheet = CentreSheet(Keys())
    sheet.show_view(STATES[state], [Said("Lights 41", None, True)] * 2, "bar 69 / 1")
    sheet.asked, sheet.typing, sheet.looping, sheet.watch, sheet.paged = asked, typing, looping, watch, paged
    image = QImage(int(width), int(height), QImage.Format.Format_RGB32)
    painter = QPainter(image)
    paper = Watched(painter, width, height, k)
    sheet.draw(paper)
    painter.end()
    return sheet, paper


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("asked", [EARLY, NOT_CLEAR, LONG], ids=["early", "not clear", "long"])
@pytest.mark.parametrize("state", ["one", "five, go", "hazard blocked"])
@pytest.mark.parametrize(
    "over",
    [{}, {"typing": TYPING}, {"looping": "vamp: Break until Shift+O"}, {"watch": "you watch"},
     {"paged": True}, {"paged": True, "typing": TYPING}],
    ids=["alone", "typing", "vamp", "watch", "page", "page, typing"],
)  # fmt: skip
def test_every_word_of_a_message_is_free_at_every_size(qapp, size, asked, state, over):
    sheet, paper = drawn(size, asked, state, **over)
    words = [words for words, _ in paper.said]
    assert asked.heading.upper() in words
    start = words.index(asked.heading.upper()) + 1
    told = ""
    while told != asked.words:
        told = f"{told} {words[start]}".strip().replace("\u00a0", " ")
        assert asked.words.startswith(told)
        start += 1
    mine = set(words[:start])
    assert not [hit for hit in paper.over if hit[0] in mine]
    feet = [place.bottom() for _, place in paper.said[:start]]
    assert max(feet) < sheet.below_px
    assert all(place.right() <= paper.width for _, place in paper.said[:start])


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("over", [{}, {"typing": TYPING}, {"paged": True}], ids=["alone", "typing", "page"])
def test_a_usual_message_comes_and_goes_without_moving_the_box(qapp, size, over):
    short = replace(EARLY, words="Standby Lights 42")
    assert drawn(size, short, "one", **over)[0].below_px == drawn(size, None, "one", **over)[0].below_px
