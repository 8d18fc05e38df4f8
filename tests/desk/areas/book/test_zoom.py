"""The stretch of the item in view stays within it, whatever is asked for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.desk.areas.book.zoom import SHORTEST_S, Window, Zoom
from showcaller.desk.qt import QObject

STEPS = st.lists(
    st.one_of(
        st.tuples(st.just("closer"), st.floats(0.2, 5), st.floats(-50, 700)),
        st.tuples(st.just("scroll"), st.floats(-900, 900)),
        st.tuples(st.just("show"), st.floats(0, 600)),
        st.tuples(st.just("fit"), st.floats(3, 900)),
        st.tuples(st.just("whole")),
    ),
    max_size=12,
)


def test_closer_keeps_the_second_under_the_mouse_where_it_is():
    window = Window(0, 120).zoomed(4, 60, 120)
    assert window == Window(45, 30)
    assert window.moved(1000, 120) == Window(90, 30)
    assert (60 - window.start_s) / window.span_s == pytest.approx(60 / 120)


@given(steps=STEPS)
def test_what_is_in_view_lies_within_the_item(steps):
    owner = QObject()
    zoom = Zoom(owner)
    zoom.fit(600)
    for name, *values in steps:
        getattr(zoom, name)(*values)
        now = zoom.now
        assert now.start_s >= 0
        assert now.start_s + now.span_s <= zoom.length_s + 1e-6
        assert now.span_s >= min(SHORTEST_S, zoom.length_s) - 1e-6


def test_a_second_that_is_shown_is_in_view_and_the_whole_item_is_no_window():
    owner = QObject()
    zoom = Zoom(owner)
    told = []
    zoom.changed.connect(lambda: told.append(zoom.window))
    zoom.fit(600)
    zoom.closer(10, 0)
    zoom.show(500)
    assert zoom.now.start_s <= 500 <= zoom.now.start_s + zoom.now.span_s
    zoom.whole()
    zoom.closer(0.5, 10)
    assert zoom.window is None
    assert len(told) == 4
