"""The wall's form: every line can be typed as it stands, and what is typed otherwise changes that alone."""

import re

import pytest
from surface_show import surface_show
from wall_show import wall_show

from showcaller.editing import ChangeError, apply
from showcaller.model import Show
from showcaller.screen.setup.rows import setup_change, setup_rows, typed_text

SHOW = wall_show()


def typed(key: str, text: str, show: Show = SHOW) -> Show:
    changed, inverse = apply(show, setup_change(show, key, text)[1])
    assert apply(changed, inverse)[0] == show
    return changed


def test_every_line_typed_as_it_stands_changes_nothing() -> None:
    for row in setup_rows(SHOW, {}):
        if (
            row.key
            and row.key not in ("input+", "inputs", "source+", "surface+", "pool+")
            and not row.key.startswith("house")
        ):
            assert typed(row.key, typed_text(SHOW, row.key)) == SHOW, row.key


def test_the_wall_its_inputs_and_sources_are_typed_into() -> None:
    wide = typed("wall.size", "172 ft x 62 ft")
    assert wide.wall is not None
    assert (wide.wall.width_m, wide.wall.height_m) == (52.4256, 18.8976)
    assert typed_text(typed("lengths", "feet", wide), "wall.size") == "172' × 62'"
    thirds = typed("inputs", "3 x 1")
    assert [(i.name, i.width_px) for i in thirds.wall.inputs] == [("A", 1333), ("B", 1334), ("C", 1333)]  # type: ignore[union-attr]
    half = typed("wall.pixels", "2000 x 500")
    assert [(i.x_px, i.width_px, i.height_px) for i in half.wall.inputs] == [
        (n * 500, 500, 500) for n in range(4)
    ]  # type: ignore[union-attr]
    turned = typed("input.in-a", "Port side: 1000 x 1000 px at 0, 0; turned 90; cable 1920x1080").wall
    assert turned is not None
    first = turned.inputs[0]
    assert (first.id, first.name, first.rotation, first.raster_px) == ("in-a", "Port side", 90, (1920, 1080))
    assert typed("source+", "New sea: clip; 3500x875; holds").sources[-1].loops is False
    graded = typed("grade.cam-1", "black 2 %, white 95 %, gamma 1.1, saturation 90 %").sources[0].grade
    assert graded is not None
    assert (graded.black, graded.white, graded.gamma, graded.saturation) == (0.02, 0.95, 1.1, 0.9)
    assert typed("grade.cam-1", "none").sources[0].grade is None
    assert typed("file.cam-1", "media/a.mp4").sources[0].media == "media/a.mp4"


@pytest.mark.parametrize(
    ("key", "text", "why"),
    [
        ("wall.size", "big", "size: type width x height: 42 x 10.5 m, or 172 ft x 62 ft; not 'big'"),
        ("wall.channels", "many", "processing channels: type 0 to 512"),
        ("wall.white", "0", "peak white, cd/m²: type 1 to 100000"),
        ("input.in-a", "Port side", "a colon is missing after the name in 'Port side'; type name: width"),
        ("input.in-a", "Port: 875 x 875", "input Port: where it begins on the wall is missing"),
        ("input.in-a", "Port: 8 x 8 at 9999, 0", "input Port: 9999, 0 lies off .*, which is 4000 × 1000 px"),
        ("inputs", "0 x 3", "in equal parts: type how many across x down, .*such as 4 x 1"),
        ("source.cam-1", "", "Gate camera is in “Wide”, “One face”; take it out of these looks first"),
        ("source+", "New", "source: a colon is missing after the name in 'New'; type name: camera, clip"),
        ("source+", "Bad, banana, nofile", "source Bad: after its name comes camera, clip, .*; not 'banana'"),
        ("source+", "Bad: clip; nofile", "not 'nofile'. Its file goes into the line under it"),
        ("source+", "Sea: clip", "a source is called Sea already; type another name"),
        ("grade.cam-1", "sharp 2", "grade: type black 2 %"),
        ("grade.cam-1", "black 40 %, white 45 %", r"grade: white \(45 %\) must be at least 10 % above"),
        ("lengths", "yards", "lengths shown in: type metres, or feet and inches"),
    ],
)
def test_what_means_nothing_is_refused_in_a_sentence(key: str, text: str, why: str) -> None:
    with pytest.raises(ChangeError, match=why):
        setup_change(SHOW, key, text)


@pytest.mark.parametrize(
    "text", ["banana", "-1", "0 x 0", "99999999", "Bad, banana, nofile", "A: 0 x 0 m, 0 x 0 px"]
)
def test_no_refusal_speaks_in_the_names_of_the_schema(text: str) -> None:
    """Whatever is typed into whichever line is taken, or refused in the form's own words."""
    show = surface_show()
    for row in setup_rows(show, {}):
        if not row.key:
            continue
        try:
            _, change = setup_change(show, row.key, text)
            apply(show, change)
        except ChangeError as error:
            said = str(error)
            assert not re.search(r"input should|_(m|px|m2)\b|\[type|surfaces ", said), f"{row.key}: {said}"
            assert re.search(r"type|missing| is | to |may stand|comes|already", said), f"{row.key}: {said}"
