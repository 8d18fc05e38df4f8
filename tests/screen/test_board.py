"""The source board: on, coming, free, and who needs a source next."""

import pytest
from wall_show import wall_show

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
