"""The wall's form: every line can be typed as it stands, and what is typed otherwise changes that alone."""

import pytest
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
        ("wall.size", "big", "type the wall's width and height, such as 8.5 m, 172 ft, 8'6\""),
        ("wall.channels", "many", "processing channels: type 0 to 512"),
        ("wall.white", "0", "peak white: type 1 to 100000"),
        ("input.in-a", "Port side", "an input: type name: width x height at left, top"),
        ("inputs", "0 x 3", "inputs: type how many across x down, such as 4 x 1"),
        ("source.cam-1", "", "it is in “Wide”, “One face”; take it out of these looks first"),
        ("source+", "Sea", "a source: type name: camera, clip"),
        ("grade.cam-1", "sharp 2", "a grade: type black 2 %"),
        ("grade.cam-1", "black 40 %, white 45 %", r"grade: white \(0.45\) must be at least 0.1 above black"),
        ("lengths", "yards", "lengths are shown in metres or in feet"),
    ],
)
def test_what_means_nothing_is_refused_in_a_sentence(key: str, text: str, why: str) -> None:
    with pytest.raises(ChangeError, match=why):
        setup_change(SHOW, key, text)
