"""Dead panels: named, lit by which looks, and dark for how long."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, document, item
from surface_show import surface_show
from walls import make_wall

from showcaller.model import Show, parse_show
from showcaller.screen.faults import (
    Panel,
    dark_windows,
    looks_lighting,
    panel_at,
    panel_name,
    panel_named,
    panels_meant,
    panels_words,
    surface_names,
)
from showcaller.timing.plan import compile_plan

WALL = make_wall([1000, 1000], 1000)  # 40 × 20 panels of 50 px


def a_show() -> Show:
    """Half an hour: the left is lit for a song, dark in the next, both halves lit at the end."""
    wall = json.loads(WALL.model_dump_json())
    left = {"source": "cam", "left_m": 0, "bottom_m": 0, "width_m": 10, "height_m": 10}
    looks = [
        {"id": "left", "name": "Left", "layers": [left]},
        {"id": "right", "name": "Right", "layers": [{**left, "left_m": 10}]},
        {"id": "both", "name": "Both", "layers": [{**left, "width_m": 20}]},
        {"id": "faint", "name": "Faint", "layers": [{**left, "opacity": 0}]},
    ]
    items = [
        item("one", 600, [cue("a", "1", 0, "video", look={"look": "left"})]),
        item("two", 900, [cue("b", "2", 60, "video", look={"look": "right", "by": "mix", "beats": 8})]),
        item("three", 300, [cue("c", "3", 30, "video", look={"look": "both"})]),
    ]
    sources = [{"id": "cam", "name": "Cam", "kind": "camera"}]
    return parse_show(json.dumps(document(items, wall=wall, sources=sources, looks=looks)))


@given(st.integers(1, 40), st.integers(1, 20))
def test_a_panel_is_found_by_its_name_and_by_its_figures(column: int, row: int) -> None:
    name = panel_name((column, row))
    assert panel_named(WALL, name.lower()) == Panel(column, row)
    assert panel_named(WALL, f" {column}, {row}") == Panel(column, row)
    assert panel_at(WALL, column * 50 - 25, row * 50 - 25) == Panel(column, row)


@pytest.mark.parametrize(("name", "panel"), [("A1", (1, 1)), ("Z20", (26, 20)), ("AA3", (27, 3))])
def test_columns_are_letters_as_in_a_sheet(name: str, panel: tuple[int, int]) -> None:
    assert panel_name(panel) == name


def test_what_stands_together_is_said_together() -> None:
    strip = {Panel(20, row): "flickering" for row in range(1, 11)}
    assert panels_words({Panel(3, 2): "dead", **strip, Panel(20, 12): "flickering"}) == (
        "C2 dead, T1 to T10 flickering, T12 flickering"
    )


@pytest.mark.parametrize("text", ["", "C", "4", "C4x", "AO1", "A21", "0,1", "1,0", "A0"])
def test_what_is_no_panel_says_what_would_do(text: str) -> None:
    said = panel_named(WALL, text)
    assert isinstance(said, str)
    assert "C4" in said or "A1 to AN20" in said


def test_looks_that_light_a_panel() -> None:
    show = a_show()
    assert [k.id for k in looks_lighting(show, [Panel(1, 1)])] == ["left", "both"]
    assert [k.id for k in looks_lighting(show, [Panel(1, 1), Panel(40, 20)])] == ["left", "right", "both"]


def test_windows_begin_when_the_mix_is_over_and_end_at_the_next_light() -> None:
    windows = dark_windows(compile_plan(a_show()), [Panel(1, 1)], least_s=300)
    # No tempo: eight beats are four seconds, so the left is dark from 1:04 of the second item.
    assert [(w.start_s, w.end_s) for w in windows] == [(664, 1530)]
    assert windows[0].words == "Two 1:04 to Three 0:30"
    right = dark_windows(compile_plan(a_show()), [Panel(40, 1)], least_s=300)
    assert [(w.start_s, w.end_s) for w in right] == [(0, 660)]
    assert dark_windows(compile_plan(a_show()), [Panel(1, 1), Panel(40, 1)], least_s=1) == ()
    assert dark_windows(compile_plan(a_show()), [], least_s=1) == ()


def test_a_panel_of_a_further_surface_is_named_lit_and_dark_there() -> None:
    show = surface_show()
    names = surface_names(show)
    wall, panel, rows = panels_meant(show, "Side left B3")
    assert (wall.id, panel, rows) == ("left", Panel(2, 3, "left"), 1)
    assert panels_meant(show, "strip side left: B")[1:] == (Panel(2, 1, "left"), 8)
    assert panels_meant(show, "C4")[1] == Panel(3, 4)
    assert "off Side left, whose 6 × 8 panels are A1 to F8" in panels_meant(show, "side left Z9")
    assert "one of Side left or Side right or Banner: its name first" in panels_meant(show, "nothing")
    marked = {panel: "dead", Panel(2, 4, "left"): "dead", Panel(1, 1): "dim"}
    assert panels_words(marked, names) == "Main wall A1 dim, Side left B3 to B4 dead"
    # The camera of “Wide” lies on the side from 1 to 5 m of its 8: rows 4 to 7 from the top.
    assert [k.id for k in looks_lighting(show, [Panel(2, 5, "left")])] == ["wide"]
    assert looks_lighting(show, [Panel(2, 1, "left")]) == ()
    assert [k.id for k in looks_lighting(show, [Panel(1, 1, "banner")])] == []
    assert [k.id for k in looks_lighting(show, [Panel(15, 1, "banner")])] == ["faces"]
    dark = dark_windows(compile_plan(show), [Panel(2, 5, "left")], least_s=1)
    assert dark
    assert dark != dark_windows(compile_plan(show), [Panel(2, 5)], least_s=1)
    assert dark_windows(compile_plan(show), [Panel(1, 1, "gone")], least_s=1) == ()
