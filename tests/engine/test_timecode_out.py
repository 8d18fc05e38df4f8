"""MIDI Time Code as it leaves a real MIDI port, read by mido and by our own decoder."""

import json
import time
import uuid
from itertools import pairwise

import mido
import pytest
from devices import end_engines, wait_until
from played import Played
from small_shows import cue, document, item, show

from showcaller.engine.client import EngineClient
from showcaller.engine.clock import RunClock
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.timecode_out import Running, running_timecode
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.timing.mtc import MtcState, step

FPS = 25
START = "01:00:10:00"


def song():
    return item("s", 60, [cue("a", "1", 0), cue("b", "2", 20)], timecode_start=START)


def test_code_runs_only_while_a_song_with_a_start_is_on_and_moves():
    run = Played(show([song(), item("free", 30, [cue("f", "3", 0)])]))
    clock = RunClock(1_000, 1.0, "")

    def timecode():
        return running_timecode(run.compiled, clock, run.state)

    assert timecode() is None
    run.go(2)
    # 01:00:10:00 at 25 frames a second is 3,610 s: 90,250 frames from midnight (ST 12-1 counts).
    assert timecode() == Running(90_250, 2_000_001_000)
    run.at(5, c.Hold("x"))
    assert timecode() is None
    run.at(8, c.Resume())
    assert timecode() == Running(90_250, 5_000_001_000)
    run.go(25)
    run.go(62)
    assert timecode() is None


@pytest.fixture
def listener(jack):
    """A MIDI input of this test: (words of its name, list of (monotonic s, bytes))."""
    import rtmidi

    name = f"code{uuid.uuid4().hex[:6]}"
    heard: list[tuple[float, bytes]] = []
    port = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name=name)
    port.ignore_types(sysex=False, timing=False, active_sense=True)
    port.set_callback(lambda data, _: heard.append((time.monotonic(), bytes(data[0]))))
    port.open_virtual_port("in")
    yield name, heard
    port.close_port()
    port.delete()


def positions(heard):
    """(arrival, position in seconds from midnight) as our decoder reads it, once it knows where it is."""
    state, found = MtcState("25"), []
    for at_s, message in heard:
        state, events = step(state, message)
        found += [(at_s, p.quarter / 4 / FPS) for p in events if p.forward]
    return found


def test_quarter_frames_leave_on_their_instants_and_stop_while_held(tmp_path, listener):
    name, heard = listener
    outlets = [{"kind": "midi", "id": "m", "name": "M", "port": name, "timecode": True}]
    folder = new_run_folder(tmp_path / "runs", json.dumps(document([song()], outlets=outlets)))
    process = start_engine(folder)
    try:
        with EngineClient(folder) as client:
            client.ask("start")
            assert wait_until(
                lambda: any(
                    isinstance(e, ev.OutletState) and e.state == "open"
                    for r in client.log()
                    for e in r.events
                )
            )
            client.ask("go", go="s:start")
            assert wait_until(lambda: len(heard) > 240)
            client.ask("hold", reason="test")
            assert wait_until(lambda: quiet(heard))
            first = list(heard)
            client.ask("resume")
            assert wait_until(lambda: len(heard) > len(first) + 60)
            base_s = client.clock().base_ns / 1e9
            started_ns = next(r.t_ns for r in client.log() for e in r.events if isinstance(e, ev.ItemStarted))
            silent = [e for r in client.log() for e in r.events if isinstance(e, ev.MessagesSent)]
    finally:
        end_engines(tmp_path / "runs")
        process.wait(5)
    # An independent parser: a full frame first, then quarter frames whose types count 0 to 7 (MTC 1.0).
    messages = [mido.Message.from_bytes(list(data)) for _, data in first]
    assert messages[0].type == "sysex"
    assert messages[0].data[:4] == (0x7F, 0x7F, 0x01, 0x01)
    # On a machine that is held up for a moment the place is told anew by a full frame.
    types = [m.frame_type for m in messages if m.type == "quarter_frame"]
    assert len(types) >= len(messages) * 0.95
    assert types[0] == 0
    # JACK's dummy driver loses an event now and then on a busy machine; the order is what is ours.
    assert sum((b - a) % 8 != 1 for a, b in pairwise(types)) <= len(types) // 8
    off_s = [position - 3610 - (at_s - base_s - started_ns / 1e9) for at_s, position in positions(first)]
    assert len(off_s) > 80
    # A frame is 40 ms; what is left is the machine's noise.
    assert sorted(map(abs, off_s))[len(off_s) // 2] < 0.010
    assert max(map(abs, off_s)) < 0.040 + 0.030
    after = positions(heard[len(first) :])
    assert after[0][1] > positions(first)[-1][1]
    assert silent == []


def quiet(heard):
    """Nothing for a tenth of a second."""
    return time.monotonic() - heard[-1][0] > 0.1
