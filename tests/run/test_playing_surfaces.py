"""A hand on a layer's further place on another surface: on the log, in the messages, kept afterwards."""

import pytest
from surface_show import surface_show

from showcaller.editing import apply
from showcaller.engine.played_out import PlayedOut
from showcaller.model import Override, Show
from showcaller.run import commands as c
from showcaller.run.codec import command_from, input_dict
from showcaller.run.compiled import NS, compile_show
from showcaller.run.kept_changes import as_variation
from showcaller.run.machine import first_state, step
from showcaller.run.playing import look_now
from showcaller.run.state import RunState
from showcaller.screen.costs import channels
from showcaller.screen.surfaces import look_on
from showcaller.timing.plan import compile_plan
from showcaller.values import replace

SENDS = [
    {"id": "place", "outlet": "processor", "numbers": "px", "address": "/{input}/{layer}",
     "args": ["{surface}", "{x:i}", "{width:i}"]},
    {"id": "whole", "outlet": "processor", "per": "layer", "numbers": "px", "address": "/whole/{layer}",
     "args": ["{x:i}"]},
]  # fmt: skip
SHOW = surface_show(sends=SENDS)
PROGRAM = compile_show(compile_plan(SHOW))


class Hand:
    """A run with “Wide” on from 16 s, and what is told to the devices."""

    def __init__(self, show: Show = SHOW) -> None:
        self.show, self.program = show, compile_show(compile_plan(show))
        self.state: RunState = first_state(self.program)
        self.out, self.refused = PlayedOut(), None
        for at_s, one in ((0, c.Start()), (0, c.Go("gulls:start")), (16, c.PutLook("wide"))):
            self.given(at_s, one)

    def given(self, at_s: float, one: c.Command) -> None:
        self.state, out = step(self.program, self.state, one, round(at_s * NS))
        self.refused = out.refused
        assert self.state.on_wall is not None or at_s == 0
        if out.played is not None and self.state.on_wall is not None:
            self.out.want(self.show, self.state.on_wall, *out.played, round(at_s * NS))

    def play(self, layer: str, at_s: float = 20, **fields: object) -> None:
        assert self.state.on_wall is not None
        given = c.PlayLayer(layer, fields, self.state.on_wall.number)
        assert command_from(input_dict(given)) == given
        self.given(at_s, given)

    def told(self, at_s: float) -> list[tuple[object, ...]]:
        found: list[tuple[object, ...]] = []
        assert self.state.on_wall is not None
        while self.out.due_ns is not None and self.out.due_ns <= at_s * NS:
            found += [
                (s.message.address, *s.message.args)
                for s in self.out.take(self.show, self.state.on_wall, round(at_s * NS))
            ]
        return found


def test_a_place_is_played_and_the_others_stay() -> None:
    hand = Hand()
    hand.play("cam-1@left", left_m=1.5, width_m=3)
    assert hand.refused is None
    assert hand.state.on_wall is not None
    now = look_now(SHOW, hand.state.on_wall)
    assert [(x.left_m, x.width_m) for s in ("left", "right") for x in look_on(now, s, "main").layers] == [
        (1.5, 3), (0, 6)]  # fmt: skip
    assert look_on(now, "main", "main").layers[1].left_m == 15
    hand.play("cam-1@left", hidden=True)
    out = look_on(look_now(SHOW, hand.state.on_wall), "left", "main")
    assert [channels(SHOW.surfaces[1], x) for x in out.layers] == [0], "it shows nothing, and costs nothing"
    hand.play("cam-1@left", hidden=False)
    assert look_on(look_now(SHOW, hand.state.on_wall), "left", "main").layers[0].left_m == 1.5


@pytest.mark.parametrize(
    ("layer", "fields", "sentence"),
    [
        ("cam-1@banner", {"left_m": 1}, "layer 'cam-1' is not on 'banner'; it is on main, left, right"),
        ("sea@left", {"left_m": 1}, "layer 'sea' is not on 'left'; it is on main"),
        ("none@left", {"left_m": 1}, "“Wide” has no layer 'none@left'; it has sea, cam-1"),
        ("cam-1@left", {"opacity": 0.5},
         "opacity is the whole layer's, not its place's on 'left'; play it on 'cam-1'"),
    ],
)  # fmt: skip
def test_what_is_not_there_is_said(layer: str, fields: dict[str, object], sentence: str) -> None:
    hand = Hand()
    hand.play(layer, **fields)
    assert hand.refused == sentence


def test_every_surface_is_told_by_its_inputs_and_a_whole_layers_template_only_the_first() -> None:
    hand = Hand()
    hand.play("cam-1", width_m=8)
    assert hand.told(21) == [
        ("/in-b/2", "main", 500, 500), ("/in-c/2", "main", 0, 300), ("/left-in/2", "left", 0, 300),
        ("/right-in/2", "right", 0, 300), ("/whole/2", 1500)]  # fmt: skip
    hand.play("cam-1@left", at_s=22, hidden=True)
    assert hand.told(23)[0] == ("/left-in/2", "left", 0, 0), "what the place has left is told so"
    both = [{**SENDS[1], "address": "/{surface}/{layer}"}]
    named = Hand(surface_show(sends=both))
    named.play("cam-1@right", left_m=1)
    assert named.told(21) == [("/main/2", 1500), ("/left/2", 0), ("/right/2", 50)]


def test_a_whole_layers_template_is_told_no_nonsense_after_a_kill() -> None:
    hand = Hand()
    hand.play("cam-1", left_m=14)
    hand.out = PlayedOut()
    hand.out.again(SHOW, hand.state.on_wall, 0)
    assert [m for m in hand.told(1) if m[0] == "/whole/2"] == [("/whole/2", 1400)]


def test_what_was_played_of_a_place_is_kept_with_the_cue() -> None:
    hand = Hand()
    hand.play("cam-1@left", left_m=1.25)
    on = hand.state.on_wall
    assert on is not None
    # As if the cue had brought it.
    on = replace(on, planned=replace(on.shown, cue="v2"))
    made, _ = apply(SHOW, as_variation(SHOW, on, SHOW))
    change = made.items[0].cues[1].look
    assert change is not None
    assert change.overrides == (Override(layer="cam-1", surface="left", left_m=1.25),)
