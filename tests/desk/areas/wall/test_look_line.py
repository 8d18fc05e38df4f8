"""A look typed in one line: what is on it, where, from which bar, how it comes."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from surface_show import surface_show
from wall_show import wall_show

from showcaller.desk.areas.wall.covering import covered, part_named
from showcaller.desk.areas.wall.grips import Box, input_box
from showcaller.desk.areas.wall.look_line import layers_words, read_layers, read_look
from showcaller.editing import ChangeError
from showcaller.model import Layer
from showcaller.model.media import FileFacts
from showcaller.screen.geometry import natural_aspect

SHOW = wall_show()
WALL = SHOW.surfaces[0]
SOURCES = {s.id: s for s in SHOW.sources}


def lies(part: dict[str, Any]) -> tuple[float, ...]:
    return tuple(round(part.get(f, 0.0), 3) for f in ("left_m", "bottom_m", "width_m", "height_m"))


def test_a_look_with_its_bar_its_layers_and_its_transition() -> None:
    line = read_look(SHOW, WALL, "Chorus at 33: Sea, Gate camera left, Roof camera right, mix over 8")
    assert (line.name, line.place, line.how) == ("Chorus", "33", {"by": "mix", "beats": 8.0})
    assert line.layers is not None
    assert [x["source"] for x in line.layers] == ["sea", "cam-1", "cam-2"]
    assert [lies(x) for x in line.layers] == [
        (0, 0, 40, 10), (0, 0, 13.333, 10), (26.667, 0, 13.333, 10),
    ]  # fmt: skip
    assert layers_words(SHOW, line.layers[:2]) == (
        "Sea all over; Gate camera 13.333 × 10.00 m at 0.00, 0.00 m"
    )


def test_what_stands_behind_a_source_is_that_layers() -> None:
    text = (
        "Close: Gate camera left half, posterize 4, tint #102A43 #FFB347, Roof camera, right half, 70 %, "
        "grow over 4 after 8; mix over 4 slow end"
    )
    line = read_look(SHOW, WALL, text)
    assert line.layers is not None
    one, two = line.layers
    assert [t["kind"] for t in one["treatments"]] == ["posterize", "tint"]
    assert (two["opacity"], two["arrives"], two["arrives_over"], two["arrives_after"]) == (0.7, "grow", 4, 8)
    assert (lies(one)[0], lies(two)[0]) == (0, 20)
    assert line.how == {"by": "mix", "beats": 4.0, "ease": "slow end"}


@pytest.mark.parametrize(
    ("text", "name", "place"),
    [
        ("chorus at 33/3", "chorus", "33/3"),
        ("chorus at bar 33", "chorus", "33"),
        ("chorus at 1:20", "chorus", "1:20"),
        ("chorus at 1:20: Sea", "chorus", "1:20"),
        ("chorus at 33:Sea", "chorus", "33"),
        ("Live at Harbour", "Live at Harbour", ""),
        ("Take 5", "Take 5", ""),
    ],
)
def test_a_name_and_where_the_look_comes(text: str, name: str, place: str) -> None:
    line = read_look(SHOW, WALL, text)
    assert (line.name, line.place) == (name, place)
    assert (line.layers is None) == ("Sea" not in text)


def test_a_source_may_be_named_by_a_part_and_options_need_no_comma() -> None:
    (one,) = read_layers(SHOW, WALL, "gate right grow over 4 after 2", ())
    assert (one["source"], lies(one), one["arrives"]) == ("cam-1", (26.667, 0, 13.333, 10), "grow")
    (two,) = read_layers(SHOW, WALL, "Sea on A to B, from 0:04, at 150 %, hold", ())
    assert lies(two) == (0, 0, 20, 10)
    assert two["plays"] == {"in_s": 4.0, "speed": 1.5, "at_end": "hold"}


@pytest.mark.parametrize(
    ("text", "why"),
    [
        (": Sea", "a look needs a name"),
        ("x: camera left", "'camera' may be Gate camera, Roof camera, Hand camera; type more of its name"),
        ("x: Sea lefft", "Sea: 'lefft' means nothing there; type and where: all, left, middle"),
        ("x: tides", "no source is called 'tides'; there are Gate camera"),
        ("x: Sea, mix", "say over how many beats: mix 8"),
        ("x: Sea, mix 8, cut", "'mix 8' and 'cut': a look comes in one way"),
        ("x at -3: Sea", "there is no bar -3; bars and beats count from 1"),
        ("at 33: Sea", "a look needs a name, before at and before the colon"),
        ("x: Sea, posterize 99", "levels"),
        ("x: Gate camera left, direct", "Gate camera cannot go direct"),
        ("x: Sea, flip sideways", "flip: type none, across, down or both; not 'sideways'"),
    ],
)
def test_what_means_nothing_is_said(text: str, why: str) -> None:
    with pytest.raises(ChangeError) as error:
        read_look(SHOW, WALL, text)
    assert why in str(error.value)


def test_the_first_layer_fills_an_empty_look_and_later_ones_lie_about_the_middle() -> None:
    first, second = read_layers(SHOW, WALL, "Sea, Gate camera", ())
    assert lies(first) == (0, 0, 40, 10)
    assert lies(second) == (13.333, 1.25, 13.333, 7.5)
    there = [Layer.model_validate(first)]
    (again,) = read_layers(SHOW, WALL, "Sea", there)
    assert (again["id"], lies(again)[2]) == ("sea-2", 13.333)


@given(st.floats(2, 60), st.floats(2, 30), st.integers(320, 4000), st.integers(320, 4000), st.floats(0.5, 2))
def test_whatever_covers_a_part_is_not_distorted(
    width: float, height: float, wide: int, high: int, pixel: float
) -> None:
    camera = SOURCES["cam-1"].changed(width_px=wide, height_px=high, pixel_aspect=pixel)
    layer = Layer(source="cam-1", left_m=0, bottom_m=0, width_m=1, height_m=1)
    made = Layer.model_validate({"source": "cam-1", **covered(Box(0, 0, width, height), layer, camera)})
    crop, shape = made.crop, natural_aspect(made, camera)
    assert (crop.left, crop.top) == (crop.right, crop.bottom)
    assert 0 in (crop.left, crop.top)
    left_of_it = 1 - 2 * max(crop.left, crop.top)
    # A crop is kept to a hundredth of a percent, which weighs more the less is left.
    assert made.width_m / made.height_m == pytest.approx(shape, rel=2e-4 / left_of_it)


def test_a_file_that_was_not_read_is_not_cut() -> None:
    clip = SOURCES["mark"].changed(kind="clip", media="tide.mp4")
    layer = Layer(source="mark", left_m=0, bottom_m=0, width_m=1, height_m=1)
    assert not any(covered(Box(0, 0, 40, 10), layer, clip)["crop"].values())
    facts = FileFacts(name="tide.mp4", width_px=1920, height_px=1080, codec="h264", mark="1-0123456789abcdef")
    assert covered(Box(0, 0, 40, 10), layer, clip.changed(file=facts))["crop"]["top"] == pytest.approx(0.2778)


def test_parts_of_a_wall_by_name() -> None:
    assert part_named(WALL, "left half") == part_named(WALL, "A to B") == Box(0, 0, 20, 10)
    assert part_named(WALL, "the lower half") == Box(0, 0, 40, 5)
    assert part_named(WALL, "C") == input_box(WALL, WALL.inputs[2]) == Box(20, 0, 10, 10)
    assert part_named(WALL, "somewhere") is None
    # 1000 px in three inputs: 333, 333 and 334; a third lies on the inputs' edges, not a sliver beside them.
    edges = (0, 333, 667, 1000)
    thirds = tuple(
        WALL.inputs[0].changed(id=f"t{n}", name=f"T{n}", x_px=edges[n], width_px=edges[n + 1] - edges[n])
        for n in range(3)
    )
    odd = WALL.changed(width_px=1000, inputs=thirds)
    assert part_named(odd, "middle") == input_box(odd, thirds[1])


def test_a_source_may_lie_on_a_further_surface() -> None:
    show = surface_show()
    main, other = show.surfaces[0], show.surfaces[1]
    line = read_look(show, main, f"Faces at 9: Gate camera, Roof camera on {other.name}, 70 %")
    assert line.layers is not None
    first, second = line.layers
    assert (first.get("surface"), second["surface"]) == (None, other.id)
    assert lies(second) == (0, 0, other.width_m, other.height_m)
    assert layers_words(show, line.layers).endswith(f"Roof camera all over {other.name}, 70 %")
    (half,) = read_layers(show, main, f"gate {other.name} lower half", ())
    assert (half["surface"], lies(half)[3]) == (other.id, round(other.height_m / 2, 3))
    # Where a surface was clicked, what names no surface lies there.
    (there,) = read_layers(show, other, "Gate camera", ())
    assert there["surface"] == other.id


def test_a_name_counts_before_an_id_that_nobody_sees() -> None:
    crane = SOURCES["mark"].changed(id="crane", name="Drawn crane")
    head = SOURCES["cam-3"].changed(id="cam-9", name="Crane head camera")
    show = SHOW.changed(sources=(*SHOW.sources, crane, head))
    with pytest.raises(ChangeError, match="'crane' may be Drawn crane, Crane head camera"):
        read_layers(show, WALL, "crane left", ())
    (one,) = read_layers(show, WALL, "crane head left", ())
    assert one["source"] == "cam-9"


def test_a_crop_that_distorts_is_read_back() -> None:
    parts = read_layers(SHOW, WALL, "gate left, crop left 20 %", ())
    assert "crop left 20 %, distorted: " in layers_words(SHOW, parts)


def test_what_people_called_an_input_comes_before_a_third() -> None:
    named = tuple(
        i.changed(name=n)
        for i, n in zip(WALL.inputs, ("Far left", "Left", "Right", "Far right"), strict=True)
    )
    wall = WALL.changed(inputs=named)
    assert part_named(wall, "left") == Box(10, 0, 10, 10)
    assert part_named(wall, "far left") == Box(0, 0, 10, 10)
    assert part_named(wall, "input Left") == part_named(wall, "input 2") == Box(10, 0, 10, 10)
    left_third = part_named(wall, "left third")
    assert left_third is not None
    assert left_third.width == pytest.approx(40 / 3)
