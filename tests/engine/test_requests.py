"""What a real engine makes of requests that are late, broken or far too long: a sentence, and it goes on."""

import json
import os
import time

import pytest
from small_shows import document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.protocol import sealed, unsealed
from showcaller.engine.serving import LONG_BYTES, takes_long
from showcaller.run.events import CommandRefused

NS = 1_000_000_000


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    doc = document([item("s", 10, []), item("t", 10, [])])
    folder = new_run_folder(tmp_path_factory.mktemp("runs"), json.dumps(doc))
    process = start_engine(folder)
    with EngineClient(folder) as made:
        yield made
    process.kill()
    process.wait()


def raw(client, body):
    """The answer to these bytes."""
    client._commands.send(sealed(client._secret, body))
    assert client._commands.poll(3000), f"no answer to {body[:60]!r}"
    return json.loads(unsealed(client._secret, client._commands.recv()))


@pytest.mark.parametrize(
    "body",
    [
        b"",
        b"\xff\xfe",
        b"null",
        b"[]",
        b'{"id": 1}',
        b'{"id": 1, "do": "go"}',
        b'{"id": 1, "do": {"kind": {}}}',
        b'{"id": 1, "do": {"kind": ["go"]}}',
        b'{"id": 1, "do": {"kind": "log", "from": 1e999}}',
        b'{"id": 1, "do": {"kind": "log", "from": "x"}}',
        b'{"id": 1, "do": {"kind": "log", "from": null}}',
        b'{"id": 1, "at": [], "do": {"kind": "go", "go": "s:start"}}',
        b'{"id": 1, "do": {"kind": "hold", "reason": "\\ud800"}}',
        b'{"id": 1, "do": {"kind": "clear", "clearance": "x", "ok": true, "value": 1' + b"0" * 400 + b"}}",
        b"[" * 60_000,
        b'{"id": 1, "do": {"kind": "note", "text": "' + b"x" * 3_000_000 + b'"}}',
    ],
)
def test_a_broken_request_is_answered_in_a_sentence_and_the_engine_goes_on(client, body):
    answer = raw(client, body)
    assert answer["ok"] is False
    assert "\n" not in answer["say"]
    assert client.ask("hello")["pid"] == client.pid


def test_a_go_that_was_kept_waiting_is_not_fired_at_another_moment(client):
    client.ask("start", caller="Ada")
    late = {"id": 77, "at": time.monotonic_ns() - 3 * NS // 2, "do": {"kind": "go", "go": "s:start"}}
    answer = raw(client, json.dumps(late).encode())
    assert not answer["ok"]
    assert answer["say"].startswith("that go reached the engine 1.5 s late and fired nothing")
    last = client.log()[-1]
    assert last.events == (CommandRefused(command="go", why=answer["say"]),)
    assert client.ask("go", go="s:start")["ok"], "the same go, given now"


def test_the_hello_names_the_run_and_its_show(client):
    hello = client.ask("hello")
    assert hello["run"] == client.folder.name
    assert hello["disk"] is None
    assert client.clock().base_ns == hello["base_ns"]
    assert json.loads(client.ask("show")["show"])["id"] == "small"


def test_a_desk_is_as_urgent_after_connecting_as_it_was_before(client):
    if not hasattr(os, "getpriority"):
        pytest.skip("this system has no such figure")
    before = os.getpriority(os.PRIO_PROCESS, 0)
    with EngineClient(client.folder) as another:
        assert another.ask("hello")["ok"]
        assert os.getpriority(os.PRIO_PROCESS, 0) == before


@pytest.mark.skipif(not hasattr(os, "sched_getscheduler"), reason="this system has no such policies")
def test_a_rehearsal_faster_than_life_never_asks_to_run_before_a_show(client, tmp_path):
    assert client.ask("hello")["urgent"] in ("real time", "preferred", "ordinary")
    folder = new_run_folder(tmp_path, json.dumps(document([item("s", 10, [])])))
    process = start_engine(folder, 20.0)
    try:
        with EngineClient(folder) as rehearsal:
            assert rehearsal.ask("hello")["urgent"] == "ordinary"
        assert os.sched_getscheduler(process.pid) == os.SCHED_OTHER
        process.kill()
        process.wait()
        process = start_engine(folder)  # taken up again: its clock is as fast as before
        with EngineClient(folder) as rehearsal:
            assert rehearsal.ask("hello")["speed"] == 20
            assert rehearsal.ask("hello")["urgent"] == "ordinary"
        assert os.sched_getscheduler(process.pid) == os.SCHED_OTHER
    finally:
        process.kill()
        process.wait()


def test_what_takes_long_to_answer_is_known_by_its_length_and_its_kind():
    def sent(**do):
        return sealed(b"secret", json.dumps({"id": 1, "at": 5, "desk": "d", "do": do}).encode())

    assert takes_long(sent(kind="log", **{"from": 3}))
    assert takes_long(sent(kind="show"))
    assert takes_long(sent(kind="note", text="x" * LONG_BYTES))
    assert not any(map(takes_long, (sent(kind="go", go="s:g1"), sent(kind="hello"), sent(kind="here"))))
