"""How a delay is typed, and that its key puts it into the run."""

import pytest
from desk_keys import after_gap, answer, chord, events
from PySide6.QtCore import Qt

from showcaller.desk.delaykeys import announced_s


@pytest.mark.parametrize(
    ("typed", "seconds"),
    [("20", 1200), ("20 min", 1200), ("0", 0), ("until 21:40", 1199), ("21:40", 1199), ("0:10", 10_199),
     ("soon", None), ("21:75", None), ("", None)],
)  # fmt: skip
def test_how_a_delay_is_typed(typed, seconds):
    assert announced_s(typed, "21:20:01") == seconds


def test_its_key_puts_it_over_the_box_and_into_the_end_and_nought_takes_it_back(qtbot, live):
    shift = Qt.KeyboardModifier.ShiftModifier
    chord(live, Qt.Key.Key_D, shift)
    answer(qtbot, live, "soon")
    assert "type minutes such as 20" in live.prompt._hint.text()
    live.prompt._edit.clear()
    answer(qtbot, live, "20")
    qtbot.waitUntil(lambda: live.host.book.state.delay_until_ns is not None)
    assert events(live, "delay")[0].by == "Ines"
    assert live.calls.banner(live.host.session).startswith("delay announced to ")
    after_gap(qtbot)
    chord(live, Qt.Key.Key_D, shift)
    answer(qtbot, live, "0")
    qtbot.waitUntil(lambda: live.host.book.state.delay_until_ns is None)
    assert live.calls.banner(live.host.session) == ""
