"""The quick look at a show's references, edit after edit, against the slow one that has the sentences."""

from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, document, item

from showcaller.model import Show
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
    show = items_with([[(0, 0)], [(5, 5)], [(10, 10)]])
    assert holds(show)
    for n, cues in changes:
        other = items_with([cues]).items[0].model_copy(update={"id": f"i{n}"})
        show = show.model_copy(update={"items": (*show.items[:n], other, *show.items[n + 1 :])})
        assert holds(show) == (not list(reference_errors(show)))
