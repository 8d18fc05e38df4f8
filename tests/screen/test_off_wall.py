"""What is laid for a larger wall than there is tonight."""

from hypothesis import given
from hypothesis import strategies as st
from wall_show import wall_show

from showcaller.editing import SetFields, apply
from showcaller.readiness.plan import channels
from showcaller.screen.off_wall import off_wall, off_wall_words


def narrowed(width_m: float):
    """The small wall show on a wall that is this wide, its looks as they were."""
    show = wall_show()
    assert show.wall is not None
    made, _ = apply(show, SetFields(at=("surfaces", show.wall.id), fields={"width_m": width_m}))
    return made


def test_where_all_lies_on_its_wall_nothing_is_said() -> None:
    show = wall_show()
    assert off_wall(show, show.looks) == ()
    assert off_wall_words(()) == ""
    assert [f.what for f in channels(show)] == ["channels"]


def test_on_half_the_wall_what_lies_beside_it_is_named_and_the_rest_counted() -> None:
    show = narrowed(22)
    found = off_wall(show, show.looks)
    assert [(o.look, o.source, o.share) for o in found] == [("Faces", "Hand camera", 0.1)]
    show = narrowed(20)
    found = off_wall(show, show.looks[2:3])
    assert off_wall_words(found) == f"“Faces”: Hand camera lies beside {show.wall.name}."
    found = off_wall(show, show.looks)
    assert [(o.look, o.source, o.share) for o in found] == [
        ("Sea", "Sea", 0.5), ("Wide", "Sea", 0.5), ("Wide", "Gate camera", 0.5),
        ("Faces", "Hand camera", 0.0), ("One face", "Gate camera", 0.5),
    ]  # fmt: skip
    look = next(f for f in channels(show) if f.what == "the wall")
    assert (look.state, look.words) == ("look", off_wall_words(found))
    assert "larger surface" in look.do
    least = narrowed(12)
    words = off_wall_words(off_wall(least, least.looks))
    assert words.startswith("“Sea”: Sea has 30% on ")
    assert words.endswith(", and 4 more in 4 looks.")


def test_an_item_that_is_out_tonight_is_not_checked() -> None:
    show = narrowed(22)
    assert [f for f in channels(show) if f.what == "the wall"]
    made, _ = apply(show, SetFields(at=("items", "gulls"), fields={"out": True}))
    assert not [f for f in channels(made) if f.what == "the wall"]


@given(st.floats(1, 60), st.floats(-50, 50), st.floats(0.5, 60))
def test_the_share_is_what_a_comb_of_points_finds(wall_m: float, left_m: float, width_m: float) -> None:
    """Against counting: a thousand points across the layer, which of them lie on the wall."""
    show = narrowed(wall_m)
    layer = show.looks[1].layers[1].changed(left_m=left_m, width_m=width_m, bottom_m=0)
    look = show.looks[1].changed(layers=(layer,))
    points = [left_m + width_m * (n + 0.5) / 1000 for n in range(1000)]
    counted = sum(0 <= x <= wall_m for x in points) / 1000
    found = off_wall(show, [look])
    if found:
        assert abs(found[0].share - counted) <= 0.002
    else:
        assert counted >= 0.499
