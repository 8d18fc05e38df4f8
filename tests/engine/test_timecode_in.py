"""An engine that chases real timecode: by a real MIDI port, and from a sound file played in real time."""

import json
import socket
import struct
import sys
import threading
import time
import wave

import numpy as np
import pytest
from devices import wait_until
from small_shows import cue, document, item
from timecode_sender import MtcSender

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model import parse_show
from showcaller.run.compiled import compile_show
from showcaller.run.machine import first_state, step
from showcaller.timing.ltc import encode
from showcaller.timing.plan import compile_plan
from showcaller.timing.timecode import frame_number, label, rate_named

NOISE_S = 0.030
"""Beside one frame, for a machine that does other things meanwhile; without them it is about 2 ms."""


_SO_TIMESTAMPNS = 35
"""Linux, asm-generic/socket.h; Python has no name for it."""


def coded(rate, port, source, count=150, every=3):
    """A song on 01:00:00:00 with a cue by itself every few frames, each sending its own OSC address."""
    cues = [cue("go", "1", 0)]
    first = frame_number("01:00:00:00", rate)
    for n in range(1, count):
        anchor = {"at": "timecode", "timecode": label(first + every * n, rate)}
        messages = [{"kind": "osc", "outlet": "u", "address": f"/{anchor['timecode']}"}]
        cues.append(cue(f"t{n}", str(1 + n), anchor, fires="by itself", messages=messages))
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    song = item("s", 60, cues, timecode_start=label(first, rate))
    return document([song], outlets=outlets, timecode_rate=rate, timecode_in=source)


class Receiver:
    """A UDP socket that notes when each OSC address came (s, monotonic), by the kernel's own stamp."""

    def __init__(self):
        self.socket = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.socket.setsockopt(socket.SOL_SOCKET, _SO_TIMESTAMPNS, 1)
        self.socket.bind(("127.0.0.1", 0))
        self.port = self.socket.getsockname()[1]
        self.came = []
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def _run(self):
        behind_s = time.time() - time.monotonic()
        while True:
            body, extra, _, _ = self.socket.recvmsg(500, 64)
            if body == b"stop":
                return
            seconds, ns = struct.unpack("qq", extra[0][2])
            self.came.append((seconds + ns / 1e9 - behind_s, body.split(b"\0")[0].decode()[1:]))

    def close(self):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as last:
            last.sendto(b"stop", ("127.0.0.1", self.port))
        self._thread.join(5)
        self.socket.close()


pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="JACK's ports and the kernel's stamps")


@pytest.fixture
def receiver():
    made = Receiver()
    yield made
    made.close()


@pytest.fixture
def tape(jack):
    """``tape(rate)``: a sender on a real port, closed after the engines that listen to it.

    A JACK server whose client is killed unconnected takes six seconds to stop.
    """
    made = []

    def make(rate):
        made.append(MtcSender(rate))
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.fixture
def engine(tape, tmp_path):
    running = []

    def start(doc, speed=1.0):
        folder = new_run_folder(tmp_path / "runs", json.dumps(doc))
        running.append(start_engine(folder, speed))
        return folder

    yield start
    for process in running:
        process.kill()
        process.wait()


class Watch:
    """A run's records as they are published: nothing is asked of the engine while it chases."""

    def __init__(self, client):
        self.client, self.records = client, {}
        client.ask("hello")
        self._take(client.log())

    def _take(self, records):
        self.records.update({r.seq: r for r in records})

    def until(self, true, timeout_s=10.0):
        """Take records in until this holds; False when it does not in time."""
        end_s = time.monotonic() + timeout_s
        while not true():
            if time.monotonic() > end_s:
                return False
            self._take(self.client.records(0.1))
        return True

    def all(self):
        """Everything until now."""
        self._take(self.client.log())
        assert sorted(self.records) == list(range(1, len(self.records) + 1))
        return self

    def events(self, kind):
        return [e for _, r in sorted(self.records.items()) for e in r.events if e.kind == kind]

    def whats(self):
        return [e.what for e in self.events("timecode") if e.what != "moved"]

    def cues(self, kind):
        return [e.cue for e in self.events(kind)]

    def open(self):
        return any(e.state == "open" for e in self.events("timecode_port"))


def replayed(doc, records):
    """The events that a run's inputs alone lead to."""
    compiled = compile_show(compile_plan(parse_show(json.dumps(doc))))
    state, events = first_state(compiled), []
    for record in records:
        state, out = step(compiled, state, record.input, record.t_ns)
        events.append(tuple(out.events))
    return events


def codes(doc, names):
    """The timecodes of these cues."""
    anchors = {k["id"]: k["anchor"] for k in doc["items"][0]["cues"]}
    return [anchors[name]["timecode"] for name in names if "timecode" in anchors[name]]


@pytest.mark.system
@pytest.mark.parametrize("rate", ["25", "29.97 drop"])
def test_cues_fire_on_real_midi_timecode_within_a_frame_through_a_drop_out_and_a_jump(
    rate, engine, tape, receiver
):
    sender = tape(rate)
    doc = coded(rate, receiver.port, {"kind": "mtc", "port": sender.name})
    sender.play("00:59:59:00", 2)  # a second of pre-roll
    sender.silence(0.4)
    sender.go_on(0.7)
    sender.play("01:00:12:00", 1.6)
    with EngineClient(engine(doc)) as client:
        watch = Watch(client)
        assert watch.until(watch.open)
        client.ask("start")
        sender.start()
        assert watch.until(lambda: "locked" in watch.whats())
        assert client.ask("go", go="s:start")["ok"]
        assert watch.until(lambda: "asks" in watch.whats())
        before = watch.cues("fired")
        assert client.ask("timecode_answer", take=True)["ok"]
        sender.join()
        assert watch.until(lambda: watch.whats()[-1] == "freewheeling")
        client.ask("hold")
        watch.all()
        fired, skipped, said = watch.cues("fired"), watch.cues("skipped"), watch.whats()
        assert watch.cues("missed") == []
        assert wait_until(lambda: len(receiver.came) >= len(fired) - 1)  # all but the called one
    records = [r for _, r in sorted(watch.records.items())]
    assert replayed(doc, records) == [r.events for r in records], "the journal leads elsewhere"
    # A busy machine may make more drop-outs than were played; they change nothing else.
    assert [w for w in said if w not in ("locked", "freewheeling", "followed")] == ["asks", "taken"]
    dropped = [e.code[:8] for e in watch.events("timecode") if e.what == "freewheeling"]
    assert "01:00:01" in dropped, "the silence is in the song's second second"
    came = [timecode for _, timecode in receiver.came]
    assert came == codes(doc, fired), "what left is what the log says, in its order"
    assert len(fired) == len(set(fired)), "a cue fired twice"
    assert not set(fired) & set(skipped), "a cue fired that was skipped"
    planned = [k["id"] for k in doc["items"][0]["cues"]]
    assert sorted(fired + skipped, key=planned.index) == planned[: len(fired) + len(skipped)], (
        "none forgotten"
    )
    # Up to where the code jumped, 2.1 s into the song, and the frames that it takes to be believed.
    assert 2.0 < len(before) * 3 / float(rate_named(rate).fps) < 3.0
    assert min(codes(doc, skipped)) > max(codes(doc, before))
    frame_s = float(1 / rate_named(rate).fps)
    late_s = [
        at - sender.instant(timecode)
        for at, timecode in receiver.came
        if sender.instant(timecode) is not None
    ]
    assert len(late_s) >= 20
    assert max(abs(x) for x in late_s) < frame_s + NOISE_S + max(sender.late_s)
    assert sorted(abs(x) for x in late_s)[len(late_s) // 2] < frame_s / 2


def test_a_midi_input_that_is_not_there_is_one_sentence_and_the_song_runs_by_itself(engine, jack, receiver):
    doc = coded("25", receiver.port, {"kind": "mtc", "port": "nobody plays"}, count=3)
    with EngineClient(engine(doc)) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        assert wait_until(lambda: len(receiver.came) == 2)
        (port,) = Watch(client).events("timecode_port")
    assert port.state == "closed"
    assert port.why.startswith("no MIDI input with 'nobody plays' in its name; there are: ")


@pytest.mark.system
def test_code_of_another_rate_is_refused_in_a_sentence_and_leads_nothing(engine, tape, receiver):
    sender = tape("30")
    doc = coded("25", receiver.port, {"kind": "mtc", "port": sender.name}, count=2)
    sender.play("01:00:00:00", 0.5)
    with EngineClient(engine(doc)) as client:
        watch = Watch(client)
        assert watch.until(watch.open)
        client.ask("start")
        sender.start()
        assert watch.until(lambda: watch.events("timecode_port")[-1].state == "refused")
        sender.join()
        said = watch.all().events("timecode_port")
        assert watch.events("timecode") == []
    assert len(said) == 2, "said once, not at every frame"
    assert said[-1].why == (
        "the time code coming in is at 30 frames a second, the show at 25; change one of them"
    )


def test_a_rehearsal_faster_than_life_follows_no_timecode_and_says_so(engine, receiver):
    doc = coded("25", receiver.port, {"kind": "mtc", "port": "x"}, count=2)
    with EngineClient(engine(doc, 10.0)) as client:
        watch = Watch(client)
        assert watch.until(lambda: bool(watch.events("timecode_port")))
        why = watch.events("timecode_port")[0].why
    assert why == "timecode runs in real time, so a faster rehearsal does not follow it"


def write_wav(path, channels, sample_rate=48_000):
    """16-bit PCM."""
    with wave.open(str(path), "wb") as file:
        file.setnchannels(len(channels))
        file.setsampwidth(2)
        file.setframerate(sample_rate)
        file.writeframes((np.stack(channels, axis=1) * 32767).astype("<i2").tobytes())


def test_linear_timecode_in_a_noisy_sound_file_is_chased_and_its_end_held(engine, receiver, tmp_path):
    before, frames = 20, 80  # of pre-roll, and in all
    sound = encode(frame_number("01:00:00:00", "25") - before, frames, "25", level=0.3)
    noise = np.random.default_rng(7).normal(0, 0.03, len(sound))  # 20 dB below the code
    write_wav(tmp_path / "code.wav", [np.zeros(len(sound)), np.clip(sound + noise, -1, 1)])
    source = {"kind": "ltc", "device": f"wav:{tmp_path / 'code.wav'}", "channel": 2}
    doc = coded("25", receiver.port, {**source, "chase": {"freewheel_s": 0.2}}, count=100)
    with EngineClient(engine(doc)) as client:
        watch = Watch(client)
        client.ask("start")
        assert watch.until(lambda: "locked" in watch.whats())
        client.ask("go", go="s:start")
        assert watch.until(lambda: "stands" in watch.whats())
        watch.all()
        base_s = client.clock().base_ns / 1e9
        fired = watch.cues("fired")
        assert wait_until(lambda: len(receiver.came) >= len(fired) - 1)
    opened = next(r for _, r in sorted(watch.records.items()) if r.events[0].kind == "timecode_port")
    zero_s = base_s + opened.t_ns / 1e9 + before / 25  # the file sounds from when its port is open
    late_s = [at - zero_s - (frame_number(timecode, "25") - 90_000) / 25 for at, timecode in receiver.came]
    assert len(late_s) >= 18
    # When the file began is known by the record of its port, which comes as late as a start has work to do.
    middle_s = sorted(late_s)[len(late_s) // 2]
    assert abs(middle_s) < 0.25
    # One may come in the moment in which another test has both processors; never two.
    apart_s = sorted(abs(s - middle_s) for s in late_s)
    assert apart_s[-2] < NOISE_S
    assert apart_s[-1] < 0.1
    # 60 frames of the song sound; it runs on for a fifth of a second, then the clock stands.
    last = max(frame_number(timecode, "25") - 90_000 for _, timecode in receiver.came)
    assert 57 <= last <= 60 + 0.2 * 25 + 25 * NOISE_S
    assert len(fired) == len(set(fired))
    assert watch.events("timecode_port")[-1].why == "the sound file has been played to its end"
