"""The form of several surfaces: each line as it stands changes nothing; put up, shared, taken out again."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from surface_show import surface_show
from wall_show import wall_show

from showcaller.editing import ChangeError, apply
from showcaller.editing.comparing import compare
from showcaller.model import Override, Show
from showcaller.screen.advice import budgets
from showcaller.screen.looks import looks_of
from showcaller.screen.setup.of_surfaces import pool_from, pool_text
from showcaller.screen.setup.rows import setup_change, setup_rows, typed_text
from showcaller.screen.surfaces import look_on, pools_of
from showcaller.timing.plan import compile_plan

SHOW = surface_show()


def typed(key: str, text: str, show: Show = SHOW) -> Show:
    changed, inverse = apply(show, setup_change(show, key, text)[1])
    assert apply(changed, inverse)[0] == show
    return changed


def test_every_line_of_every_surface_typed_as_it_stands_changes_nothing() -> None:
    rows = [r for r in setup_rows(SHOW, {}) if r.key]
    assert len({r.key for r in rows}) == len(rows)
    skipped = ("input+", "inputs", "source+", "surface+", "pool+", "house")
    for row in rows:
        if not row.key.startswith(skipped):
            assert typed(row.key, typed_text(SHOW, row.key)) == SHOW, row.key


@given(st.text("abc äÉ-3.", min_size=1, max_size=9).filter(str.strip), st.integers(0, 512))
def test_a_pool_as_it_is_shown_is_read_as_it_was(name: str, channels: int) -> None:
    pool = SHOW.pools[0].changed(name=name, channels=channels)
    assert pool_from(pool_text(pool)) == {"name": pool.name, "channels": channels}


def test_a_show_with_one_wall_has_the_lines_it_had_and_one_for_more() -> None:
    keys = [r.key for r in setup_rows(wall_show(), {})]
    assert [r.label for r in setup_rows(wall_show(), {}) if r.head][:2] == ["WALL", "INPUTS"]
    assert {"wall.size", "wall.channels", "input.in-a", "inputs", "surface+", "pool+"} <= set(keys)
    assert not any("@" in key for key in keys)


def test_a_pool_is_made_and_two_surfaces_share_it() -> None:
    show = typed("surface+", "Floor: 20 x 6 m, 1000 x 300 px, 2 inputs, 3 channels", wall_show())
    floor = show.surfaces[1]
    assert (floor.id, floor.stands, floor.channels, [i.id for i in floor.inputs]) == (
        "floor", "below", 3, ["floor-a", "floor-b"])  # fmt: skip
    assert (floor.inputs[1].x_px, floor.inputs[1].width_px, floor.height_m) == (500, 500, 6)
    show = typed("pool+", "Rack: 8", show)
    for at in ("", "@floor"):
        show = typed(f"wall.from{at}", "rack", show)
    assert [(p.name, p.channels, len(p.surfaces)) for p in pools_of(show)] == [("Rack", 8, 2)]
    assert [f.limit for f in budgets(show, looks_of(compile_plan(show), 0))] == [8]
    with pytest.raises(ChangeError, match="Main wall, Floor: channels come from it; give them"):
        setup_change(show, "pool.rack", "")
    show = typed("wall.from@floor", "its own", typed("wall.from", "its own", show))
    assert [s.channels for s in show.surfaces] == [8, 8]
    assert typed("pool.rack", "", show).pools == ()
    show = typed("wall.name@floor", "Deck", typed("wall.stands@floor", "left", show))
    assert (show.surfaces[1].name, show.surfaces[1].stands) == ("Deck", "left")
    thirds = typed("inputs@floor", "3 x 1", show).surfaces[1]
    assert [i.id for i in thirds.inputs] == ["floor-a", "floor-b", "deck-c"]


def test_what_is_otherwise_in_another_edition_is_said_for_each_surface() -> None:
    other = typed("pool.rack", "Rack 2: 9", typed("wall.size@left", "7 x 8 m"))
    assert [note.words for note in compare(SHOW, other).notes] == [
        "surface Side left: width m 7.0 (was 6.0)", "pool Rack 2: channels 9 (was 2)"]  # fmt: skip


def test_a_surface_goes_with_what_lies_on_it_alone() -> None:
    show = typed("wall.name@left", "")
    assert [s.id for s in show.surfaces] == ["main", "right", "banner"]
    assert [p.surface for p in show.looks[1].layers[1].also] == ["right"]
    bare = typed("wall.name@banner", "", show)
    assert [x.source for x in bare.looks[2].layers] == ["cam-2", "cam-3"]
    words, _ = setup_change(SHOW, "wall.name@banner", "")
    assert words == "Banner taken out, with 1 place of layers"
    with pytest.raises(ChangeError, match="Main wall comes first and stays"):
        setup_change(SHOW, "wall.name", "")


def test_a_layer_whose_own_surface_goes_lies_where_else_it_was() -> None:
    """And what a cue had otherwise of that place is said of its own now."""
    layer = SHOW.looks[1].layers[1].changed(surface="banner")
    looks = [SHOW.looks[0], SHOW.looks[1].changed(layers=(SHOW.looks[1].layers[0], layer)), *SHOW.looks[2:]]
    song = SHOW.items[0]
    overrides = (
        Override(layer="cam-1", left_m=4, opacity=0.5),
        Override(layer="cam-1", surface="left", left_m=1),
    )
    change = song.cues[1].look.changed(overrides=overrides)
    cues = [song.cues[0], song.cues[1].changed(look=change), *song.cues[2:]]
    before = SHOW.changed(looks=looks, items=[song.changed(cues=cues), SHOW.items[1]])
    after = typed("wall.name@banner", "", before)
    made = after.looks[1].layers[1]
    assert (made.surface, made.crop.left, [p.surface for p in made.also]) == ("left", 0.25, ["right"])
    assert after.items[0].cues[1].look.overrides == (
        Override(layer="cam-1", opacity=0.5), Override(layer="cam-1", left_m=1))  # fmt: skip
    for surface in ("left", "right"):
        was, now = (look_on(s.looks[1], surface, "main").layers for s in (before, after))
        assert [(x.left_m, x.crop, x.flip) for x in was] == [(x.left_m, x.crop, x.flip) for x in now]


@pytest.mark.parametrize(
    ("key", "text", "why"),
    [
        ("surface+", "Roof", "a colon is missing after the name in 'Roof'; type Side left: 6 x 8 m, 300"),
        ("surface+", "Roof: big, 3 x 3 px", "Roof, its size: type width x height: .*; not 'big'"),
        (
            "surface+",
            "Roof: 3 x 3 m, 30 x 30 px, from Rack 9",
            "no pool is called 'rack 9'; type its own, or the pool Rack 2",
        ),
        (
            "surface+",
            "Roof: 3 x 3 m, 30 x 30 px, behind",
            "Roof: after its pixels may stand .*left, right, above or below; not 'behind'",
        ),
        ("surface+", "Roof: 3 x 3 m, 30 x 30 px, 31 inputs", "Roof: 1 to 26 inputs; not 31"),
        ("wall.stands@left", "behind", "is drawn: type left, right, above or below; not 'behind'"),
        ("wall.channels@left", "4", "takes them from Rack 2; type 'its own' into its line 'channels' first"),
        ("wall.channels", "Rack 2", "not 'Rack 2'; to share a pool, type its name into the line 'channels'"),
        ("wall.from@left", "nobody", "no pool is called 'nobody'; type its own, or the pool Rack 2"),
        ("pool+", "Rack", "a colon is missing after the name in 'Rack'; type name: how many channels"),
        ("pool.rack", "Rack 2: 600", "pool Rack 2: type 0 to 512 channels after the colon; not '600'"),
        ("input.left-in@left", "", "only input of Side left, which needs one"),
    ],
)
def test_what_means_nothing_there_is_refused(key: str, text: str, why: Any) -> None:
    with pytest.raises(ChangeError, match=why):
        setup_change(SHOW, key, text)
