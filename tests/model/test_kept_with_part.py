"""What is remembered of a part: worked out once, and gone with it."""

import gc
import weakref

from showcaller.model.base import Part, kept_with_part


class Named(Part):
    name: str


def test_it_is_worked_out_once_for_the_same_part_and_again_for_an_equal_one() -> None:
    asked = []

    @kept_with_part
    def length(part: Named) -> int:
        asked.append(part.name)
        return len(part.name)

    first, second = Named(name="Low Water"), Named(name="Low Water")
    assert [length(first), length(first), length(second)] == [9, 9, 9]
    assert len(asked) == 2


def test_nothing_is_kept_of_parts_that_are_gone() -> None:
    """Found by fuzzing: the items of refused shows stayed in memory, thousands of them."""
    alive = weakref.WeakSet[Named]()
    results = weakref.WeakSet[Named]()

    @kept_with_part
    def other(part: Named) -> Named:
        made = Named(name=part.name.upper())
        results.add(made)
        return made

    for n in range(100):
        part = Named(name=f"item {n}")
        alive.add(part)
        assert other(part) is other(part)
        assert other(part).name == f"ITEM {n}"  # never that of an earlier part at the same place in memory
    del part
    gc.collect()
    assert (len(alive), len(results)) == (0, 0)
