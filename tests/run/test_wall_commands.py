"""What the director does to the wall in a run: on the log as composed, and to the devices as messages."""

import json
import socket
from typing import Any

import pytest
from pythonosc.osc_message import OscMessage as Parsed
from small_shows import cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model import Layer, Show, parse_show
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS, compile_show
from showcaller.run.machine import first_state, step
from showcaller.screen.faults import Panel
from showcaller.timing.plan import compile_plan

WALL = {
    "width_m": 20, "height_m": 10, "width_px": 2000, "height_px": 1000, "panel_px": [100, 100], "channels": 4,
    "inputs": [
        {"id": "left", "name": "Left", "x_px": 0, "y_px": 0, "width_px": 1000, "height_px": 1000},
        {"id": "right", "name": "Right", "x_px": 1000, "y_px": 0, "width_px": 1000, "height_px": 1000},
    ],
}  # fmt: skip
CAM = {"source": "cam", "left_m": 5, "bottom_m": 0, "width_m": 10, "height_m": 10}
LOOKS = [
    {"id": "wide", "name": "Wide", "layers": [CAM]},
    {"id": "side", "name": "Side", "layers": [{**CAM, "left_m": 0}]},
]
SENDS = [
    {
        "id": "clear",
        "outlet": "net",
        "per": "look",
        "address": "/look",
        "args": ["{look}", "{by}", "{seconds}"],
    },
    {
        "id": "place",
        "outlet": "net",
        "numbers": "px",
        "address": "/{input}/{layer}",
        "args": ["{x:i}", "{width:i}"],
    },
]


def a_show(port: int = 9000) -> Show:
    change = {"look": "wide", "by": "mix", "beats": 8, "overrides": [{"layer": "cam", "opacity": 0.5}]}
    own = [{"kind": "osc", "outlet": "net", "address": "/own"}]
    cues = [cue("a", "1", {"at": "bar", "bar": 1}, "video", look=change, messages=own),
            cue("b", "2", 30, "video", look={"look": "side"})]  # fmt: skip
    song = item("one", 60, cues, tempo=[{"bar": 1, "bpm": 120}])
    outlets = [{"kind": "osc_udp", "id": "net", "name": "Net", "port": port}]
    sources = [{"id": "cam", "name": "Cam", "kind": "camera"}]
    return parse_show(
        json.dumps(document([song], wall=WALL, looks=LOOKS, sources=sources, outlets=outlets, sends=SENDS))
    )


PROGRAM = compile_show(compile_plan(a_show()))


def run(*given: tuple[float, c.Input]) -> tuple[Any, list[ev.Event], list[str | None]]:
    """(state, events, refusals) of inputs at seconds."""
    state, events, refused = first_state(PROGRAM), [], []
    for at_s, one in given:
        state, out = step(PROGRAM, state, one, round(at_s * NS))
        events += out.events
        refused.append(out.refused)
    return state, events, refused


def test_a_fired_look_is_on_the_log_with_its_layers_as_composed() -> None:
    _, events, _ = run((0, c.Start()), (1, c.Go("one:start")))
    (look,) = [e for e in events if isinstance(e, ev.LookShown)]
    assert (look.item, look.cue, look.look, look.by) == ("one", "a", "wide", "mix")
    assert look.over_s == pytest.approx(4.0)  # 8 beats at 120 a minute
    (layer,) = [Layer.model_validate(x) for x in look.layers]
    assert (layer.source, layer.left_m, layer.opacity) == ("cam", 5, 0.5)  # the override is in it


def test_a_look_by_hand_is_on_the_log_and_the_plan_goes_on() -> None:
    state, events, refused = run(
        (0, c.Start()), (1, c.Go("one:start")), (13, c.PutLook("side", "move", 2.0)), (31, c.Go("one:b"))
    )
    looks = [(e.look, e.cue, e.by, e.at_s, e.over_s) for e in events if isinstance(e, ev.LookShown)]
    assert looks == [
        ("wide", "a", "mix", 0.0, 4.0),
        ("side", None, "move", 12.0, 1.0),
        ("side", "b", "cut", 30.0, 0.0),
    ]
    assert refused == [None] * 4
    assert state.place.item == 1


@pytest.mark.parametrize(
    ("given", "why"),
    [
        (c.PutLook("nope"), "no look 'nope' in this show; it has wide, side"),
        (c.PutLook("wide", "fade"), "a transition is a cut, mix, move, wipe, not a 'fade'"),
        (c.PutLook("wide", "mix", 900.0), "a change takes 0 to 256 beats, not 900"),
        (c.Fault(21, 1), "the wall has 20 × 10 panels; that one is off the wall"),
        (c.Fault(1, 1, surface="gone"), "no surface 'gone' any more; there are "),
        (c.Fault(1, 1, what="sad"), "a panel is dead, dim, flickering, wrong colour, not 'sad'"),
    ],
)
def test_what_cannot_be_done_says_so(given: c.Input, why: str) -> None:
    first, said = run((0, c.Start()), (1, given))[2]
    assert first is None
    assert why in str(said)


def test_a_fault_is_stamped_with_the_place_and_marked_once() -> None:
    state, events, refused = run(
        (0, c.Start()),
        (1, c.Go("one:start")),
        (9, c.Fault(3, 4)),
        (10, c.Fault(3, 4)),
        (11, c.Fault(3, 4, what="dim")),
        (12, c.Fault(7, 1, rows=10, words="a whole strip")),
        (13, c.Fault(3, 4, mended=True)),
    )
    first, *_, strip, mended = [e for e in events if isinstance(e, ev.FaultMarked)]
    assert (first.panels, first.item, first.at_s, first.bar) == (((3, 4),), "one", 8.0, 5)
    assert refused[3] == "C4 is marked as dead already"
    assert len(strip.panels) == 10
    assert mended.mended
    assert state.faults == {Panel(7, n): "dead" for n in range(1, 11)}


def test_a_fault_is_seen_before_the_run_begins_too() -> None:
    _, events, refused = run((0, c.Fault(1, 1)))
    assert refused == [None]
    assert events[0].at_s is None


def test_the_devices_get_a_cues_look_after_its_own_messages_and_a_look_by_hand(tmp_path) -> None:
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(5)
        show = json.loads(a_show(sock.getsockname()[1]).model_dump_json(exclude_defaults=True))
        folder = new_run_folder(tmp_path, json.dumps(show))
        process = start_engine(folder)
        try:
            with EngineClient(folder) as client:
                client.ask("start", caller="Ada")
                assert client.ask("go", go="one:start")["ok"]
                assert client.ask("look", look="side")["ok"]
                got = [Parsed(sock.recv(4096)) for _ in range(6)]
                client.ask("end")
        finally:
            process.kill()
            process.wait()
    assert [(p.address, list(p.params)) for p in got] == [
        ("/own", []),
        ("/look", ["wide", "mix", 4.0]),
        ("/left/1", [500, 500]),
        ("/right/1", [0, 500]),
        ("/look", ["side", "cut", 0.0]),
        ("/left/1", [0, 1000]),
    ]
