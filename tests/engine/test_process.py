"""The engine as it runs on the night: its own process, real sockets, real programs on the other end."""

import json
import os
import signal
import socket
import subprocess
import time

import pytest
from devices import free_port, wait_until
from small_shows import cue, document, follow, item

from showcaller.engine.client import EngineClient
from showcaller.engine.journal import read_journal
from showcaller.engine.launch import LaunchError, engine_lives, new_run_folder, start_engine
from showcaller.engine.runfile import read_run


def osc(outlet, address, *args):
    return {"kind": "osc", "outlet": outlet, "address": address, "args": list(args)}


@pytest.fixture
def engine(tmp_path):
    """Start an engine: ``engine(document, speed) -> (folder, process)``; all end with the test."""
    running: list[subprocess.Popen] = []

    def start(doc, speed=1.0):
        folder = new_run_folder(tmp_path / "runs", json.dumps(doc))
        running.append(start_engine(folder, speed))
        return folder, running[-1]

    def again(folder):
        running.append(start_engine(folder))
        return running[-1]

    start.again = again
    yield start
    for process in running:
        process.kill()
        process.wait()


def events(client, kind):
    return [e for r in client.log() for e in r.events if e.kind == kind]


def test_udp_and_tcp_messages_arrive_in_planned_order_at_an_independent_receiver(engine, oscdump):
    udp_port, udp = oscdump("udp")
    tcp_port, tcp = oscdump("tcp")
    length_port, length = oscdump("tcp")
    outlets = [
        {"kind": "osc_udp", "id": "u", "name": "U", "port": udp_port},
        {"kind": "osc_tcp", "id": "t", "name": "T", "port": tcp_port},
        {"kind": "osc_tcp", "id": "l", "name": "L", "port": length_port, "framing": "length"},
    ]
    both = [osc("u", "/go", 1, 2.5, "one"), osc("t", "/go", 1, True), osc("l", "/first", "é")]
    cues = [
        cue("a", "1", 0, messages=both),
        cue("b", "2", 0.2, fires="by itself", messages=[osc("t", "/two"), osc("u", "/two", -7)]),
        follow(
            "c", "3", "b", 0.1, messages=[osc("u", "/three", 3), osc("t", "/three", "x y"), osc("l", "/last")]
        ),
    ]
    folder, _ = engine(document([item("s", 10, cues)], outlets=outlets))
    with EngineClient(folder) as client:
        client.ask("start")
        assert wait_until(lambda: len([e for e in events(client, "outlet") if e.state == "open"]) == 3)
        assert client.ask("go", go="s:start")["ok"]
        assert wait_until(lambda: len(events(client, "sent")) == 8)
        assert wait_until(lambda: len(udp.lines()) == 3)
        assert wait_until(lambda: len(tcp.lines()) == 3)
        assert wait_until(lambda: len(length.lines()) == 2)
        fired = events(client, "fired")
    assert [line.split(" ", 1)[1] for line in udp.lines()] == [
        '/go ifs 1 2.500000 "one"',
        "/two i -7",
        "/three i 3",
    ]
    assert [line.split(" ", 1)[1] for line in tcp.lines()] == ["/go iT 1 #T", "/two ", '/three s "x y"']
    assert [line.split(" ", 2)[1] for line in length.lines()] == ["/first", "/last"]
    assert [e.cue for e in fired] == ["a", "b", "c"]
    assert fired[1].actual_s == pytest.approx(0.2, abs=0.05)


def test_midi_leaves_by_a_real_port_and_a_port_that_comes_late_is_found(engine, jack, midi_dump):
    port, dump = midi_dump
    outlets = [
        {"kind": "midi", "id": "m", "name": "M", "port": port},
        {"kind": "midi", "id": "gone", "name": "Gone", "port": "no such port"},
    ]
    messages = [
        {"kind": "note", "outlet": "m", "channel": 2, "note": 60},
        {"kind": "control", "outlet": "m", "control": 7, "value": 99},
        {"kind": "program", "outlet": "m", "program": 5},
        {"kind": "msc", "outlet": "m", "format": "lighting", "command": "go", "cue": "12.5"},
        {"kind": "mmc", "outlet": "m", "command": "play"},
        {"kind": "note", "outlet": "gone", "note": 1},
    ]
    folder, _ = engine(document([item("s", 10, [cue("a", "1", 0, messages=messages)])], outlets=outlets))
    with EngineClient(folder) as client:
        client.ask("start")
        assert wait_until(lambda: any(e.state == "open" for e in events(client, "outlet")))
        client.ask("go", go="s:start")
        assert wait_until(lambda: len(dump.lines()) >= 5), dump.lines()
        assert wait_until(lambda: bool(events(client, "failed")))
        failed = events(client, "failed")[0]
    said = [" ".join(line.split(":", 1)[1].split()) for line in dump.lines()]
    assert [line.split(" note")[0].split(" control")[0].split(" program")[0] for line in said] == [
        "91 3c 64", "b0 07 63", "c0 05", "f0 7f 7f 02 01 01 31 32 2e 35 f7", "f0 7f 7f 06 02 f7",
    ]  # fmt: skip
    assert failed.outlet == "gone"
    assert "no MIDI port with 'no such port' in its name; there are:" in failed.why


@pytest.fixture
def receiver():
    """A UDP socket that keeps what it gets, with the instant of arrival."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(10)
        yield sock


def ticking(port, count=30, every_s=0.1):
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    cues = [cue("a", "1", 0, messages=[osc("u", "/start")])]
    cues += [
        cue(
            f"t{n}",
            str(n + 2),
            round((n + 1) * every_s, 3),
            fires="by itself",
            messages=[osc("u", f"/t/{n}")],
        )
        for n in range(count)
    ]
    cues.append(cue("last", "999", 30, messages=[osc("u", "/last")]))
    return document([item("s", 60, cues)], outlets=outlets)


def test_a_killed_engine_comes_back_at_the_same_place_with_nothing_lost_and_nothing_twice(engine, receiver):
    folder, process = engine(ticking(receiver.getsockname()[1]))
    with EngineClient(folder) as client:
        client.ask("start", caller="Ines")
        client.ask("go", go="s:start")
        got = [receiver.recv(100).split(b"\0")[0].decode() for _ in range(8)]
        before = client.log()
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    assert not engine_lives(folder)
    started = time.monotonic()
    engine.again(folder)
    with EngineClient(folder) as client:
        down_s = time.monotonic() - started
        while got[-1] != "/t/29":
            got.append(receiver.recv(100).split(b"\0")[0].decode())
        assert [r.seq for r in client.log()][: len(before)] == [r.seq for r in before]
        recovered = events(client, "recovered")
        missed = events(client, "missed")
        # The place is where it was: only the very next go is taken.
        assert not client.ask("go", go="s:start")["ok"]
        assert client.ask("go", go="s:last")["ok"]
        client.ask("end")
    assert len(got) == len(set(got)), "something was fired twice"
    expected = {"/start", *(f"/t/{n}" for n in range(30))}
    named_missed = {f"/{e.cue[0]}/{e.cue[1:]}" for e in missed}
    assert set(got) | named_missed == expected, "something was lost without being named"
    assert down_s > 1 or not missed
    assert recovered[0].gap_s > 0
    assert process.returncode == -signal.SIGKILL
    run = read_run(folder / "journal")
    assert [r.seq for r in run.records] == list(range(1, len(run.records) + 1))


def test_the_desk_may_be_killed_and_automatic_cues_still_arrive_on_time(engine, receiver, tmp_path):
    folder, _ = engine(ticking(receiver.getsockname()[1], count=20))
    desk_code = (
        "import sys; from pathlib import Path; from showcaller.engine.client import EngineClient\n"
        "c = EngineClient(Path(sys.argv[1])); c.ask('start'); c.ask('go', go='s:start')\n"
        "print('gone', flush=True); sys.stdin.read()"
    )
    import sys

    desk = subprocess.Popen(
        [sys.executable, "-c", desk_code, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert desk.stdout is not None
    assert desk.stdin is not None
    desk.stdout.readline()
    os.kill(desk.pid, signal.SIGKILL)
    desk.wait()
    desk.stdout.close()
    desk.stdin.close()
    arrivals = []
    for _ in range(21):
        receiver.recv(100)
        arrivals.append(time.monotonic())
    with EngineClient(folder) as client:
        late_ms = [e.late_ms for e in events(client, "sent")]
    assert len(late_ms) == 21
    assert max(late_ms) < 50  # generous: speed has its own benchmark
    assert arrivals[-1] - arrivals[0] == pytest.approx(2.0, abs=0.2)


def test_a_second_engine_on_the_same_run_is_refused(engine, receiver):
    folder, _ = engine(ticking(receiver.getsockname()[1]))
    with pytest.raises(LaunchError, match=r"another engine has .* open already"):
        start_engine(folder)


def test_a_show_that_cannot_run_is_refused_in_one_sentence_and_leaves_no_journal(tmp_path):
    doc = document([item("s", 10, [cue("a", "1", 99)])])
    folder = new_run_folder(tmp_path, json.dumps(doc))
    with pytest.raises(LaunchError, match="past its end"):
        start_engine(folder)
    assert not (folder / "journal").exists()


def test_what_is_not_a_request_is_answered_in_a_sentence(engine, receiver):
    folder, _ = engine(ticking(receiver.getsockname()[1]))
    with EngineClient(folder) as client:
        assert client.ask("dance")["say"].startswith("no command 'dance'; there are start,")
        client._commands.send(b"\xff\xfe not json")  # without its seal: not even answered
        assert not client._commands.poll(200)
        assert client.ask("hello")["ok"]


def test_an_outlet_that_is_down_does_not_delay_another(engine, receiver):
    dead = free_port(socket.SOCK_STREAM)
    outlets = [
        {"kind": "osc_tcp", "id": "dead", "name": "Dead", "port": dead},
        {"kind": "osc_udp", "id": "u", "name": "U", "port": receiver.getsockname()[1]},
    ]
    cues = [cue("a", "1", 0, messages=[osc("dead", "/x"), osc("u", "/y")])]
    folder, _ = engine(document([item("s", 10, cues)], outlets=outlets))
    with EngineClient(folder) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        assert receiver.recv(100).startswith(b"/y\0")
        assert wait_until(lambda: bool(events(client, "failed")))
        assert events(client, "failed")[0].why == "connection refused"
        assert events(client, "sent")[0].late_ms < 50


def test_muted_outlets_stay_silent(engine, receiver):
    doc = ticking(receiver.getsockname()[1], count=1)
    folder, _ = engine(doc)
    with EngineClient(folder) as client:
        client.ask("start", muted=True)
        client.ask("go", go="s:start")
        assert wait_until(lambda: len(events(client, "fired")) == 2)
        assert events(client, "sent") == []
        client.ask("mute", muted=False)
        client.ask("go", go="s:last")
        assert receiver.recv(100).startswith(b"/last\0")


def test_where_instants_crowd_long_requests_and_the_disk_still_have_their_turn(engine, receiver):
    """A cue a millisecond: whatever takes long waits for an instant near, but never for ever."""
    folder, _ = engine(ticking(receiver.getsockname()[1], count=900, every_s=0.001))
    with EngineClient(folder) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        begun, answered = time.monotonic(), 0
        while time.monotonic() - begun < 0.7:
            assert client.ask("note", text="x" * 20_000)["ok"]
            assert client.ask("log", **{"from": 1})["records"]
            answered += 1
        assert answered >= 1
        assert wait_until(lambda: len(events(client, "sent")) == 901)
        seq = client.ask("hello")["seq"]
        assert wait_until(lambda: len(read_journal(folder / "journal")) >= seq)  # with its own lines
