"""Small pictures side by side: each tile is what the wall's own picture is, made small."""

import numpy as np
from wall_show import wall_show

from showcaller.screen.compose.canvas import Canvas
from showcaller.screen.picture import Picture
from showcaller.screen.spread import spread_of
from showcaller.screen.tiles import TileSheet, compose_sheet, look_picture, source_picture

SHOW = wall_show()
WALL = SHOW.wall
SPREAD = spread_of(SHOW)
COLOURS = {"sea": (200, 40, 10), "cam-1": (20, 30, 220), "cam-2": (10, 200, 30), "cam-3": (90, 90, 90)}


def frames(asked):
    def at(source, since_s, _plays):
        asked.append((source, since_s))
        return np.full((1080, 1920, 3), COLOURS[source], np.uint8), None

    return at


def test_every_tile_is_the_look_made_small_and_a_source_is_fetched_once():
    looks = SHOW.looks[:3]
    sheet = TileSheet((*(look_picture(SPREAD, look, 2.0) for look in looks), None), 2)
    asked, made = [], np.full((2 * 40, 2 * 160, 4), 77, np.uint8)
    compose_sheet(sheet, Canvas(WALL, 160, 40), frames(asked), made)
    assert sorted(asked) == [(s, 2.0) for s in sorted(COLOURS)]
    for n, look in enumerate(looks):
        large = Canvas(WALL, 160, 40).compose(look_picture(SPREAD, look, 2.0), frames([]))
        y, x = n // 2 * 40, n % 2 * 160
        assert np.abs(made[y : y + 40, x : x + 160, :3].astype(int) - large).max() <= 1
    assert not made[40:, 160:, :3].any()


def test_a_source_is_whole_in_the_middle_and_not_distorted():
    source = next(s for s in SHOW.sources if s.id == "cam-1")
    picture = source_picture(WALL, source, 0.0)
    assert isinstance(picture, Picture)
    rect = picture.layers[0].rect
    assert rect.width / rect.height == 16 / 9  # the wall's pixels are square: 40 m by 10 m, 4000 by 1000
    assert (rect.y, rect.height) == (0, 1000)
    assert rect.x == 4000 - rect.right
    wide = source.model_copy(update={"width_px": 8000, "height_px": 1000})
    rect = source_picture(WALL, wide, 0.0).layers[0].rect
    assert (rect.x, rect.width, rect.height) == (0, 4000, 500)
