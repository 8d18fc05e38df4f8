"""Processing channels over a song: counts by hand, optimality against brute force and the clique number."""

from fractions import Fraction
from itertools import product
from random import Random

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from walls import full, look, make_wall, song, to

from showcaller.model import Layer, Look, LookChange, Wall
from showcaller.screen.channels import Span, allocate, level_at, levels, spans
from showcaller.screen.looks import BLACK, Looks, arrange
from showcaller.screen.picture import picture_at
from showcaller.timing.plan import compile_item

THIRDS = make_wall([640, 640, 640], 692)


def looks_of(*changes: tuple[float, LookChange, Look], length_s: float = 120.0, bpm: float = 120) -> Looks:
    planned = compile_item(song(length_s, bpm), "25")
    return arrange(planned, [(Fraction(str(at)), c, k, f"c{n}") for n, (at, c, k) in enumerate(changes)])


def count_at(wall: Wall, looks: Looks, at_s: float) -> int:
    return level_at(levels(spans(wall, looks), looks.length_s), at_s)


def panel(wall: Wall, source: str, n: int, **more: object) -> Layer:
    """A layer that fills the ``n``-th input."""
    i = wall.inputs[n]
    return Layer.model_validate(
        {
            "source": source, "left_m": i.x_px / 100, "bottom_m": 0, "width_m": i.width_px / 100,
            "height_m": wall.height_m, **more,
        }
    )  # fmt: skip


def test_across_three_inputs_three_a_mix_six_straight_none() -> None:
    one, two = look("one", full(THIRDS, "cam-1")), look("two", full(THIRDS, "cam-2"))
    looks = looks_of((0, to("one"), one), (10, to("two", "mix", 8), two))
    assert count_at(THIRDS, looks, 5) == 3
    assert count_at(THIRDS, looks, 11) == 6  # 8 beats at 120 a minute are 4 s
    assert count_at(THIRDS, looks, 13.99) == 6
    assert count_at(THIRDS, looks, 14) == 3
    straight = look("three", full(THIRDS, "clip", straight=True))
    assert count_at(THIRDS, looks_of((0, to("three"), straight)), 1) == 0


def test_a_source_said_straight_costs_where_it_does_not_fill_an_input() -> None:
    layer = Layer(source="clip", left_m=0, bottom_m=0, width_m=9.6, height_m=6.92, straight=True)
    assert count_at(THIRDS, looks_of((0, to("x"), look("x", layer))), 1) == 1


@pytest.mark.parametrize(
    ("by", "going", "gone"), [("mix", 6, 0), ("wipe", 6, 0), ("move", 6, 0), ("cut", 0, 0)]
)
def test_straight_costs_while_it_is_half_seen(by: str, going: int, gone: int) -> None:
    """Drawn half transparent it is processed: what goes and what comes, in three inputs each."""
    one, two = (look(s, full(THIRDS, s, straight=True)) for s in ("clip", "cam-1"))
    looks = looks_of((0, to("clip"), one), (10, to("cam-1", by, 8), two))
    assert [count_at(THIRDS, looks, t) for t in (5, 10, 13.9, 14, 60)] == [0, going, going, gone, gone]


def test_straight_that_stays_through_a_mix_costs_nothing() -> None:
    under = full(THIRDS, "clip", straight=True)
    one, two = look("one", under, panel(THIRDS, "cam-1", 0)), look("two", under, panel(THIRDS, "cam-2", 0))
    looks = looks_of((0, to("one"), one), (10, to("two", "mix", 8), two))
    assert [count_at(THIRDS, looks, t) for t in (5, 11, 15)] == [1, 2, 1]


@pytest.mark.parametrize("arrives", ["fade", "grow"])
def test_straight_costs_while_it_fades_in_or_grows(arrives: str) -> None:
    layer = full(THIRDS, "clip", straight=True, arrives=arrives, arrives_after=4, arrives_over=8)
    looks = looks_of((0, to("x"), look("x", layer)), (20, to("y"), look("y")))
    # At 120 a minute: from beat 4 at 2 s for 8 beats, 4 s.
    assert [count_at(THIRDS, looks, t) for t in (1.9, 2, 5.9, 6, 19, 21)] == [0, 3, 3, 0, 0, 0]
    cut_short = looks_of((0, to("x"), look("x", layer)), (3, to("y"), look("y")))
    assert [count_at(THIRDS, cut_short, t) for t in (2.5, 3)] == [3, 0]
    as_it_comes = full(THIRDS, "clip", straight=True, arrives="with the look")
    assert count_at(THIRDS, looks_of((0, to("x"), look("x", as_it_comes))), 1) == 0


def test_straight_that_fades_in_during_a_mix_costs_one_channel_an_input_not_two() -> None:
    layer = full(THIRDS, "clip", straight=True, arrives="fade", arrives_over=16)
    looks = looks_of((10, to("x", "mix", 8), look("x", layer)))
    assert [count_at(THIRDS, looks, t) for t in (9, 11, 15, 17.9, 18)] == [0, 3, 3, 3, 0]


def test_straight_that_moves_costs_where_it_crosses() -> None:
    a = panel(THIRDS, "clip", 0, straight=True)
    b = panel(THIRDS, "clip", 1, straight=True)
    looks = looks_of((0, to("a"), look("a", a)), (10, to("b", "move", 8), look("b", b)))
    assert [count_at(THIRDS, looks, t) for t in (5, 11, 15)] == [0, 2, 0]


def test_straight_and_cropped_is_processed() -> None:
    layer = full(THIRDS, "clip", straight=True, crop={"left": 0.25})
    assert count_at(THIRDS, looks_of((0, to("x"), look("x", layer))), 1) == 3


def test_what_costs_nothing_is_drawn_as_it_is() -> None:
    """The count against what is drawn: while straight layers cost nothing, all are drawn as they are."""
    random = Random(4)
    for _ in range(150):
        changes: list[tuple[float, LookChange, Look]] = []
        for n in range(random.randint(1, 5)):
            layers = [
                full(
                    THIRDS, s, straight=True, arrives=random.choice(("with the look", "fade", "grow")),
                    arrives_after=random.choice((0, 2)), arrives_over=random.choice((0, 4)),
                )
                for s in random.sample(["cam-1", "cam-2", "clip"], random.randint(0, 2))
            ]  # fmt: skip
            by = random.choice(("cut", "mix", "wipe", "move"))
            ident = f"k{n}"
            change = to(ident, by, 0 if by == "cut" else random.choice((2, 8)))
            changes.append((n * random.choice((2, 9)), change, look(ident, *layers)))
        looks = looks_of(*changes)
        graph = levels(spans(THIRDS, looks), looks.length_s)
        for tenth in range(0, 500, 3):
            at_s = tenth / 10 + 0.05
            if level_at(graph, at_s):
                continue
            picture = picture_at(THIRDS, looks, at_s)
            drawn = [(p.source, p.opacity, p.moving) for p in picture.layers]
            assert [d[1:] for d in drawn] == [(1, False)] * len(drawn), (at_s, looks.standing)
            assert {(p.key, p.source) for p in picture.before} <= {(p.key, p.source) for p in picture.layers}


def test_what_stays_on_air_keeps_its_channel() -> None:
    wide, side = full(THIRDS, "cam-1"), panel(THIRDS, "cam-2", 1)
    looks = looks_of((0, to("a"), look("a", wide)), (8, to("b", "mix", 4), look("b", wide, side)))
    found = spans(THIRDS, looks)
    assert [(s.layer, s.start_s, s.end_s) for s in found] == [
        ("cam-1", 0, 120), ("cam-1", 0, 120), ("cam-1", 0, 120), ("cam-2", 8, 120),
    ]  # fmt: skip
    moved = panel(THIRDS, "cam-2", 1, opacity=0.5)
    through_a_cut = looks_of((0, to("a"), look("a", side)), (8, to("b"), look("b", moved)))
    assert len(spans(THIRDS, through_a_cut)) == 1


def test_a_move_needs_the_inputs_it_crosses() -> None:
    left, right = look("l", panel(THIRDS, "cam-1", 0)), look("r", panel(THIRDS, "cam-1", 2))
    looks = looks_of((0, to("l"), left), (10, to("r", "move", 4), right))
    assert [count_at(THIRDS, looks, t) for t in (9, 11, 13)] == [1, 3, 1]


def test_a_change_that_overtakes_another_ends_it() -> None:
    a, b, c = (look(n, full(THIRDS, s)) for n, s in (("a", "cam-1"), ("b", "cam-2"), ("c", "old")))
    looks = looks_of((0, to("a"), a), (10, to("b", "mix", 32), b), (12, to("c", "mix", 4), c))
    assert [count_at(THIRDS, looks, t) for t in (11, 13, 14.5)] == [6, 6, 3]


def test_a_layer_that_arrives_later_takes_its_channel_later() -> None:
    late = panel(THIRDS, "cam-2", 1, arrives_after=4, arrives_over=2, arrives="grow")
    looks = looks_of((0, to("a"), look("a", late)))
    assert [count_at(THIRDS, looks, t) for t in (1.9, 2.0)] == [0, 1]


def random_spans(random: Random, count: int) -> tuple[Span, ...]:
    found = []
    for n in range(count):
        start = random.randint(0, 40)
        found.append(Span(f"l{n}", "s", "i", start, start + random.randint(1, 20)))
    return tuple(sorted(found, key=lambda s: (s.start_s, s.end_s)))


def overlap(a: Span, b: Span) -> bool:
    return a.start_s < b.end_s and b.start_s < a.end_s


def is_proper(occupied: tuple[Span, ...], given_: tuple[int, ...]) -> bool:
    pairs = [(n, m) for n in range(len(occupied)) for m in range(n)]
    return all(given_[n] != given_[m] for n, m in pairs if overlap(occupied[n], occupied[m]))


@given(st.integers(0, 2**32), st.integers(1, 7))
@settings(max_examples=150, deadline=None)
def test_no_allocation_does_with_fewer_by_brute_force(seed: int, count: int) -> None:
    occupied = random_spans(Random(seed), count)
    found = allocate(occupied)
    assert is_proper(occupied, found)
    fewest = max(found)
    for fewer in range(1, fewest):
        assert not any(is_proper(occupied, c) for c in product(range(fewer), repeat=count))


@given(st.integers(0, 2**32))
@settings(max_examples=15, deadline=None)
def test_as_many_channels_as_the_largest_clique(seed: int) -> None:
    """networkx finds the largest set of spans that all overlap; the allocation needs exactly as many."""
    occupied = random_spans(Random(seed), 120)
    graph = nx.Graph()
    graph.add_nodes_from(range(len(occupied)))
    graph.add_edges_from(
        (n, m) for n in range(len(occupied)) for m in range(n) if overlap(occupied[n], occupied[m])
    )
    clique = max(len(c) for c in nx.find_cliques(graph))
    found = allocate(occupied)
    assert is_proper(occupied, found)
    assert max(found) == clique == max(level.count for level in levels(occupied, 100))


def test_nothing_on_the_wall_takes_nothing() -> None:
    looks = looks_of()
    assert looks.standing[0].look == BLACK
    assert spans(THIRDS, looks) == ()
    assert levels((), 10)[0].count == 0


@pytest.mark.parametrize("at_s", [-1.0, 0.0, 119.0, 500.0])
def test_asked_for_any_instant(at_s: float) -> None:
    looks = looks_of((5, to("a"), look("a", full(THIRDS))))
    assert count_at(THIRDS, looks, at_s) == (3 if at_s >= 5 else 0)
