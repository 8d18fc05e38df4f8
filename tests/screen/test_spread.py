"""All surfaces in one picture: where each lies, and that none draws into another."""

from itertools import combinations

import numpy as np
from surface_show import surface_show
from wall_show import wall_show

from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.looks import layer_keys, looks_of
from showcaller.screen.picture import picture_at
from showcaller.screen.spread import spread_look, spread_of, spread_picture
from showcaller.screen.surfaces import look_on, looks_on
from showcaller.screen.tiles import look_picture
from showcaller.timing.plan import compile_plan

SHOW = surface_show()
SPREAD = spread_of(SHOW)
WHITE = np.full((90, 160, 3), 255, np.uint8)


def white(_source, _since_s, _plays):
    return WHITE, None


def test_one_surface_is_itself() -> None:
    one = wall_show()
    looks = looks_of(compile_plan(one), 0)
    assert spread_of(one).wall is one.wall
    assert spread_look(spread_of(one), one.looks[1]) is one.looks[1]
    assert spread_picture(spread_of(one), looks, 30.0) == picture_at(one.wall, looks, 30.0)


def test_surfaces_stand_where_they_are_said_to_to_one_scale_and_none_overlaps() -> None:
    main, left, right, banner = (SPREAD.areas[s.id] for s in SHOW.surfaces)
    assert left.right < main.x
    assert right.x > main.right
    assert banner.bottom < main.y
    assert all(a.meet(b) is None for a, b in combinations(SPREAD.areas.values(), 2))
    for surface in SHOW.surfaces:
        area = SPREAD.areas[surface.id]
        assert (area.width / surface.width_m, area.height / surface.height_m) == (100, 100)
        at_m = SPREAD.off_m[surface.id]
        assert SPREAD.surface_at(at_m[0] + 0.1, at_m[1] + 0.1) is surface
    assert SPREAD.surface_at(-1, 0) is None
    assert spread_of(SHOW) is spread_of(SHOW), "so that nothing is composed anew"


def test_what_reaches_over_an_edge_is_not_seen_on_the_next_surface() -> None:
    """Every layer white, moved and made larger: lit are exactly the parts of the surfaces it covers."""
    wide = SHOW.looks[1]
    far = wide.changed(layers=(wide.layers[1].changed(left_m=30, width_m=40, bottom_m=-5, height_m=30),))
    canvas = Canvas(SPREAD.wall, SPREAD.wall.width_px // 10, SPREAD.wall.height_px // 10)
    made = canvas.compose(look_picture(SPREAD, far, 0.0), white)[..., 0] > 127
    lit = np.zeros_like(made)
    for surface in SHOW.surfaces:
        area = SPREAD.areas[surface.id]
        for x in look_on(far, surface.id, "main").layers:
            left, top = area.x + x.left_m * 100, area.y + (surface.height_m - x.bottom_m - x.height_m) * 100
            x0, y0 = max(area.x, left), max(area.y, top)
            x1, y1 = min(area.right, left + x.width_m * 100), min(area.bottom, top + x.height_m * 100)
            lit[round(y0 / 10) : round(y1 / 10), round(x0 / 10) : round(x1 / 10)] = True
    assert np.count_nonzero(made != lit) == 0
    assert made.any()


def test_a_wipe_crosses_each_surface_by_itself() -> None:
    looks = looks_of(compile_plan(SHOW), 0)
    change = looks.standing[1].change.model_copy(update={"by": "wipe", "ease": "even"})
    looks.standing[1]  # "Wide", by a mix of 8 beats from 16 s on
    wiped = type(looks)(
        looks.planned,
        (looks.standing[0], looks.standing[1]._replace(change=change), *looks.standing[2:]),
        looks.length_s,
    )
    picture = spread_picture(SPREAD, wiped, 18.0)
    assert len(picture.areas) == 4
    canvas = Canvas(SPREAD.wall, SPREAD.wall.width_px // 10, SPREAD.wall.height_px // 10)
    made = canvas.compose(picture, white)[..., 0]
    for name in ("left", "right"):
        area = SPREAD.areas[name]
        row = made[round((area.y + area.height * 0.6) / 10), round(area.x / 10) : round(area.right / 10)]
        assert row[: len(row) // 3].min() > 200
        assert row[-len(row) // 3 :].max() < 50


def test_each_place_is_in_the_picture_with_its_own_key() -> None:
    keys = layer_keys(spread_look(SPREAD, SHOW.looks[1]))
    assert keys == ("sea", "cam-1", "cam-1@left", "cam-1@right")
    looks = looks_of(compile_plan(SHOW), 0)
    picture = spread_picture(SPREAD, looks, 25.0)
    assert [p.key for p in picture.layers] == list(keys)
    for surface in SHOW.surfaces[1:3]:
        alone = picture_at(surface, looks_on(looks, surface.id, "main"), 25.0)
        (there,) = (p for p in picture.layers if p.key == f"cam-1@{surface.id}")
        assert (there.since_s, there.crop, there.flip) == (
            alone.layers[0].since_s, alone.layers[0].crop, alone.layers[0].flip)  # fmt: skip
