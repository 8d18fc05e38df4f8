"""The source board: on, coming, free, and who needs a source next."""

import pytest
from wall_show import wall_show

from showcaller.editing import SetFields, apply
from showcaller.screen.board import needs_of, tallies
from showcaller.screen.looks import looks_of
from showcaller.screen.picture import picture_at
from showcaller.timing.plan import compile_plan

PLAN = compile_plan(wall_show())
NEEDS = needs_of(PLAN)


def board(item: int, at_s: float) -> dict[str, tuple[str, str]]:
    wall = PLAN.show.wall
    assert wall is not None
    on = picture_at(wall, looks_of(PLAN, item), at_s).sources
    found = tallies(PLAN, NEEDS, item, at_s, on)
    return {t.source.id: (t.words, "" if t.item is None else PLAN.items[t.item].item.id) for t in found}


def test_a_source_is_on_coming_or_free() -> None:
    # At 120 a minute bar 9 is at 16 s, bar 17 at 32 s, bar 33 at 64 s.
    found = board(0, 2.0)
    assert found["sea"] == ("on wall", "lamps")
    assert found["cam-1"] == ("in 0:14", "gulls")
    assert found["cam-2"] == ("in 0:30", "gulls")
    assert found["words"] == ("free", "")
    assert board(0, 40.0)["cam-2"] == ("on wall", "")


def test_a_source_far_away_is_free_and_says_who_needs_it() -> None:
    assert board(0, 36.0)["sea"] == ("free", "lamps")


def test_in_the_middle_of_a_mix_both_are_on() -> None:
    found = board(0, 17.0)
    assert (found["sea"][0], found["cam-1"][0]) == ("on wall", "on wall")


@pytest.mark.parametrize("at_s", [0.0, 5.0, 89.0])
def test_what_is_carried_over_is_on(at_s: float) -> None:
    assert board(1, at_s)["cam-1"][0] == "on wall"


def later(**arrives: object):
    """The same, with the camera of “Wide” arriving on its own."""
    show = wall_show()
    change = SetFields(at=("looks", "wide", "layers", 1), fields=dict(arrives))
    return compile_plan(apply(show, change)[0])


def test_a_layer_that_arrives_later_is_coming_until_it_is_there() -> None:
    plan = later(arrives="fade", arrives_after=8, arrives_over=4)
    needs = needs_of(plan)
    # “Wide” comes at bar 9, 16 s in; eight beats later it is 20 s.
    assert needs["cam-1"][0].from_s == 20.0
    wall = plan.show.wall
    assert wall is not None
    on = picture_at(wall, looks_of(plan, 0), 17.0).sources
    card = next(t for t in tallies(plan, needs, 0, 17.0, on) if t.source.id == "cam-1")
    assert (card.state, card.words, card.in_s) == ("coming", "in 0:03", 3.0)


def test_one_that_would_come_after_its_look_has_gone_never_comes() -> None:
    needs = needs_of(later(arrives="fade", arrives_after=200))
    # Only in “One face”, from bar 33 until “Wide” takes its place ten seconds into the next item.
    assert [(s.from_s, s.until_s) for s in needs["cam-1"]] == [(64.0, 130.0)]


def test_what_is_on_goes_when_a_look_without_it_is_there() -> None:
    spells = NEEDS["cam-1"]
    # On from bar 9 to the cut at bar 17; from bar 33 on, over the end of the song, to the end of the show.
    assert [(s.from_s, s.until_s, s.until_item) for s in spells] == [(16.0, 32.0, 0), (64.0, 210.0, 1)]
    assert (NEEDS["sea"][0].from_s, NEEDS["sea"][0].until_s) == (0.0, 32.0)


def test_what_is_carried_into_the_next_item_has_arrived() -> None:
    show = wall_show()
    change = SetFields(at=("looks", "one", "layers", 0), fields={"arrives": "grow", "arrives_after": 8})
    plan = compile_plan(apply(show, change)[0])
    wall = plan.show.wall
    assert wall is not None
    before = picture_at(wall, looks_of(plan, 0), 119.0).layers
    carried = picture_at(wall, looks_of(plan, 1), 0.0).layers
    assert [(p.key, p.rect) for p in carried] == [(p.key, p.rect) for p in before] != []
