"""Faults across a tour: carried over until mended, counted by night."""

from showcaller.review.faults import FaultHistory, fault_history
from showcaller.review.trend import trend
from showcaller.run.events import FaultMarked


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
    assert found.open == {(3, 5): "dead", (9, 1): "dim", (3, 4): "dead"}
    back = found.panels[0]
    assert (back.panel, back.marked, back.mended, back.nights, back.what) == ((3, 4), (1, 4), (3,), 4, "dead")
    assert found.sentence == (
        "3 faulty after the last of 4 nights, 2 after the first; 1 came back after being mended."
    )


def test_its_points_go_into_the_trend_chart() -> None:
    found = fault_history(NIGHTS)
    assert trend(found.new).centre == 1.0


def test_a_tour_without_faults() -> None:
    assert fault_history([]) == FaultHistory()
    assert fault_history([(1, 1, [])]).sentence.startswith("0 faulty")
