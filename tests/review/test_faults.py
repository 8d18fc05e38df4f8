"""Faults across a tour: carried over until mended, counted by night."""

from showcaller.review.faults import FaultHistory, fault_history
from showcaller.review.moments import fault_words
from showcaller.review.trend import trend
from showcaller.run.events import FaultMarked
from showcaller.screen.faults import Panel
from showcaller.values import replace


def fault(*panels: tuple[int, int], mended: bool = False, what: str = "dead") -> FaultMarked:
    return FaultMarked(panels=panels, what=what, mended=mended, item="s", at_s=None, bar=None)


NIGHTS = [
    (1, 1, [fault((3, 4), (3, 5))]),
    (2, 1, []),
    (3, 2, [fault((3, 4), mended=True), fault((9, 1), what="dim")]),
    (4, 2, [fault((3, 4)), fault((7, 7), mended=True)]),
]


def test_a_fault_lasts_until_it_is_mended() -> None:
    found = fault_history(NIGHTS)
    assert [p.value for p in found.faulty] == [2, 2, 2, 3]
    assert [p.value for p in found.new] == [2, 0, 1, 1]
    assert found.open == {Panel(3, 5): "dead", Panel(9, 1): "dim", Panel(3, 4): "dead"}
    back = found.panels[0]
    assert (back.panel, back.marked, back.mended, back.nights, back.what) == (
        Panel(3, 4),
        (1, 4),
        (3,),
        4,
        "dead",
    )
    assert found.sentence == (
        "3 faulty after the last of 4 nights, 2 after the first; 1 came back after being mended."
    )


def test_its_points_go_into_the_trend_chart() -> None:
    found = fault_history(NIGHTS)
    assert trend(found.new).centre == 1.0


def test_a_tour_without_faults() -> None:
    assert fault_history([]) == FaultHistory()
    assert fault_history([(1, 1, [])]).sentence.startswith("0 faulty")


def test_panels_of_two_surfaces_are_told_apart() -> None:
    side = replace(fault((3, 4), what="dim"), surface="left")
    found = fault_history([(1, 1, [fault((3, 4)), side]), (2, 1, [replace(side, mended=True)])])
    assert found.open == {Panel(3, 4): "dead"}
    assert {p.panel for p in found.panels} == {Panel(3, 4), Panel(3, 4, "left")}
    assert fault_words(side, {"": "Main wall", "left": "Side left"}) == "Side left C4 dim"
