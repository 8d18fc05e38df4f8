"""A run without a window goes from instant to instant: the same at any speed, and never late."""

import socket
import time

import pytest
from small_shows import DEPARTMENTS, cue, desk_show, item, show

from showcaller.calling.headless import run_headless
from showcaller.engine.runfile import read_run
from showcaller.run import events as ev
from showcaller.run.compiled import NS

WALL0_NS = 1_760_000_000 * NS


def ran(made, runs, speed, seed=3, muted=False):
    folder = run_headless(made, runs, speed, seed, WALL0_NS, lambda name, share: None, muted)
    return read_run(folder / "journal")


def story(run):
    aside = (ev.MessagesSent, ev.MessagesFailed, ev.OutletState, ev.JournalState)
    return [(r.t_ns, r.wall_ns, e) for r in run.records for e in r.events if not isinstance(e, aside)]


def test_a_long_show_at_any_speed_is_over_when_the_machine_has_gone_through_it(tmp_path):
    cues = [cue(f"c{n}", str(n + 1), 10.0 * n) for n in range(60)]
    made = show([item("a", 3600, cues), item("b", 3600, [])])
    began = time.monotonic()
    fast = ran(made, tmp_path, 1e9)
    assert time.monotonic() - began < 20, "two hours"
    assert fast.ended
    assert story(ran(made, tmp_path, 20_000)) == story(fast)


def test_it_never_runs_ahead_of_its_speed(tmp_path):
    began = time.monotonic()
    run = ran(show([item("a", 60, [cue("c", "1", 0)])]), tmp_path, 60.0)
    length_s = run.records[-1].t_ns / NS
    assert time.monotonic() - began >= length_s / 60


def test_its_messages_leave_through_real_sockets_and_none_is_late(tmp_path):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as device:
        device.bind(("127.0.0.1", 0))
        device.settimeout(2)
        run = ran(desk_show(device.getsockname()[1]), tmp_path, 5000.0)
        heard = [device.recv(200).split(b"\0")[0].decode() for _ in range(6)]
    assert heard == ["/a", "/b", "/c", "/m", "/z", "/y"]
    sent = [e.late_ms for r in run.records for e in r.events if isinstance(e, ev.MessagesSent)]
    assert len(sent) == 6
    assert max(sent) < 50


def test_cue_lights_are_told_too_and_none_of_a_muted_run(tmp_path):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as device:
        device.bind(("127.0.0.1", 0))
        port = device.getsockname()[1]
        lamp = {"standby": "/red", "go": "/green", "off": "/dark"}
        told = {
            state: [{"kind": "osc", "outlet": "net", "address": address}] for state, address in lamp.items()
        }
        lights = {**DEPARTMENTS[0], "cue_light": told}
        outlets = [{"kind": "osc_udp", "id": "net", "name": "Net", "port": port}]
        made = show(
            [item("a", 60, [cue("c", "1", 0), cue("d", "2", 30)])],
            departments=[lights, *DEPARTMENTS[1:]], outlets=outlets,
        )  # fmt: skip
        device.settimeout(0.3)
        ran(made, tmp_path, 5000.0, muted=True)
        with pytest.raises(TimeoutError):
            device.recv(200)
        ran(made, tmp_path, 5000.0)
        heard = []
        try:
            while True:
                heard.append(device.recv(200).split(b"\0")[0].decode())
        except TimeoutError:
            pass
    assert {"/red", "/green"} <= set(heard)
    assert heard.count("/green") >= 2
