"""Cameras' tallies: told by a real engine, as an independent program hears it; what a hand plays counts."""

import json
import subprocess

import pytest
from devices import wait_until
from small_shows import cue, document, item
from wall_show import LOOKS, SOURCES, WALL

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine


@pytest.fixture
def engine(tmp_path):
    running: list[subprocess.Popen[bytes]] = []

    def start(doc):
        folder = new_run_folder(tmp_path / "runs", json.dumps(doc))
        running.append(start_engine(folder))
        return folder

    yield start
    for process in running:
        process.kill()
        process.wait()


def test_a_tally_follows_the_wall_the_plan_and_the_hand(engine, oscdump):
    port, dump = oscdump("udp")
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    cues = [
        cue("a", "1", 0, "video", look={"look": "wide"}), cue("b", "2", 30, "video", look={"look": "faces"}),
    ]  # fmt: skip
    sends = [{"id": "t", "outlet": "u", "per": "camera", "address": "/tally/{number}", "args": ["{tally:i}"]}]
    more = {"wall": WALL, "sources": SOURCES, "looks": LOOKS, "sends": sends}
    folder = engine(document([item("s", 120, cues)], outlets=outlets, **more))

    def said(*words):
        lines = [x.split("/tally/", 1)[1].replace(" i ", " ") for x in dump.lines() if "/tally/" in x]
        return lines[-len(words) :] == list(words)

    with EngineClient(folder) as client:
        client.ask("start", caller="Ada")
        assert wait_until(lambda: said("1 1", "2 0", "3 0")), dump.lines()  # the first look has camera 1
        client.ask("go", go="s:start")
        assert wait_until(lambda: said("1 2", "2 1", "3 1")), dump.lines()
        client.ask("play_layer", layer="cam-1", fields={"source": "cam-2"}, number=1)
        assert wait_until(lambda: said("1 0", "2 2")), dump.lines()[6:]
        answer = client.ask("to_plan")
        assert answer["ok"], answer
        assert wait_until(lambda: said("1 2", "2 1")), dump.lines()[6:]
