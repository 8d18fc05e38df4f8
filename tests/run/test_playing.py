"""What a hand plays on the wall in a run: on the log with song, bar and beat, until another look comes."""

import pytest
from test_wall_commands import PROGRAM, WALL, a_show, run

from showcaller.model import Layer
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.calls_with import admitted
from showcaller.run.codec import command_from, input_dict
from showcaller.run.compiled import NS
from showcaller.run.machine import first_state, step
from showcaller.run.playing import look_now

BEGUN = (0, c.Start(desk="one")), (1, c.Go("one:start"))


def played(events: list[ev.Event]) -> list[ev.LayerPlayed]:
    return [e for e in events if isinstance(e, ev.LayerPlayed)]


def test_a_played_layer_is_told_with_song_bar_and_beat_and_stands_so() -> None:
    state, events, refused = run(*BEGUN, (9.25, c.PlayLayer("cam", {"left_m": 2.00004, "opacity": 0.6}, 1)))
    (one,) = played(events)
    assert refused == [None] * 3
    # 8.25 s at 120 a minute in 4/4: sixteen beats are four bars, half a beat of the fifth has gone.
    assert (one.item, one.at_s, one.bar, one.beat) == ("one", 8.25, 5, 1)
    assert (one.look, one.layer, one.fields) == ("wide", "cam", {"left_m": 2.0, "opacity": 0.6})
    (layer,) = look_now(a_show(), state.on_wall).layers
    assert (layer.left_m, layer.bottom_m, layer.width_m, layer.opacity) == (2.0, 0, 10, 0.6)


def test_the_next_planned_look_stands_as_planned() -> None:
    state, events, _ = run(*BEGUN, (9, c.PlayLayer("cam", {"left_m": 2}, 1)), (31, c.Go("one:b")))
    assert state.on_wall.played == {}
    assert state.on_wall.number == 2
    (_, side) = [e for e in events if isinstance(e, ev.LookShown)]
    assert [Layer.model_validate(x).left_m for x in side.layers] == [0]


def test_a_hand_that_is_late_moves_nothing_of_the_look_that_has_come() -> None:
    _, _, refused = run(*BEGUN, (31, c.Go("one:b")), (31.01, c.PlayLayer("cam", {"left_m": 2}, 1)))
    assert refused[-1] == "“Side” is on the wall now: choose its layer, and change it there"


def test_a_layer_taken_out_by_hand_keeps_its_place_and_comes_back_as_it_was() -> None:
    hide, show = (c.PlayLayer("cam", {"hidden": x}, 1) for x in (True, False))
    state, _, _ = run(*BEGUN, (3, c.PlayLayer("cam", {"opacity": 0.7}, 1)), (4, hide))
    assert [x.opacity for x in look_now(a_show(), state.on_wall).layers] == [0.0]
    state, _, _ = run(*BEGUN, (3, c.PlayLayer("cam", {"opacity": 0.7}, 1)), (4, hide), (5, show))
    assert [x.opacity for x in look_now(a_show(), state.on_wall).layers] == [0.7]


def test_back_to_the_plan_is_the_planned_look_with_what_its_place_had_otherwise() -> None:
    state, events, refused = run(
        *BEGUN,
        (9, c.PlayLayer("cam", {"left_m": 2}, 1)),
        (10, c.PutLook("side")),
        (11, c.PlayLayer("cam", {"opacity": 0.2}, 2)),
        (12, c.BackToPlan("mix", 4)),
        (13, c.BackToPlan()),
    )
    last = [e for e in events if isinstance(e, ev.LookShown)][-1]
    assert (last.look, last.cue, last.by, last.over_s, last.to_plan) == ("wide", None, "mix", 2.0, True)
    assert [Layer.model_validate(x).opacity for x in last.layers] == [0.5]  # the cue's own
    assert state.on_wall.played == {}
    assert refused[-2:] == [None, "the wall is as planned already; nothing to take back"]


_METRES = "left_m is metres from the wall's left edge, -1000 to 1000; not"


def test_a_look_is_put_up_otherwise_than_it_is_in_one_piece() -> None:
    look = c.PutLook("side", "mix", 4, {"cam": {"opacity": 0.25, "bottom_m": 1}})
    state, events, refused = run(*BEGUN, (9, look))
    side = [e for e in events if isinstance(e, ev.LookShown)][-1]
    (layer,) = [Layer.model_validate(x) for x in side.layers]
    assert (layer.left_m, layer.bottom_m, layer.opacity) == (0, 1, 0.25)
    assert refused[-1] is None
    assert state.on_wall.played == {}
    assert command_from(dict(input_dict(look))) == look


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (c.PutLook("side", played={"sun": {"opacity": 1}}), "“Side” has no layer 'sun'; it has cam"),
        (c.PutLook("side", played={"cam": {"opacity": 3}}), "opacity is 0 to 1 (100 %); not '3'"),
        (c.PutLook("side", played={"cam": {"source": "sun"}}), "this show has no source 'sun'; it has cam"),
        (c.PlayLayer("cam", {"opacity": 7}, 1), "opacity is 0 to 1 (100 %); not '7'"),
        (c.PlayLayer("cam", {"width_m": 0}, 1), "width_m is more than 0 and up to 1000 m; not '0'"),
        (c.PlayLayer("cam", {"left_m": float("nan")}, 1), f"{_METRES} 'nan'"),
        (c.PlayLayer("cam", {"left_m": 1e9}, 1), f"{_METRES} '1000000000.0'"),
        (c.PlayLayer("cam", {"left_m": None}, 1), f"{_METRES} 'None'"),
        (c.PlayLayer("cam", {"crop": {"left": 2}}, 1),
         "crop is left, right, top and bottom, each 0 and less than 1; not \"{'left': 2}\""),
        (c.PlayLayer("cam", {"size": 2}, 1),
         "a layer has no 'size'; it has source, left_m, bottom_m, width_m, height_m, crop, opacity, "
         "treatments, flip, hidden"),
        (c.PlayLayer("cam", {}, 1), "layer 'cam' is given no field; give it one, such as opacity"),
        (c.PlayLayer("sun", {"opacity": 1}, 1), "“Wide” has no layer 'sun'; it has cam"),
        (c.PlayLayer("cam", {"source": "sun"}, 1), "this show has no source 'sun'; it has cam"),
        (c.BackToPlan(), "the wall is as planned already; nothing to take back"),
    ],
)  # fmt: skip
def test_what_cannot_be_played_says_so(given: c.Input, why: str) -> None:
    assert run(*BEGUN, (2, given))[2][-1] == why


def test_before_any_look_there_is_nothing_to_play() -> None:
    _, _, refused = run((0, c.Start()), (1, c.PlayLayer("cam", {"opacity": 1}, 1)), (2, c.BackToPlan()))
    assert refused[1:] == [
        "nothing is on the wall yet: put up a look first, or wait for its cue",
        "no cue has brought a look yet, so there is no plan to go back to; put up a look",
    ]
    assert WALL["width_m"] == 20


def test_a_desk_without_the_calls_may_play_and_hold_the_show_it_may_not() -> None:
    state = step(PROGRAM, first_state(PROGRAM), c.Start(desk="one"), 0)[0]
    for given in (c.PlayLayer("cam", {"opacity": 1}, 1), c.BackToPlan()):
        assert admitted(state, "two", given) is given
    assert isinstance(admitted(state, "two", c.Hold()), c.NotCalling)


def test_while_the_show_is_held_the_wall_can_be_played() -> None:
    state, _, refused = run(*BEGUN, (5, c.Hold("x")), (6, c.PlayLayer("cam", {"opacity": 0.1}, 1)))
    assert refused[-1] is None
    assert state.phase == "held"
    assert state.item_ns(round(9 * NS)) == 4 * NS


def test_behind_a_gap_of_the_log_what_was_played_is_known() -> None:
    heard = run(*BEGUN, (9, c.PlayLayer("cam", {"left_m": 2}, 1)))[1]
    state, _, _ = run((0, c.Recovered(0, missing=3, heard=((NS, tuple(heard)),))))
    assert state.on_wall.played == {"cam": {"left_m": 2.0}}
