"""The strip at the foot of the other areas says what a go would do."""

from showcaller.calling.caller_view import CallView
from showcaller.calling.rungs import Rung
from showcaller.desk.keys import Keys
from showcaller.desk.nowbar import NowBar
from showcaller.values import replace

GO = Rung("m", "go", "Moves 1 — go", 0.2, 0.5, True, (), ("m",), go="m")


def shown(qtbot, rung):
    bar = NowBar(Keys())
    qtbot.addWidget(bar)
    bar.show_view(CallView("running", now=rung, next_go=rung), 0.0, None)
    return bar._words


def test_a_free_go_and_one_that_a_go_alone_will_not_fire(qtbot):
    assert shown(qtbot, GO) == ("go now", "Moves 1 — go", "accent")
    hazard = replace(GO, hazard="keep clear")
    assert shown(qtbot, hazard) == ("go now · hazard: G, then U", "Moves 1 — go", "caution")
    waits = replace(hazard, waits=("Crane zone clear",))
    heading, _, tone = shown(qtbot, waits)
    assert heading == "go now · hazard: G, then U · waiting for Crane zone clear"
    assert tone == "caution"
