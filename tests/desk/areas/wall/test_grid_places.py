"""The grid's places: what a song uses first, then the rest, and nothing that moves once it stands."""

from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.desk.areas.wall.grid_layout import grid_layout
from showcaller.desk.areas.wall.grid_places import (
    COLUMNS,
    LOOKS,
    PLACES,
    Places,
    SongPlaces,
    in_order,
    settled,
)

IDS = st.lists(st.text("abcdefgh", min_size=1, max_size=2), unique=True, max_size=30)


def test_what_the_song_uses_comes_first_both_in_the_order_of_the_document():
    show = wall_show()
    assert in_order(show, "gulls").looks == ("sea", "wide", "faces", "one")
    lamps = in_order(show, "lamps")
    assert lamps.looks == ("wide", "sea", "faces", "one")
    assert lamps.sources == ("cam-1", "sea", "cam-2", "cam-3", "words", "mark")


def test_a_page_has_all_its_places_and_a_show_with_more_has_more_pages():
    many = SongPlaces(tuple(f"k{n}" for n in range(LOOKS + 1)), ("s",))
    assert many.pages == 2
    assert len(many.page(0)) == len(many.page(1)) == PLACES
    assert many.page(1)[0] == f"k{LOOKS}"
    assert many.page(0)[LOOKS] == "s"
    assert SongPlaces().pages == 1


@given(st.lists(IDS, min_size=1, max_size=6))
def test_nothing_moves_whatever_is_added_taken_out_and_brought_back(editions):
    places, where = (), {}
    for ids in editions:
        places = settled(places, ids)
        assert [p for p in places if p is not None and p not in ids] == []
        assert set(ids) <= set(places)
        for place, ident in enumerate(places):
            if ident is not None:
                assert where.setdefault(ident, place) == place
        for ident in list(where):
            if ident not in ids:
                del where[ident]


def test_a_look_that_is_made_while_the_show_is_on_stands_behind_the_others():
    show, places = wall_show(), Places()
    before = places.of(show, "lamps")
    first = show.looks[0]
    made = show.changed(looks=(first.model_copy(update={"id": "new", "name": "New"}), *show.looks))
    assert places.of(made, "lamps").looks == ("wide", "sea", "faces", "one", "new")
    assert before.looks == ("wide", "sea", "faces", "one")


@given(st.floats(500, 3000), st.floats(150, 1400), st.floats(0.5, 10))
def test_tiles_lie_in_the_panel_to_scale_and_none_over_another(width, height, shape):
    k = max(0.6, width / 1432)
    at = grid_layout(width, height, k, shape)
    for n, box in enumerate(at.touched):
        assert box.left() >= 0
        assert box.right() <= width + 1
        if n % COLUMNS:
            assert at.touched[n - 1].right() <= box.left()
        if n >= COLUMNS:
            assert at.touched[n - COLUMNS].bottom() <= box.top()
        middle = box.center()
        assert at.place_at(middle.x(), middle.y()) == n
    assert at.place_at(-1, -1) is None
