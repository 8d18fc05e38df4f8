"""The quick look at a show's references, edit after edit, against the slow one that has the sentences."""

from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, document, item

from showcaller.model import AfterAnchor, Item, Show
from showcaller.model.references import holds, reference_errors

names = st.integers(0, 14)
edits = st.lists(st.tuples(st.integers(0, 2), st.lists(st.tuples(names, names), max_size=4)), max_size=8)


def items_with(cues: list[list[tuple[int, int]]]) -> Show:
    """Three items with cues of these ids and numbers, unchecked."""
    whole = Show.model_validate(document([item("a", 60, [cue("x", "99", 1)])]))
    made = whole.items[0]
    of = made.cues[0]
    return whole.model_copy(
        update={
            "items": tuple(
                made.model_copy(
                    update={
                        "id": f"i{n}",
                        "cues": tuple(
                            of.model_copy(update={"id": f"c{ident}", "number": type(of.number)(number)})
                            for ident, number in mine
                        ),
                    }
                )
                for n, mine in enumerate(cues)
            )
        }
    )


@settings(max_examples=150)
@given(edits)
def test_edit_after_edit_a_name_that_stands_twice_is_seen(
    changes: list[tuple[int, list[tuple[int, int]]]],
) -> None:
    # All are made first: reading a show looks at it too, and what is looked at next to it is another show.
    others = [(n, items_with([cues]).items[0].model_copy(update={"id": f"i{n}"})) for n, cues in changes]
    show = items_with([[(0, 0)], [(5, 5)], [(10, 10)]])
    assert holds(show)
    for n, other in others:
        show = show.model_copy(update={"items": (*show.items[:n], other, *show.items[n + 1 :])})
        assert holds(show) == (not list(reference_errors(show)))


places = st.integers(0, 1)
follows = st.lists(
    st.tuples(st.integers(0, 2), st.dictionaries(places, st.none() | st.integers(0, 5), max_size=2)),
    max_size=8,
)


@settings(max_examples=150)
@given(follows)
def test_edit_after_edit_a_cue_that_is_followed_and_not_there_is_seen(
    changes: list[tuple[int, dict[int, int | None]]],
) -> None:
    """Item ``n`` may have cues ``2n`` and ``2n + 1``, so that none is there twice."""
    others = [(n, following(n, cues)) for n, cues in changes]
    show = items_with([[(0, 0)], [(2, 2)], [(4, 4)]])
    assert holds(show)
    for n, other in others:
        show = show.model_copy(update={"items": (*show.items[:n], other, *show.items[n + 1 :])})
        assert holds(show) == (not list(reference_errors(show)))


def following(n: int, cues: dict[int, int | None]) -> Item:
    """Item ``n`` with some of its two cues, each after another cue or none."""
    made = items_with([[(2 * n + place, 2 * n + place) for place in cues]]).items[0]
    after = [
        one if led is None else one.model_copy(update={"anchor": AfterAnchor(at="after", cue=f"c{led}")})
        for one, led in zip(made.cues, cues.values(), strict=True)
    ]
    return made.model_copy(update={"id": f"i{n}", "cues": tuple(after)})
