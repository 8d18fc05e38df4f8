"""The show is changed while a real engine runs it."""

import json
import os
import signal
import time

import pytest
from devices import free_port, wait_until
from small_shows import cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model import parse_show
from showcaller.run import events as ev
from showcaller.run.compiled import compile_show
from showcaller.run.runbook import RunBook
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan


def osc(address, *args):
    return {"kind": "osc", "outlet": "u", "address": address, "args": list(args)}


def show(port):
    cues = [
        cue("a", "1", 0, messages=[osc("/a")]),
        cue("b", "2", 1.2, fires="by itself", messages=[osc("/b", 1)]),
        cue("c", "3", 30, fires="by itself", messages=[osc("/c")]),
        cue("d", "4", 40, messages=[osc("/d")]),
    ]
    more = [cue(f"x{n}", f"{100 + n}", 1 + n) for n in range(50)]
    outlets = [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}]
    return document([item("s", 60, cues), item("t", 60, more)], outlets=outlets)


@pytest.fixture
def engine(tmp_path):
    running = []

    def start(doc=None, folder=None):
        folder = folder or new_run_folder(tmp_path / "runs", json.dumps(doc))
        running.append(start_engine(folder))
        return folder, running[-1]

    yield start
    for process in running:
        process.kill()
        process.wait()


def set_cue(ident, **fields):
    return {"do": "set", "at": ["items", "s", "cues", ident], "fields": fields}


def change(client, value, words="as asked"):
    """Ask for it; the record of what came of it."""
    before = client.ask("hello")["seq"]
    assert client.ask("change", change=value, words=words, by="Ada")["ok"]
    found = []

    def there():
        found[:] = [r for r in client.log() if r.seq > before and r.input.kind == "change"]
        return found

    assert wait_until(there)
    return found[0]


def book_of(client):
    plan = compile_plan(parse_show(client.ask("show")["show"]))
    book = RunBook(compile_show(plan), compile_show_calls(plan))
    book.take(client.log())
    return book


def test_what_was_changed_is_what_leaves(engine, oscdump):
    port, heard = oscdump("udp")
    folder, _ = engine(show(port))
    with EngineClient(folder) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        made = change(client, set_cue("b", messages=[osc("/b", 2), osc("/more")]))
        assert [e.kind for e in made.events] == ["changed"]
        put = cue("n", "9", 2.0, fires="by itself", messages=[osc("/new")])
        assert change(client, {"do": "put", "at": ["items", "s", "cues"], "index": 0, "part": put}).events
        assert wait_until(lambda: len(heard.lines()) == 4)
    assert [line.split(" ", 1)[1] for line in heard.lines()] == ["/a ", "/b i 2", "/more ", "/new "]


def test_what_cannot_be_sent_or_has_fired_is_refused_in_words_and_the_engine_lives(engine):
    folder, process = engine(show(free_port()))
    with EngineClient(folder) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        for value, says in [
            (set_cue("c", messages=[osc("/c", 2**40)]), "c"),
            (set_cue("a", label="late"), "has fired"),
            ({"do": ["?"]}, "not a change"),
            ({"do": "set", "at": ["items", "s", "cues"], "fields": {"x": 1}}, ""),
            ({}, "not a change"),
        ]:
            record = change(client, value)
            assert [e.kind for e in record.events] == ["refused"], value
            assert says in record.events[0].why
        assert client.ask("go", go="s:d")["ok"]
        assert process.poll() is None


def test_a_desk_without_the_calls_changes_nothing(engine):
    folder, _ = engine(show(free_port()))
    with EngineClient(folder, "one") as one, EngineClient(folder, "two") as two:
        one.ask("start", desk="one", caller="Ada")
        answer = two.ask("change", change=set_cue("c", label="x"), words="x", by="Bo")
        assert not answer["ok"]
        assert "has the calls" in answer["say"]


def test_changes_one_upon_the_other_are_made_in_their_order(engine):
    folder, _ = engine(show(free_port()))
    with EngineClient(folder) as client:
        client.ask("start")
        for n in range(30):
            client.post({"kind": "change", "change": set_cue("c", label=f"x{n}"), "words": f"{n}"})
        assert wait_until(lambda: len(book_of(client).changes) == 30)
        book = book_of(client)
        assert [given.words for _, given in book.changes] == [str(n) for n in range(30)]
        i, k = book.compiled.where["c"]
        assert book.compiled.items[i].planned.cues[k].cue.label == "x29"


def test_killed_in_mid_change_it_is_made_whole_or_not_at_all(engine, oscdump):
    port, heard = oscdump("udp")
    folder, process = engine(show(port))
    with EngineClient(folder) as client:
        client.ask("start")
        client.ask("go", go="s:start")
    for n in range(6):
        with EngineClient(folder) as client:
            many = [
                {"do": "set", "at": ["items", "t", "cues", f"x{k}"], "fields": {"label": f"{n}"}}
                for k in range(50)
            ]
            client.post({"kind": "change", "change": {"do": "together", "changes": many}, "words": f"{n}"})
            time.sleep(0.004 * n)  # the moment of the kill is what is tried
            os.kill(process.pid, signal.SIGKILL)
            process.wait()
        _, process = engine(folder=folder)
        with EngineClient(folder) as client:
            book = book_of(client)
            labels = {cue.cue.label for cue in book.compiled.items[1].planned.cues}
            assert len(labels - {f"cue x{k}" for k in range(50)}) in (0, 1)
            assert len(labels) in (1, 50), "half a change"
            assert len(book.changes) <= n + 1
    with EngineClient(folder) as client:
        assert client.ask("go", go="s:d")["ok"]
        fired = [e.cue for r in client.log() for e in r.events if isinstance(e, ev.Fired)]
    assert len(fired) == len(set(fired))
    assert wait_until(lambda: any("/d" in line for line in heard.lines()))
