"""An engine killed, cut off and damaged in every way we know, taken up again: nothing twice, nothing
unnamed."""

import json
import os
import shutil
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

import pytest
from devices import wait_until
from filelock import FileLock
from small_shows import cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.journal import read_journal
from showcaller.engine.journal.front import forget_front
from showcaller.engine.launch import LaunchError, engine_lives, new_run_folder, start_engine
from showcaller.engine.private import private_folder
from showcaller.engine.protocol import NoEngine, endpoint_files, read_endpoint, sealed
from showcaller.run import events as ev

KILLED = Path(__file__).parents[1] / "support" / "killed_engine.py"


@pytest.fixture
def wire():
    """A UDP device: ``wire.got()`` is every address that has arrived, in order."""

    class Wire:
        def __init__(self):
            self.sock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
            self.sock.bind(("127.0.0.1", 0))
            self.sock.setblocking(False)
            self.port = self.sock.getsockname()[1]
            self.arrived = []

        def got(self):
            while True:
                try:
                    self.arrived.append(self.sock.recv(1000).split(b"\0")[0].decode())
                except BlockingIOError:
                    return self.arrived

    made = Wire()
    yield made
    made.sock.close()


def show(port, goes=5, hazard=None):
    outlets = [{"kind": "osc_udp", "id": "u", "name": "Desk U", "port": port}]
    cues = [
        cue(f"g{n}", str(n + 1), n * 10.0,
            messages=[{"kind": "osc", "outlet": "u", "address": f"/g{n}", "args": []}],
            **({"hazard": hazard} if hazard and n == 1 else {}))
        for n in range(goes)
    ]  # fmt: skip
    return document([item("s", 600, cues)], outlets=outlets)


@pytest.fixture
def run(tmp_path, wire):
    """``run()`` makes a run folder; ``run.start(folder)`` an engine; all end with the test."""
    started = []

    def make(doc=None):
        return new_run_folder(tmp_path / "runs", json.dumps(doc or show(wire.port)))

    def start(folder):
        started.append(start_engine(folder))
        return started[-1]

    def dying(folder, step, n):
        args = [sys.executable, str(KILLED), step, str(n), str(folder), "1.0", "now"]
        with (folder / "engine.log").open("ab") as log:
            process = subprocess.Popen(args, stdin=subprocess.DEVNULL, stdout=log, stderr=log)
        started.append(process)
        return process

    make.start, make.dying = start, dying
    yield make
    for process in started:
        process.kill()
        process.wait()


def kill(process):
    process.kill()
    process.wait()


def events(client, kind):
    return [e for r in client.log() for e in r.events if e.kind == kind]


def connected(folder, process):
    def there():
        endpoint = read_endpoint(folder)
        return endpoint is not None and endpoint["pid"] == process.pid

    assert wait_until(there)
    return EngineClient(folder)


def test_killed_between_journal_and_wire_the_cue_is_named_and_can_be_sent_or_left(run, wire):
    folder = run()
    process = run.dying(folder, "journaled", '"kind":"go"')
    with connected(folder, process) as client:
        client.ask("start")
        with pytest.raises(NoEngine):
            client.ask("go", go="s:start", timeout_s=1)
    process.wait()
    assert wire.got() == []
    run.start(folder)
    with EngineClient(folder) as client:
        assert events(client, "doubtful") == [ev.CuesDoubtful(cues=("g0",))]
        assert wire.got() == [], "nothing is fired by recovery"
        assert not client.ask("go", go="s:start")["ok"], "and the go is not given a second time"
        assert client.ask("settle", cue="g0", send=True)["ok"]
        assert wait_until(lambda: wire.got() == ["/g0"])
        again = client.ask("settle", cue="g0", send=True)
        assert not again["ok"]
        assert "not in doubt" in again["say"]
        assert client.ask("go", go="s:g1")["ok"], "the show goes on behind it"
        assert wait_until(lambda: wire.got() == ["/g0", "/g1"])


def test_what_was_settled_is_not_asked_again_after_the_next_kill(run, wire):
    folder = run()
    process = run.dying(folder, "journaled", '"kind":"go"')
    with connected(folder, process) as client:
        client.ask("start")
        with pytest.raises(NoEngine):
            client.ask("go", go="s:start", timeout_s=1)
    process.wait()
    second = run.start(folder)
    with EngineClient(folder) as client:
        assert client.ask("settle", cue="g0", send=False)["ok"]
    kill(second)
    run.start(folder)
    with EngineClient(folder) as client:
        assert len(events(client, "doubtful")) == 1
        assert "not in doubt" in client.ask("settle", cue="g0", send=True)["say"]
    assert wire.got() == []


def test_a_hazard_in_doubt_is_named_and_never_sent(run, wire):
    hazard = {"kind": "lift", "caution": "Stand clear.", "responsible": "I. Marr"}
    folder = run(show(wire.port, hazard=hazard))
    process = run.dying(folder, "journaled", '"go":"s:g1"')
    with connected(folder, process) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        assert wait_until(lambda: len(events(client, "sent")) == 1)
        with pytest.raises(NoEngine):
            client.ask("go", go="s:g1", confirmed=True, timeout_s=1)
    process.wait()
    run.start(folder)
    with EngineClient(folder) as client:
        assert events(client, "doubtful") == [ev.CuesDoubtful(cues=("g1",))]
        assert "never sent" in client.ask("settle", cue="g1", send=True)["say"]
        assert client.ask("settle", cue="g1", send=False)["ok"]
    assert wire.got() == ["/g0"]


@pytest.mark.parametrize("step", ["first made", "first line", "front begun", "before the disk"])
def test_killed_while_its_log_was_first_made_the_run_can_be_opened_all_the_same(run, wire, step):
    folder = run()
    process = run.dying(folder, step, 1)
    assert process.wait(20) == -signal.SIGKILL
    run.start(folder)
    with EngineClient(folder) as client:
        assert client.ask("start")["ok"]
        assert client.ask("go", go="s:start")["ok"]
        assert wait_until(lambda: wire.got() == ["/g0"])


def four_gone(run, wire):
    """A run with four goes given, and its engine killed."""
    folder = run()
    process = run.start(folder)
    with EngineClient(folder) as client:
        client.ask("start")
        for go in ("s:start", "s:g1", "s:g2", "s:g3"):
            assert client.ask("go", go=go)["ok"]
        assert wait_until(lambda: len(events(client, "sent")) == 4)
        front = private_folder() / f"{client.ask('hello')['run']}.log"
        kept = client.ask("hello")["seq"] + 2
        assert wait_until(lambda: len(read_journal(folder / "journal")) == kept)
    kill(process)
    assert wire.got() == ["/g0", "/g1", "/g2", "/g3"]
    return folder, front


def test_a_log_cut_while_no_engine_ran_is_made_whole_from_memory(run, wire):
    folder, _ = four_gone(run, wire)
    journal = folder / "journal"
    journal.write_bytes(journal.read_bytes()[:4000])
    run.start(folder)
    with EngineClient(folder) as client:
        assert len(events(client, "fired")) == 4
        assert events(client, "gap") == []
        assert not client.ask("go", go="s:g3")["ok"]
        assert client.ask("go", go="s:g4")["ok"]
    assert wait_until(lambda: wire.got() == [f"/g{n}" for n in range(5)])


def test_a_log_cut_when_memory_has_nothing_holds_the_run_and_says_so(run, wire):
    folder, front = four_gone(run, wire)
    forget_front(front)
    journal = folder / "journal"
    lines = journal.read_bytes().splitlines(keepends=True)
    journal.write_bytes(b"".join(lines[:6]))
    run.start(folder)
    with EngineClient(folder) as client:
        (held,) = events(client, "held")
        assert held.reason.startswith("the newest part of the log may be missing: check where the show is")
        assert client.ask("go", go="s:g1")["say"] == "the show is on hold: resume first"
    assert len(wire.got()) == 4


def test_a_gap_holds_the_run_and_what_stands_behind_it_is_believed(run, wire):
    folder, front = four_gone(run, wire)
    forget_front(front)
    journal = folder / "journal"
    lines = journal.read_bytes().splitlines(keepends=True)
    gone = [n for n, line in enumerate(lines) if b'"go":"s:g1"' in line or b'"cue":"g1"' in line]
    journal.write_bytes(b"".join(line for n, line in enumerate(lines) if n not in gone))
    run.start(folder)
    with EngineClient(folder) as client:
        (gap,) = events(client, "gap")
        assert gap.missing == len(gone)
        (held,) = events(client, "held")
        assert f"{len(gone)} records of the log are missing" in held.reason
        assert "g1" in events(client, "doubtful")[0].cues, "given in the gap, perhaps"
        assert {e.cue for e in events(client, "fired")} == {"g0", "g2", "g3"}
        client.ask("resume")
        for go in ("s:g1", "s:g2", "s:g3"):
            assert not client.ask("go", go=go)["ok"]
        assert client.ask("go", go="s:g4")["ok"]
    assert wait_until(lambda: wire.got() == [f"/g{n}" for n in range(5)])
    assert wait_until(lambda: bool(list(folder.glob("journal.as-found-*"))))


def test_a_damaged_header_is_made_good_from_the_show_that_lies_beside(run, wire):
    folder, front = four_gone(run, wire)
    forget_front(front)
    journal = folder / "journal"
    data = bytearray(journal.read_bytes())
    data[300] ^= 4
    journal.write_bytes(data)
    run.start(folder)
    with EngineClient(folder) as client:
        assert client.ask("hello")["run"] == folder.name
        assert len(events(client, "fired")) == 4
        client.ask("resume")
        assert client.ask("go", go="s:g4")["ok"]


def test_a_run_folder_deleted_in_mid_run_is_said_and_no_second_engine_can_run_it(run, wire):
    folder = run()
    run.start(folder)
    with EngineClient(folder) as client:
        client.ask("start")
        client.ask("go", go="s:start")
        shutil.rmtree(folder)
        assert wait_until(lambda: [e.state for e in events(client, "journal")] == ["damaged", "written anew"])
        assert events(client, "journal")[0].why == "the show's folder is gone"
        assert wait_until(lambda: read_endpoint(folder) is not None)
        with pytest.raises(LaunchError, match="another engine has"):
            start_engine(folder)
        assert client.ask("go", go="s:g1")["ok"]
    assert wait_until(lambda: wire.got() == ["/g0", "/g1"])


def test_a_folder_that_is_gone_is_one_sentence(run):
    folder = run()
    shutil.rmtree(folder)
    with pytest.raises(LaunchError, match="the show's folder is gone"):
        start_engine(folder)


def test_a_disk_that_turns_read_only_is_said_and_the_run_can_be_taken_up_on_it(run, wire, tmp_path):
    if os.geteuid() != 0:
        pytest.skip("only root may mount a disk")
    disk = tmp_path / "disk"
    disk.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=8m", "none", str(disk)], check=True)
    try:
        folder = new_run_folder(disk / "runs", json.dumps(show(wire.port)))
        process = run.start(folder)
        with EngineClient(folder) as client:
            client.ask("start")
            client.ask("go", go="s:start")
            # A mount that is written to cannot be turned read-only; a full one takes nothing either.
            with pytest.raises(OSError, match="No space left"):
                (disk / "filler").write_bytes(b"x" * (9 << 20))
            client.ask("go", go="s:g1")
            client.ask("note", text="more than a page of the disk " * 500)
            said_s = time.monotonic()
            assert wait_until(lambda: bool(list(client.records())) or client.unkept != "", 5)
            assert wait_until(
                lambda: [list(client.records()), client.unkept][1] == "no space left on device", 5
            )
            assert time.monotonic() - said_s < 3
        kill(process)
        run.start(folder)
        with EngineClient(folder) as client:
            assert {e.cue for e in events(client, "fired")} == {"g0", "g1"}
            assert not client.ask("go", go="s:g1")["ok"], "given while the disk was full, and not given twice"
            assert client.ask("go", go="s:g2")["ok"]
            assert wait_until(
                lambda: [list(client.records()), client.unkept][1] == "no space left on device", 5
            )
            (disk / "filler").unlink()
            assert wait_until(lambda: "kept" in [e.state for e in events(client, "journal")], 5)
        assert wire.got() == ["/g0", "/g1", "/g2"]
    finally:
        subprocess.run(["umount", "-l", str(disk)], check=True)


def test_an_engine_without_the_secret_is_not_believed_and_a_desk_without_it_not_heard(run, wire):
    folder = run()
    run.start(folder)
    for endpoint in endpoint_files(folder):
        assert endpoint.stat().st_mode & 0o777 == 0o600
        assert endpoint.stat().st_uid == os.getuid()
    with EngineClient(folder) as client:
        client.ask("start")
        stranger = EngineClient(folder)
        stranger._secret = b"another secret!!"
        with pytest.raises(NoEngine):
            stranger.ask("go", go="s:start", timeout_s=0.5)
        stranger.close()
        honest = client._secret
        client._secret = b"another secret!!"
        client._commands.send(sealed(honest, b'{"id": 9, "do": {"kind": "hello"}}'))
        assert client._commands.poll(2000)
        assert list(client.answers()) == [], "an answer that does not prove who it is from"
    assert wire.got() == []


def test_a_run_whose_lock_another_program_holds_says_so_and_comes_up_once_it_is_free(run, wire):
    folder = run()
    with FileLock(folder / "lock"), pytest.raises(LaunchError, match="another engine has"):
        start_engine(folder)
    run.start(folder)
    assert engine_lives(folder)


def test_an_engine_that_was_stopped_and_goes_on_says_for_how_long(run, wire):
    folder = run()
    process = run.start(folder)
    with EngineClient(folder) as client:
        client.ask("start")
        os.kill(process.pid, signal.SIGSTOP)
        until = time.monotonic() + 0.8
        assert wait_until(lambda: time.monotonic() > until)
        assert engine_lives(folder), "a stopped engine is not dead"
        os.kill(process.pid, signal.SIGCONT)
        assert wait_until(lambda: bool(events(client, "stalled")))
        (stalled,) = events(client, "stalled")
        assert 0.5 < stalled.for_s < 5


def test_a_subscriber_that_never_reads_costs_no_memory_and_asks_for_what_it_missed(run, wire):
    folder = run()
    process = run.start(folder)

    def resident_mb():
        return (
            int(Path(f"/proc/{process.pid}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6
        )

    with EngineClient(folder) as sleeper, EngineClient(folder) as client:
        client.ask("start")
        before = resident_mb()
        for n in range(600):
            client.ask("note", text=f"{n} " + "x" * 50_000)
        assert resident_mb() - before < 100, "30 MB of notes, and nobody listens"
        assert sleeper.log()[-1].input.text.startswith("599 ")
