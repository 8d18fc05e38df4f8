"""Departments' desks heard by a running engine: liblo's oscsend, a real JACK MIDI port, a TCP connection."""

import json
import socket
import subprocess
import time
import uuid

import pytest
from devices import end_engines, free_port, program, wait_until
from pythonosc import slip
from pythonosc.osc_message_builder import OscMessageBuilder
from small_shows import DEPARTMENTS, cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine

LATE_NS = 2_000_000
"""A done instant is this near to the instant at which the message came in."""


def osc(address, *args):
    builder = OscMessageBuilder(address)
    for arg in args:
        builder.add_arg(arg)
    return builder.build().dgram


@pytest.fixture
def running(tmp_path):
    clients = []

    def start(reports, outlets=()):
        departments = [{**d, "reports": reports.get(d["id"], [])} for d in DEPARTMENTS]
        cues = [
            cue("a", "1", 0),
            cue("l", "42", 40),
            cue("v", "7.5", 41, "video"),
            cue("m", "3", 42, "moves"),
        ]
        show = document([item("s", 60, cues)], departments=departments, outlets=list(outlets))
        folder = new_run_folder(tmp_path / "runs", json.dumps(show))
        process = start_engine(folder)
        clients.append((EngineClient(folder), process))
        clients[-1][0].ask("start")
        return clients[-1][0]

    yield start
    for client, _ in clients:
        client.close()
    end_engines(tmp_path / "runs")
    for _, process in clients:
        process.wait(5)


def told(client, kind="cue_reported"):
    return [(r, e) for r in client.log() for e in r.events if e.kind == kind]


def wall_of(record, event):
    """When it came in, by the machine's clock."""
    return record.wall_ns - record.t_ns + event.at_ns


def test_desks_tell_by_osc_and_over_an_outlet_s_connection(running):
    oscsend, port = program("oscsend"), free_port()
    with socket.create_server(("127.0.0.1", 0)) as desk:
        tcp = desk.getsockname()[1]
        client = running(
            {
                "lights": [
                    {
                        "kind": "osc",
                        "host": "127.0.0.1",
                        "port": port,
                        "allow": ["127.0.0.1"],
                        "address": "/cue/{cue}/fired",
                    }
                ],
                "video": [{"kind": "osc_tcp", "outlet": "wall", "address": "/fired {cue}"}],
            },
            [{"kind": "osc_tcp", "id": "wall", "name": "Wall", "port": tcp}],
        )
        desk.settimeout(10)
        wire, _ = desk.accept()
        with wire, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
            subprocess.run([oscsend, "127.0.0.1", str(port), "/cue/42/fired"], check=True)
            assert wait_until(lambda: len(told(client)) == 1)
            for data in (b"\xb2\0\0\0", osc("/cue/99/fired"), b"#bundle\0", b"x" * 5000):
                sender.sendto(data, ("127.0.0.1", port))
            wire.sendall(b"\xc0junk\xc0" + slip.encode(osc("/other", 3)))
            before = time.time_ns()
            wire.sendall(slip.encode(osc("/fired", 7.5)))
            after = time.time_ns()
            assert wait_until(lambda: len(told(client)) == 3)
            sent = time.time_ns()
            sender.sendto(osc("/cue/1/fired"), ("127.0.0.1", port))
            assert wait_until(lambda: len(told(client)) == 4)
        found = {e.number: (e.department, e.cue, wall_of(r, e)) for r, e in told(client)}
        assert {n: f[:2] for n, f in found.items()} == {
            "42": ("lights", "l"), "99": ("lights", None), "7.5": ("video", "v"), "1": ("lights", "a"),
        }  # fmt: skip
        assert (
            before <= found["7.5"][2] <= after + LATE_NS * 25
        )  # a shared machine; benchmarks have the figure
        assert sent <= found["1"][2] <= sent + LATE_NS
        unread = [e.why for _, e in told(client, "reports_heard")]
        assert any("not an OSC message" in why for why in unread)
        assert any("5000 bytes" in why for why in unread)


def test_desks_tell_by_show_control_notes_and_programmes_at_a_real_midi_port(running, jack):
    import rtmidi

    name = f"desk{uuid.uuid4().hex[:6]}"
    desk = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
    desk.open_virtual_port("out")
    try:
        client = running(
            {
                "lights": [{"kind": "msc", "port": name, "device": 3}],
                "video": [{"kind": "notes", "port": name, "cues": [{"number": 60, "cue": "7.5"}]}],
                "moves": [{"kind": "programs", "port": name, "channel": 2}],
            }
        )
        go = [0xF0, 0x7F, 3, 2, 1, 1, *b"42", 0xF7]

        def heard():
            desk.send_message(go)
            return bool(told(client))

        assert wait_until(heard)
        desk.send_message([0x90, 60, 90])
        desk.send_message([0xC1, 3])
        assert wait_until(lambda: {e.cue for _, e in told(client)} == {"l", "v", "m"})
    finally:
        desk.close_port()
        desk.delete()


def test_a_flooded_midi_port_is_said_and_tells_of_cues_all_the_same(running, jack):
    import rtmidi

    name = f"desk{uuid.uuid4().hex[:6]}"
    desk = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
    desk.open_virtual_port("out")
    try:
        client = running({"lights": [{"kind": "msc", "port": name, "device": 3}]})

        def flooded():
            for _ in range(100):
                desk.send_message([0x90, 1, 1])
            return any("messages a second" in e.why for _, e in told(client, "reports_heard"))

        assert wait_until(flooded)

        def heard():
            desk.send_message([0xF0, 0x7F, 3, 2, 1, 1, *b"42", 0xF7])
            return bool(told(client))

        assert wait_until(heard)
        assert {e.cue for _, e in told(client)} == {"l"}
    finally:
        desk.close_port()
        desk.delete()
