"""The pre-show check against real devices: sockets that answer and that do not, a MIDI port of JACK's."""

import json
import socket

import pytest
from devices import free_port
from small_shows import cue, document, item, two_songs

from showcaller.model import parse_show
from showcaller.readiness import Finding, look_over
from showcaller.readiness.devices import media, outlets, timecode
from showcaller.readiness.machine import clock, disk
from showcaller.readiness.plan import calls, channels, clearances, plan
from showcaller.readiness.selftest import Lateness, selftest, told


def made(items, **more):
    return parse_show(json.dumps(document(items, **more)))


def sending(outlet):
    message = {"kind": "osc" if outlet["kind"] != "midi" else "program", "outlet": "o"}
    message |= {"address": "/x"} if outlet["kind"] != "midi" else {"program": 1}
    return made(
        [item("a", 60, [cue("a1", "1", 5, messages=[message])])],
        outlets=[{"id": "o", "name": "Desk", **outlet}],
    )


def test_a_tcp_device_that_answers_is_good_and_one_that_does_not_says_what_to_do():
    with socket.create_server(("127.0.0.1", 0)) as server:
        (good,) = outlets(sending({"kind": "osc_tcp", "port": server.getsockname()[1]}))
        assert (good.what, good.state) == ("output Desk", "good")
    (wrong,) = outlets(sending({"kind": "osc_tcp", "port": free_port()}))
    assert (wrong.state, wrong.do) == ("wrong", "Check its power, its cable and its address.")
    assert "connection refused" in wrong.words


def test_udp_cannot_answer_and_the_check_does_not_pretend_it_did():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as device:
        device.bind(("127.0.0.1", 0))
        device.setblocking(False)
        (found,) = outlets(sending({"kind": "osc_udp", "port": device.getsockname()[1]}))
        assert found.state == "look"
        with pytest.raises(BlockingIOError):
            device.recv(10)  # nothing was sent to it
    (lost,) = outlets(sending({"kind": "osc_udp", "host": "no.such.host.invalid", "port": 9}))
    assert lost.state == "wrong"


def test_a_midi_port_is_found_by_words_in_its_name(jack, monitored_port):
    (good,) = outlets(sending({"kind": "midi", "port": monitored_port}))
    assert good.state == "good", good.words
    (wrong,) = outlets(sending({"kind": "midi", "port": "no such port"}))
    assert wrong.state == "wrong"
    assert "no MIDI port with 'no such port' in its name; there are:" in wrong.words


@pytest.fixture
def monitored_port(jack):
    import rtmidi

    port = rtmidi.MidiIn(rtmidi.API_UNIX_JACK, name="check-device")
    port.open_virtual_port("in")
    yield "check-device"
    port.close_port()
    port.delete()


def test_a_muted_outlet_is_pointed_out_and_an_unused_one_is_not():
    (muted,) = outlets(sending({"kind": "osc_udp", "port": 9, "muted": True}))
    assert "muted" in muted.words
    unused = made([item("a", 60, [])], outlets=[{"kind": "osc_udp", "id": "o", "name": "Desk", "port": 9}])
    assert not list(outlets(unused))


def test_the_plan_the_calls_and_the_clearances_are_judged():
    assert next(plan(two_songs())).state == "good"
    late = made([item("a", 10, [cue("a1", "1", 50)])])
    assert "past its end" in next(plan(late)).words
    crowded = made([item("a", 60, [cue("a1", "1", 20), cue("a2", "2", 20.4, "video")])])
    assert next(calls(crowded)).state == "look"
    assert next(calls(two_songs())).state == "good"
    hazard = {"kind": "lift", "caution": "Keep clear", "responsible": "I. Marr"}
    bare = made([item("a", 60, [cue("a1", "1", 20, hazard=hazard)])])
    found = next(clearances(bare))
    assert (found.state, found.words) == ("wrong", "no clearance guards Lights 1.")
    assert "local codes and licensed people decide" in found.do


def test_channels_that_are_short_are_named_with_their_song():
    wall = {
        "width_m": 10, "height_m": 5, "width_px": 1000, "height_px": 500, "panel_px": [100, 100],
        "channels": 1,
        "inputs": [
            {"id": n, "name": n, "x_px": x, "y_px": 0, "width_px": 500, "height_px": 500}
            for n, x in (("a", 0), ("b", 500))
        ],
    }  # fmt: skip
    looks = [
        {
            "id": "wide",
            "name": "Wide",
            "layers": [{"source": "cam", "left_m": 0, "bottom_m": 0, "width_m": 10, "height_m": 5}],
        }
    ]
    sources = [{"id": "cam", "name": "Cam", "kind": "camera"}]
    items = [item("song", 60, [cue("a1", "1", 5, look={"look": "wide"})])]
    short = made(items, wall=wall, looks=looks, sources=sources)
    (found,) = channels(short)
    assert found.state == "wrong"
    assert found.words.startswith("Song: ")
    (good,) = channels(made(items, wall=wall | {"channels": 2}, looks=looks, sources=sources))
    assert good.state == "good"
    assert not list(channels(two_songs()))


def test_media_and_disk_and_clock(tmp_path):
    songs = made([item("a", 60, [], reference="a.wav")])
    assert next(media(songs, tmp_path)).words == "no file a.wav."
    (tmp_path / "a.wav").write_bytes(b"x")
    assert next(media(songs, tmp_path)).state == "good"
    assert next(disk(tmp_path / "not" / "made")).words.endswith("free for the record.")
    assert next(clock(songs)).what == "clock"


def test_timecode_that_is_not_there_is_said(jack):
    coded = made([item("a", 60, [])], timecode_in={"kind": "mtc", "port": "nothing of that name"})
    (found,) = timecode(coded)
    assert (found.what, found.state) == ("MIDI Time Code in", "wrong")
    assert "nothing of that name" in found.words


def test_this_machine_is_measured_with_a_real_engine_and_leaves_nothing_behind(tmp_path):
    late = selftest(tmp_path, cues=40)
    assert not late.why
    assert late.count == 40
    assert 0 <= late.p50_ms <= late.p99_ms <= late.worst_ms < 1000
    assert not list(tmp_path.iterdir())


def test_lateness_in_words():
    assert told(Lateness(200, 0.1, 0.3, 0.9)).state == "good"
    assert told(Lateness(200, 1.0, 6.0, 9.0)).state == "look"
    assert told(Lateness(200, 4.0, 40.0, 90.0)).state == "wrong"
    assert "could not be tried: no room" in told(Lateness(0, 0, 0, 0, "no room")).words


def test_the_whole_check_goes_through_and_every_trouble_says_what_to_do(tmp_path):
    found = list(look_over(two_songs(), tmp_path, tmp_path, lambda _: Finding("this machine", "good", "x")))
    assert {"the plan", "calls", "disk", "clock", "this machine"} <= {f.what for f in found}
    assert all(f.do for f in found if f.state != "good"), [f for f in found if not f.do]


def test_a_page_read_aloud_that_lacks_what_it_is_for_is_named():
    def found(kind, *lines):
        made_of = {"id": "p", "name": "The page", "kind": kind, "reader": "Caller", "lines": list(lines)}
        reading = {"kind": "reading", "id": "gust", "name": "Gust", "position": "Rigger", "unit": "m/s",
                   "limit": 9, "stale_after_s": 60, "source": "mast"}  # fmt: skip
        show = made([item("a", 60, [cue("a1", "1", 5)])], clearances=[reading], pages=[made_of])
        return [f.words for f in clearances(show) if f.what == "pages"]

    asked = {"says": "Gust?", "clearance": "gust"}
    assert found("preset") == ["the page 'The page' has no lines."]
    assert found("show stop", {"says": "Hold."}) == [
        "the page 'The page' names no clearance for starting again."
    ]
    assert found("weather", {"says": "Wind?"}) == ["the page 'The page' has no reading against a limit."]
    assert found("weather", asked) == found("show stop", asked) == found("other", {"says": "x"}) == []
