"""Looks as each surface has them, and the channels that surfaces share."""

from surface_show import surface_show
from wall_show import wall_show

from showcaller.model import Crop, Look, Override, Show
from showcaller.screen.looks import layer_keys, looks_of, overridden
from showcaller.screen.surfaces import look_on, looks_on, pool_of, pools_of
from showcaller.timing.plan import compile_plan

SHOW = surface_show()


def look(show: Show, ident: str) -> Look:
    return next(k for k in show.looks if k.id == ident)


def test_a_look_of_one_wall_is_the_very_same_on_it() -> None:
    """So that nothing of a show with one surface is worked out twice, or otherwise."""
    one = wall_show()
    looks = looks_of(compile_plan(one), 0)
    assert all(look_on(k, "main", "main") is k for k in one.looks)
    assert looks_on(looks, "main", "main") is looks
    assert look_on(one.looks[1], "left", "main").layers == ()


def test_a_layer_has_its_own_place_and_crop_on_each_surface() -> None:
    wide = look(SHOW, "wide")
    assert layer_keys(look_on(wide, "main", "main")) == ("sea", "cam-1")
    (left,), (right,) = look_on(wide, "left", "main").layers, look_on(wide, "right", "main").layers
    assert (left.key, left.width_m, left.crop, left.flip) == (
        "cam-1@left", 6, Crop(left=0.25, right=0.25), "none")  # fmt: skip
    assert (right.key, right.crop, right.flip) == ("cam-1@right", Crop(), "across")
    assert look_on(wide, "banner", "main").layers == ()
    faces = look_on(look(SHOW, "faces"), "banner", "main")
    assert [(x.key, x.left_m) for x in faces.layers] == [("words", 10)]
    assert len(look_on(look(SHOW, "faces"), "main", "main").layers) == 2


def test_how_long_each_has_been_on_goes_with_it() -> None:
    looks = looks_of(compile_plan(SHOW), 0)
    on_banner = looks_on(looks, "banner", "main")
    assert [len(s.since_s) for s in on_banner.standing] == [len(s.look.layers) for s in on_banner.standing]
    (since_s,) = next(s for s in on_banner.standing if s.look.layers).since_s
    assert since_s == 32.0


def test_surfaces_of_one_pool_take_its_channels() -> None:
    assert [(p.id, p.name, p.channels, [s.id for s in p.surfaces]) for p in pools_of(SHOW)] == [
        ("main", "Main wall", 6, ["main"]),
        ("rack", "Rack 2", 2, ["left", "right", "banner"]),
    ]
    assert pool_of(SHOW, "banner") is not pool_of(SHOW, "main")
    assert pools_of(wall_show())[0].channels == 6


def test_one_place_of_a_layer_is_otherwise_for_one_cue() -> None:
    wide = look(SHOW, "wide")
    there = (Override(layer="cam-1", surface="left", left_m=1.5), Override(layer="cam-1", opacity=0.5),
             Override(layer="cam-1", surface="right", hidden=True))  # fmt: skip
    made = overridden(wide, there)
    (left,) = look_on(made, "left", "main").layers
    assert (left.left_m, left.width_m, left.opacity) == (1.5, 6, 0.5)
    assert look_on(made, "right", "main").layers == ()
    assert look_on(made, "main", "main").layers[1].left_m == 15
