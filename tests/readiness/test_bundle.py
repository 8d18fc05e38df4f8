"""The support bundle: what helps is in it, and nothing of the show or of people unless asked."""

import getpass
import json
import os
import re
import socket
import zipfile
from pathlib import Path

import pytest
from devices import end_engines, wait_until
from hypothesis import given
from hypothesis import strategies as st
from small_shows import cue, document, item
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.model.document import schema_text
from showcaller.readiness.bundle import collect, facts, listing, write
from showcaller.readiness.finding import Finding
from showcaller.readiness.fitness import fit_tonight
from showcaller.readiness.scrub import Scrubber, words_of, words_of_the_format
from showcaller.run.codec import event_from
from showcaller.run.commands import NotCalling, Tick
from showcaller.run.events import CommandRefused
from showcaller.run.runlog import Record

SECRETS = ("Zephyrine", "Quillborough", "tempest", "Ottokar", "Birgitta", "hidden sandbank", "10.11.12.13")


@pytest.fixture(scope="module")
def runs(tmp_path_factory):
    """A folder of runs with one real run: an invented show, a caller, notes, an outlet that fails."""
    cues = [cue("zephyrine-1", "1", 0, label="Quillborough tempest", messages=[
        {"kind": "osc", "outlet": "u", "address": "/a", "args": []}])]  # fmt: skip
    outlets = [
        {"kind": "osc_udp", "id": "u", "name": "Ottokar desk", "host": "nowhere.invalid", "port": 9000}
    ]
    show = document([item("zephyrine", 60, cues)], outlets=outlets)
    show["name"], show["act"], show["venue"] = "Zephyrine", "Quillborough Tempest", "Ottokar hall"
    runs = tmp_path_factory.mktemp("bundle") / "runs"
    folder = new_run_folder(runs, json.dumps(show))
    process = start_engine(folder)
    with EngineClient(folder) as client:
        client.ask("start", caller="Birgitta")
        client.ask("go", go="zephyrine:start")
        client.ask("note", text="Birgitta saw the hidden sandbank")
        assert wait_until(lambda: any(e.kind == "failed" for r in client.log() for e in r.events))
        client.ask("end", why="Ottokar said so")
    process.wait(10)
    with (folder / "engine.log").open("a") as log:
        log.write(
            f"Traceback: {Path.home()}/Zephyrine.json, {runs}/x, {socket.gethostname()}, 10.11.12.13:9000\n"
        )
        log.write("tempest at 01:02:03:04, 127.0.0.1, Quillborough\n")
    yield runs
    end_engines(runs)


FOUND = [Finding("outlet Ottokar desk", "wrong", "does not answer at 10.11.12.13:9000.", "Is it on?")]


def whole(parts):
    return "\n".join(f"{p.name}\n{p.body.decode()}" for p in parts)


def test_nothing_of_the_show_or_of_people_is_in_it(runs):
    parts = collect(runs, FOUND)
    text = whole(parts)
    for secret in (*SECRETS, str(Path.home()), str(runs)):
        assert secret.lower() not in text.lower(), secret
    host = socket.gethostname()
    if len(host) > 3:
        assert re.search(rf"\b{re.escape(host)}\b", text) is None
    if getpass.getuser() != "root":
        assert getpass.getuser() not in text
    assert "127.0.0.1" in text
    assert "01:02:03:04" in text  # a timecode is no address


def test_who_has_the_calls_is_not_told_by_a_refusal():
    refused = CommandRefused(command="go", why="Birgitta has the calls; this desk watches")
    record = Record(1, 5, 6, NotCalling(command="go", desk="b"), (refused,))
    assert Scrubber([], {}).record(record)["events"] == [{"kind": "refused"}]


def test_what_helps_is_in_it(runs):
    parts = {p.name: p.body.decode() for p in collect(runs, FOUND)}
    assert set(parts) == {
        "facts.json", "selftest.txt", "run-1/files.json", "run-1/engine.log", "run-1/record.jsonl",
    }  # fmt: skip
    records = [json.loads(line) for line in parts["run-1/record.jsonl"].splitlines()]
    assert [r["seq"] for r in records] == list(range(1, len(records) + 1))
    events = [e for r in records for e in r["events"]]
    assert {"fired", "failed", "outlet", "note", "run_ended"} <= {e["kind"] for e in events}
    failed = next(e for e in events if e["kind"] == "failed")
    assert failed["outlet"] == "outlet 1"
    assert "cannot be reached" in failed["why"]
    assert "[show]" in parts["run-1/engine.log"]
    assert json.loads(parts["facts.json"])["packages"]["pyzmq"]


def test_with_the_show_it_is_whole(runs):
    parts = {p.name: p for p in collect(runs, FOUND, with_show=True)}
    assert "Zephyrine" in parts["run-1/show.json"].body.decode()
    assert "hidden sandbank" in parts["run-1/record.jsonl"].body.decode()
    assert "THE WHOLE SHOW" in "\n".join(listing(parts.values()))


def test_a_record_that_cannot_be_read_is_a_sentence_and_the_rest_is_there(tmp_path):
    folder = tmp_path / "runs" / "abc"
    folder.mkdir(parents=True)
    (folder / "journal").write_bytes(b"rubbish" * 99)
    (folder / "engine.log").write_text("boom\n")
    parts = {p.name: p.body.decode() for p in collect(tmp_path / "runs", [])}
    assert parts["run-1/engine.log"] == "boom\n"
    assert parts["run-1/record.txt"]


def test_it_is_listed_before_it_is_written_and_only_written_when_agreed(runs, tmp_path, monkeypatch):
    show = tmp_path / "show.json"
    show.write_text(json.dumps(document([item("s", 60, [])])))
    monkeypatch.setattr("showcaller.cli.helping._runs", lambda _: runs)
    measured = list(fit_tonight(runs))  # once; it takes seconds
    monkeypatch.setattr("showcaller.readiness.fitness.fit_tonight", lambda _: measured)
    monkeypatch.chdir(tmp_path)
    done = CliRunner().invoke(app, ["support", "--to", "b.zip"], input="n\n")
    assert done.exit_code == 0
    assert "run-1/engine.log" in done.stdout
    assert "Nothing was written" in done.stdout
    assert not (tmp_path / "b.zip").exists()
    done = CliRunner().invoke(app, ["support", "--to", "b.zip", "--yes"])
    assert done.exit_code == 0
    with zipfile.ZipFile(tmp_path / "b.zip") as bundle:
        assert bundle.testzip() is None
        listed = {line.split()[0] for line in done.stdout.splitlines() if line.startswith("  ")}
        assert set(bundle.namelist()) == listed
    before = (tmp_path / "b.zip").read_bytes()
    again = CliRunner().invoke(app, ["support", "--to", "b.zip", "--yes"])
    assert again.exit_code == 2
    assert "was left as it is" in again.stderr
    assert (tmp_path / "b.zip").read_bytes() == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs /dev/full")
def test_a_disk_that_is_full_leaves_no_half_bundle(tmp_path):
    with pytest.raises(FileExistsError):
        write([], Path("/dev/full"))
    with pytest.raises(OSError, match="No such file"):
        write([], tmp_path / "not" / "there.zip")


def test_facts_do_not_say_whose_machine_it_is():
    text = json.dumps(facts())
    assert socket.gethostname() not in text or len(socket.gethostname()) < 4
    assert str(Path.home()) not in text


@given(st.dictionaries(st.sampled_from(["text", "by", "cue", "label", "why"]), st.text(min_size=3)))
def test_of_an_event_only_numbers_and_kinds_are_kept(fields):
    record = Record(1, 5, 6, Tick(), (event_from({"kind": "note", "n": 2.5, **fields}),))
    assert Scrubber([], {}).record(record)["events"] == [{"kind": "note", "n": 2.5}]


def test_words_of_the_format_are_not_taken_for_the_shows():
    ours = words_of_the_format(schema_text())
    words = set(words_of(json.dumps(document([item("s", 9, [cue("a", "1", 0)])])), ours))
    assert not words & {"song", "by itself", "called", "circle", "showcaller/show"}
