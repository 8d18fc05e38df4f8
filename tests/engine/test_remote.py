"""Remote control: only from where it is allowed, one press one go, never a hazard; over real ports."""

import json
import socket
import subprocess
import time
import uuid

import pytest
from devices import end_engines, free_port, program, wait_until
from hypothesis import given
from hypothesis import strategies as st
from played import Played
from pythonosc.osc_message_builder import OscMessageBuilder
from small_shows import cue, document, item, two_songs

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.remote.gate import GAP_NS, Asked, Gate
from showcaller.engine.remote.midi import pedal_of
from showcaller.model import DocumentError, parse_show
from showcaller.model.remote import MidiRemote
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS


def gate_of(run):
    return Gate()


def asked(what, at_s, text=""):
    return Asked(what, "test", round(at_s * NS), text)


@given(st.lists(st.floats(0, 0.39), min_size=1, max_size=60))
def test_however_a_foot_trembles_it_is_one_go(gaps):
    run = Played(two_songs())
    gate = gate_of(run)
    at_s, taken = 100.0, []
    for gap_s in [0.0, *gaps]:
        at_s += gap_s
        taken.append(gate.admit(asked("go", at_s), run.compiled, run.state))
    assert [t for t in taken if isinstance(t, c.Go)] == [c.Go("first:start")]


def test_a_hazardous_go_is_never_given_by_remote():
    run = Played(two_songs())
    for t_s in (0, 10, 20):
        run.go(t_s)
    run.at(25, c.Clear("path", True))
    assert gate_of(run).admit(asked("go", 30), run.compiled, run.state) == (
        "the next go is hazardous: give it at the desk, with its second key"
    )


def test_standby_hold_and_note_become_their_commands():
    run = Played(two_songs())
    run.go(0)
    gate = gate_of(run)
    standby = gate.admit(asked("standby", 1), run.compiled, run.state)
    assert isinstance(standby, c.Standby)
    assert "b" in standby.cues
    assert gate.admit(asked("hold", 2), run.compiled, run.state) == c.Hold("by test")
    assert gate.admit(asked("note", 3, "late"), run.compiled, run.state) == c.WriteNote("late")
    assert (
        gate.admit(asked("end", 4), run.compiled, run.state)
        == "'end' is not something a remote can ask for: it sends go, standby, hold or note"
    )


# MIDI 1.0: 9n note on (velocity 0 is a release), 8n note off, Bn control change, Cn programme change.
@pytest.mark.parametrize(
    ("message", "does"),
    [
        ("903c40", "go"), ("903c00", None), ("803c40", None), ("913c40", None), ("903d40", None),
        ("b0407f", "standby"), ("b04000", None), ("b0403f", None), ("c005", "hold"), ("f8", None),
    ],
)  # fmt: skip
def test_only_the_named_messages_on_the_named_channel_act(message, does):
    pedals = (
        {"message": "note", "number": 60, "does": "go"},
        {"message": "control", "number": 64, "does": "standby"},
        {"message": "program", "number": 5, "does": "hold"},
    )
    remote = MidiRemote.model_validate({"kind": "midi", "port": "pedal", "pedals": pedals})
    assert pedal_of(remote, bytes.fromhex(message)) == does


def test_an_address_that_is_none_is_refused_in_the_document():
    doc = document([item("s", 10, [])], remotes=[{"kind": "osc", "port": 9001, "allow": ["desk.local"]}])
    with pytest.raises(DocumentError, match=r"'desk\.local' is not an address"):
        parse_show(json.dumps(doc))


@pytest.fixture
def running(tmp_path):
    """An engine with these remotes; yields a function, ends them all."""
    clients = []

    def start(remotes):
        cues = [cue("a", "1", 0), cue("b", "2", 30)]
        folder = new_run_folder(
            tmp_path / "runs", json.dumps(document([item("s", 60, cues)], remotes=remotes))
        )
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


def events(client, kind):
    return [e for r in client.log() for e in r.events if e.kind == kind]


def osc(address, *args):
    builder = OscMessageBuilder(f"/showcaller/{address}")
    for arg in args:
        builder.add_arg(arg)
    return builder.build().dgram


def test_osc_is_heard_from_an_allowed_address_and_from_no_other(running):
    heard, deaf = free_port(), free_port()
    client = running(
        [
            {"kind": "osc", "port": heard, "allow": ["127.0.0.1"]},
            {"kind": "osc", "port": deaf, "allow": ["192.0.2.7"]},
        ]
    )
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        sender.sendto(osc("go"), ("127.0.0.1", deaf))
        sender.sendto(b"\xff\xfe", ("127.0.0.1", heard))
        sender.sendto(osc("note", "from front of house"), ("127.0.0.1", heard))
        assert wait_until(lambda: len(events(client, "note")) == 1)
        assert events(client, "fired") == []
        for _ in range(30):
            sender.sendto(osc("go"), ("127.0.0.1", heard))
        assert wait_until(lambda: len(events(client, "remote")) == 32)
    assert [e.cue for e in events(client, "fired")] == ["a"]
    assert "not an OSC message" in events(client, "remote")[0].why
    assert events(client, "remote")[1] == ev.RemoteAsked(what="note", source="OSC from 127.0.0.1", why=None)


def test_a_port_in_use_is_said_and_the_run_goes_on(running):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        port = other.getsockname()[1]
        client = running([{"kind": "osc", "port": port, "allow": ["127.0.0.1"]}])
        assert wait_until(lambda: bool(events(client, "remote")))
        assert (
            f"cannot listen at 127.0.0.1 port {port}: address already in use"
            in events(client, "remote")[0].why
        )
        assert client.ask("go", go="s:start")["ok"]


def test_a_pedal_at_a_real_midi_port_gives_a_go(running, jack):
    import rtmidi

    name = f"pedal{uuid.uuid4().hex[:6]}"
    pedal = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
    pedal.open_virtual_port("out")
    try:
        pedals = [{"message": "control", "number": 64, "does": "go"}]
        client = running([{"kind": "midi", "port": name, "pedals": pedals}])
        assert wait_until(lambda: press_and_look(pedal, client))
    finally:
        pedal.close_port()
        pedal.delete()
    assert [e.cue for e in events(client, "fired")] == ["a"]


def press_and_look(pedal, client):
    """The port opens in its own time; press until it has heard."""
    pedal.send_message([0xB0, 64, 127])
    pedal.send_message([0xB0, 64, 0])
    return bool(events(client, "fired"))


def test_whatever_is_sent_the_listener_lives_and_says_so(running):
    """Four bytes used to end it for good."""
    port = free_port()
    client = running([{"kind": "osc", "port": port, "allow": ["127.0.0.1"]}])
    far_off = b"#bundle\0" + bytes(8 * [0xE0]) + len(osc("go")).to_bytes(4, "big") + osc("go")
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        for data in (b"\xb2\0\0\0", b"", b"/\0\0\0,s\0\0\xff\0\0\0", osc("fire"), far_off, b"y" * 9000):
            for _ in range(500):
                sender.sendto(data, ("127.0.0.1", port))
        assert wait_until(lambda: send_and_look(sender, port, osc("note", "alive"), client, "note"))
    said = [e for e in events(client, "remote") if e.what == ""]
    assert {e.source for e in said} == {"OSC from 127.0.0.1"}
    assert 2 <= len(said) <= 12  # how many depends on how soon it is told that it is too much
    assert events(client, "fired") == []


def send_and_look(sender, port, data, client, kind):
    """A datagram may be lost in a flood; send until it has been heard."""
    sender.sendto(data, ("127.0.0.1", port))
    return bool(events(client, kind))


def test_a_button_of_another_program_pressed_and_let_go_is_one_go(running):
    """liblo's oscsend as the sender: 1.0 and 0.0, then true and false, fire a cue each, not two."""
    oscsend, port = program("oscsend"), free_port()
    client = running([{"kind": "osc", "port": port, "allow": ["127.0.0.1"]}])

    def send(*rest):
        subprocess.run([oscsend, "127.0.0.1", str(port), "/showcaller/go", *rest], check=True)

    send("f", "0.0")
    send("f", "1.0")
    send("f", "0.0")
    assert wait_until(lambda: len(events(client, "fired")) == 1)
    deadline = time.monotonic() + GAP_NS / 1e9 + 0.1
    wait_until(lambda: time.monotonic() > deadline)
    send("F")
    send("T")
    send("F")
    assert wait_until(lambda: len(events(client, "fired")) == 2)
    asked = [e for e in events(client, "remote") if e.what == "go"]
    assert [e.why for e in asked] == [None, None]


def test_a_port_that_is_let_go_by_another_program_is_taken(running):
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
        other.bind(("127.0.0.1", 0))
        port = other.getsockname()[1]
        client = running([{"kind": "osc", "port": port, "allow": ["127.0.0.1"]}])
        assert wait_until(lambda: bool(events(client, "remote")))
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        assert wait_until(lambda: send_and_look(sender, port, osc("note", "here"), client, "note"))
    assert [e.why for e in events(client, "remote") if e.what == "listen"][1:] == [
        f"remote control listens at 127.0.0.1 port {port}"
    ]


def test_a_real_pedal_on_its_way_down_and_up_is_one_go(running, jack):
    import rtmidi

    name = f"pedal{uuid.uuid4().hex[:6]}"
    pedal = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name=name)
    pedal.open_virtual_port("out")
    try:
        pedals = [
            {"message": "control", "number": 64, "does": "go"},
            {"message": "note", "number": 60, "does": "hold"},
        ]
        client = running([{"kind": "midi", "port": name, "pedals": pedals}])
        assert wait_until(lambda: press_and_look(pedal, client))
        pedal.send_message([0x90, 60, 64])
        assert wait_until(lambda: len(asked_for(client)) > 0 and asked_for(client)[-1] == "hold")
        before = len(asked_for(client))
        pedal.send_message([0x90, 60, 0])
        for value in (*range(0, 128, 3), *range(127, -1, -3)):
            pedal.send_message([0xB0, 64, value])

        def held() -> bool:  # pressed again where JACK's dummy driver, on a busy machine, lost the press
            pedal.send_message([0x90, 60, 64])
            pedal.send_message([0x90, 60, 0])
            return wait_until(lambda: "hold" in asked_for(client)[before:], timeout_s=1)

        assert wait_until(held)
    finally:
        pedal.close_port()
        pedal.delete()
    asked = asked_for(client)[before:]
    assert asked == ["go"] + ["hold"] * (len(asked) - 1)


def asked_for(client):
    return [e.what for e in events(client, "remote") if e.what in ("go", "hold")]


def test_a_device_that_sends_much_that_is_not_for_us_loses_no_press(running):
    port = free_port()
    client = running([{"kind": "osc", "port": port, "allow": ["127.0.0.1"]}])
    meter = OscMessageBuilder("/meter/1")
    meter.add_arg(0.5)
    body = meter.build().dgram
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        for n in range(3000):
            sender.sendto(body, ("127.0.0.1", port))
            if n % 100 == 0:  # no faster than it is taken out of the socket
                sender.sendto(osc("note", f"n{n}"), ("127.0.0.1", port))
                assert wait_until(lambda n=n: f"n{n}" in [e.text for e in events(client, "note")])
    said = [e.why for e in events(client, "remote") if e.what == ""]
    assert any("more than 200 packets a second" in why for why in said)
    assert len(said) <= 4
