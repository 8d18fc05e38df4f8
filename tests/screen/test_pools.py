"""Channels that surfaces share: counted by hand, by brute force, and against the largest clique."""

from itertools import product
from random import Random
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import cue, item, show
from surface_show import POOLS, SIDES, surface_show
from wall_show import SOURCES, WALL

from showcaller.model import Layer, Show, Wall
from showcaller.readiness.plan import channels
from showcaller.screen.advice import Budget, budget, budgets
from showcaller.screen.channels import Span, level_at
from showcaller.screen.fitting import fit
from showcaller.screen.looks import looks_of
from showcaller.screen.remedies import nudges_of
from showcaller.timing.plan import compile_plan

MAIN = {**WALL, "id": "main", "name": "Main wall"}


def of(show_: Show) -> tuple[Budget, ...]:
    return budgets(show_, looks_of(compile_plan(show_), 0))


def two(
    looks: list[list[dict[str, Any]]], changes: list[tuple[str, float]], channels: int, **more: Any
) -> Show:
    """Looks one after the other, every 8 bars, on the main wall (four inputs) and two sides of one pool."""
    cues = [
        cue(f"v{n}", str(n + 1), {"at": "bar", "bar": 1 + 8 * n}, "video",
            look={"look": f"k{n}", "by": by, "beats": beats})
        for n, (by, beats) in enumerate(changes)
    ]  # fmt: skip
    made = [{"id": f"k{n}", "name": f"K{n}", "layers": layers} for n, layers in enumerate(looks)]
    rack = {"id": "rack", "name": "Rack", "channels": channels}
    surfaces = [{**MAIN, "channels": 0, "pool": "rack"}, *SIDES]
    fields = {"surfaces": surfaces, "pools": [rack], "sources": SOURCES, "looks": made, "version": 2, **more}
    return show([item("s", 120, cues, tempo=[{"bar": 1, "bpm": 120}])], **fields)


def over(source: str, left: float, width: float, **more: Any) -> dict[str, Any]:
    return {"source": source, "left_m": left, "bottom_m": 0, "width_m": width, "height_m": 10, **more}


SIDE = {"left_m": 0, "bottom_m": 0, "width_m": 6, "height_m": 8}


def test_each_pool_is_counted_by_itself() -> None:
    main, rack = of(surface_show())
    assert (main.most, main.limit, rack.most, rack.limit) == (8, 6, 2, 2)
    # "Wide" comes by a mix at 16 s and has its camera on both sides; the banner has words from 32 s to 64 s.
    assert [level_at(rack.graph, t) for t in (15, 17, 31, 33, 63, 66, 70)] == [0, 2, 2, 1, 1, 1, 0]
    assert {s.layer for s in rack.occupied} == {"cam-1@left", "cam-1@right", "words"}


def test_a_layer_that_is_hidden_costs_nothing() -> None:
    looks = [[over("cam-1", 0, 10), over("cam-2", 10, 10)]]
    assert of(two(looks, [("cut", 0)], 4))[0].most == 2
    for gone in ({"opacity": 0}, {"opacity": 0, "straight": True}):
        assert of(two([[looks[0][0], {**looks[0][1], **gone}]], [("cut", 0)], 4))[0].most == 1
    hidden = {"look": "k0", "overrides": [{"layer": "cam-1", "hidden": True}]}
    made = two(looks, [("cut", 0)], 4)
    body = made.items[0].cues[0].changed(look=hidden)
    assert of(made.changed(items=[made.items[0].changed(cues=[body])]))[0].most == 1


def test_every_place_that_does_not_fit_is_named_with_its_pool() -> None:
    both = [over("cam-1", 0, 20), {**over("cam-2", 20, 20), "also": [{"surface": "left", **SIDE}]}]
    (rack,) = of(two([both, [over("cam-3", 0, 40)], both], [("cut", 0), ("mix", 8), ("mix", 8)], 4))
    assert [(s.start_s, s.end_s, s.short) for s in rack.shortages] == [
        (0, 16, 1), (16, 20, 5), (32, 36, 5), (36, 120, 1)]  # fmt: skip
    assert rack.shortages[0].sentence == (
        "Bar 1: one channel short in Rack while “K0” stands. Taking Gate camera off Main wall or taking Roof "
        "camera off Main wall or taking Roof camera off Side left makes it fit."
    )
    assert rack.shortages[1].sentence.startswith(
        "Bar 9: five channels short in Rack while “K0” mixes into “K1”. A cut there"
    )


def test_a_fix_that_only_moves_the_trouble_is_not_offered() -> None:
    """Nudged in K0 the camera is elsewhere than in K1, which mixes in: there it would be shorter than now."""
    camera, other = over("cam-1", 0, 10.8), over("cam-2", 20, 20)
    (alone,) = of(two([[camera, other]], [("cut", 0)], 3))[0].shortages
    assert alone.remedies[0] == "nudging Gate camera 0.80 m left (7 %)"
    stands, mixes = of(two([[camera, other], [camera]], [("cut", 0), ("mix", 8)], 3))[0].shortages
    assert stands.remedies == ("taking Gate camera off Main wall", "taking Roof camera off Main wall")
    assert mixes.remedies[:2] == ("a cut there", "nudging Gate camera 0.80 m left (7 %)"), "in both looks"


def test_a_small_nudge_that_saves_a_channel_is_said() -> None:
    (rack,) = of(two([[over("cam-1", 0, 10.8), over("cam-2", 20, 20)]], [("cut", 0)], 3))
    (shortage,) = rack.shortages
    assert shortage.remedies[0] == "nudging Gate camera 0.80 m left (7 %)"
    feet = two([[over("cam-1", 0, 10.8), over("cam-2", 20, 20)]], [("cut", 0)], 3, lengths="ft")
    assert "Nudging Gate camera 2'7.5\" left (7 %)" in of(feet)[0].shortages[0].sentence
    half = two([[over("cam-1", 0, 15), over("cam-2", 20, 20)]], [("cut", 0)], 3)
    assert "udging" not in of(half)[0].shortages[0].sentence, "half of it is no nudge"


@given(st.integers(0, 2**32))
@settings(max_examples=60, deadline=None)
def test_a_nudge_saves_what_it_says_and_is_the_least_by_brute_force(seed: int) -> None:
    random = Random(seed)
    wall = Wall.model_validate(MAIN)
    ranges = {
        "left_m": (-200, 3000),
        "bottom_m": (-100, 400),
        "width_m": (100, 2500),
        "height_m": (100, 1200),
    }
    at = {name: random.randint(*ends) / 100 for name, ends in ranges.items()}
    layer = Layer(source="cam-1", **at)
    source = surface_show().sources[0]

    def inputs(left_m: float) -> int:
        """Counted anew: inputs of 10 m, each lit where half a pixel (5 mm) of it is covered at least."""
        high = min(10.0, layer.bottom_m + layer.height_m) - max(0.0, layer.bottom_m)
        wide = [min(10.0 * n + 10, left_m + layer.width_m) - max(10.0 * n, left_m) for n in range(4)]
        return sum(w >= 0.005 - 1e-9 and high >= 0.005 - 1e-9 for w in wide)

    now, found = inputs(layer.left_m), nudges_of(wall, layer, source)
    for nudge in found:
        if nudge.right_m:
            assert now - inputs(layer.left_m + nudge.right_m) == nudge.saved
    if now > 1:
        most = int(0.15 * layer.width_m * 100)
        both = ((n, layer.left_m + n / 100, layer.left_m - n / 100) for n in range(1, most + 1))
        least = next((n for n, right, left in both if min(inputs(right), inputs(left)) < now), None)
        across = [abs(n.right_m) for n in found if n.right_m]
        if least is not None:
            assert across, (layer, least)
            assert min(across) <= least / 100 + 0.011, (layer, least, across)


def test_the_check_of_the_night_names_each_place_and_what_no_message_tells() -> None:
    both = [over("cam-1", 0, 20), {**over("cam-2", 20, 20), "also": [{"surface": "left", **SIDE}]}]
    outlets = [{"kind": "osc_udp", "id": "net", "name": "Net", "port": 9000}]
    sends = [{"id": "l", "outlet": "net", "per": "layer", "address": "/l/{layer}", "args": ["{x}"]}]
    made = two([both, both], [("cut", 0), ("cut", 0)], 4, outlets=outlets, sends=sends)
    found = list(channels(made))
    assert [f.state for f in found] == ["look", "wrong", "wrong"]
    assert found[0].words == "no message tells a device what lies on Side left."
    assert list(channels(surface_show(pools=[{**POOLS[0], "channels": 9}])))[-1].state == "wrong"


def overlap(a: Span, b: Span) -> bool:
    return a.start_s < b.end_s and b.start_s < a.end_s


@given(st.integers(0, 2**32))
@settings(max_examples=60, deadline=None)
def test_two_surfaces_with_one_pool_do_with_the_fewest_channels(seed: int) -> None:
    """By brute force where there are few spans, and against the largest clique (networkx) always: the clique
    number of an interval graph is how many colours it takes."""
    random = Random(seed)
    looks: list[list[dict[str, Any]]] = []
    for _ in range(random.randint(1, 3)):
        layers = []
        for n, source in enumerate(random.sample(["cam-1", "cam-2", "cam-3", "words"], random.randint(1, 2))):
            layer = over(source, random.choice((0, 10, 20)), random.choice((8, 10, 12)), id=f"l{n}")
            if random.random() < 0.5:
                layer["also"] = [{"surface": random.choice(("left", "right")), **SIDE}]
            layers.append(layer)
        looks.append(layers)
    changes = [(random.choice(("cut", "mix", "move", "wipe")), random.choice((0, 8, 40))) for _ in looks]
    (rack,) = of(two(looks, changes, 3))
    occupied, given_ = rack.occupied, rack.given
    graph = nx.Graph()
    graph.add_nodes_from(range(len(occupied)))
    pairs = [(n, m) for n in range(len(occupied)) for m in range(n) if overlap(occupied[n], occupied[m])]
    graph.add_edges_from(pairs)
    clique = max(len(c) for c in nx.find_cliques(graph))
    assert all(given_[n] != given_[m] for n, m in pairs)
    assert max(given_) == clique == rack.most
    if len(occupied) <= 7:
        for colours in product(range(rack.most - 1), repeat=len(occupied)):
            assert not all(colours[n] != colours[m] for n, m in pairs)
    # By hand: at any instant, a channel for each input that a layer is seen in, on whichever surface.
    for level in rack.graph:
        assert level.count == sum(s.start_s <= level.start_s < s.end_s for s in occupied)
    assert bool(rack.shortages) == (rack.most > 3)


@pytest.mark.parametrize(
    ("channels", "said"), [(3, "two channels short in Rack"), (9, "fits: 5 of 9 channels")]
)
def test_what_is_next_is_asked_in_every_pool(channels: int, said: str) -> None:
    look = [over("cam-1", 0, 40), {**over("cam-2", 0, 4, surface="left"), "height_m": 4}]
    made = two([look], [("cut", 0)], channels)
    planned = compile_plan(made).items[0]
    change = made.items[0].cues[0].look
    assert change is not None
    black = made.looks[0].changed(id="black", layers=())
    assert said in fit(made, planned, black, made.looks[0], change).words
    main, rack = surface_show().changed(pools=[{**POOLS[0], "channels": 5}]), surface_show()
    assert budget(main, looks_of(compile_plan(main), 0)).pool.id == "main"
    wide = next(k for k in rack.looks if k.id == "wide")
    fits = fit(rack, compile_plan(rack).items[0], black, wide, change)
    assert fits.words == "fits: 2 of 6 in Main wall, 2 of 2 in Rack 2"
