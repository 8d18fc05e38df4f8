"""The lamps of the cue lights: told by a real engine, as an independent program hears it."""

import json
import os
import signal
import subprocess

import pytest
from devices import Dump, program, wait_until
from small_shows import DEPARTMENTS, cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.run.cue_light import GO_SHOWN_S

STATES = {"off": 0, "standby": 1, "standing_by": 2, "go": 3}


def lamp(outlet, department):
    return {
        state: [{"kind": "osc", "outlet": outlet, "address": f"/lamp/{department}", "args": [value]}]
        for state, value in STATES.items()
    }


def lit_show(outlets, **lamps):
    """Two cues on one go, a lamp for each department that is named: ``lights="u"``."""
    departments = [
        {**d, "cue_light": lamp(lamps[d["id"]], d["id"])} if d["id"] in lamps else d for d in DEPARTMENTS
    ]
    cues = [cue("a", "1", 0), cue("b", "2", 30), cue("v", "1", 30, "video"), cue("c", "3", 60)]
    return document([item("s", 120, cues)], outlets=outlets, departments=departments)


@pytest.fixture
def engine(tmp_path):
    running: list[subprocess.Popen[bytes]] = []

    def start(doc=None, folder=None):
        folder = folder or new_run_folder(tmp_path / "runs", json.dumps(doc))
        running.append(start_engine(folder))
        return folder, running[-1]

    yield start
    for process in running:
        process.kill()
        process.wait()


def heard(dump):
    """What the lamps were sent: ``lights 1``."""
    return [line.split("/lamp/", 1)[1].replace(" i ", " ") for line in dump.lines() if "/lamp/" in line]


def shows(dump, *words):
    return wait_until(lambda: heard(dump)[-len(words) :] == list(words))


def test_a_lamp_is_off_red_steady_green_and_off_again_and_told_anew_after_a_kill(engine, oscdump):
    port, dump = oscdump("udp")
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    folder, process = engine(lit_show(outlets, lights="u", video="u"))
    with EngineClient(folder) as client:
        client.ask("start", caller="Ines")
        assert shows(dump, "lights 0", "video 0")
        client.ask("go", go="s:start")
        assert shows(dump, "lights 3")
        client.ask("standby", line="s:standby:b", cues=["b", "v"])
        assert shows(dump, "lights 1", "video 1"), "a standby takes the place of the go before it"
        client.ask("stand_by", department="video", who="Video · Kim")
        assert shows(dump, "video 2")
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    before = len(heard(dump))
    engine(folder=folder)
    assert wait_until(lambda: heard(dump)[before:] == ["lights 1", "video 2"]), heard(dump)
    with EngineClient(folder) as client:
        assert client.ask("go", go="s:b", confirmed=True)["ok"]
        assert shows(dump, "lights 3", "video 3")
        assert shows(dump, "lights 0", "video 0"), f"after {GO_SHOWN_S} s"
        client.ask("standby", line="s:standby:c", cues=["c"])
        assert shows(dump, "lights 1")
        client.ask("end", why="over")
        assert shows(dump, "lights 0")


def test_muted_no_lamp_is_told_and_unmuted_it_shows_what_is(engine, oscdump):
    port, dump = oscdump("udp")
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    folder, _ = engine(lit_show(outlets, lights="u"))
    with EngineClient(folder) as client:
        client.ask("start", caller="Ines", muted=True)
        client.ask("go", go="s:start")
        client.ask("standby", line="s:standby:b", cues=["b"])
        client.ask("mute", outlet=None, muted=False)
        assert shows(dump, "lights 1")
    assert heard(dump) == ["lights 1"], "nothing leaves before it is known that something may"


def test_a_device_that_is_back_is_told_what_its_lamp_shows(engine, oscdump, tmp_path):
    port, dump = oscdump("tcp")
    outlets = [{"kind": "osc_tcp", "id": "t", "name": "T", "port": port}]
    folder, _ = engine(lit_show(outlets, lights="t"))
    with EngineClient(folder) as client:
        client.ask("start", caller="Ines")
        client.ask("standby", line="s:standby:a", cues=["a"])
        assert shows(dump, "lights 1")
        dump.stop()
        again = Dump([program("oscdump"), "-L", f"osc.tcp://:{port}"], tmp_path / "again.txt")
        try:
            assert wait_until(lambda: heard(again)[-1:] == ["lights 1"]), client.log()[-3:]
        finally:
            again.stop()
