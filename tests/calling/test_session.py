"""A desk's link to a real engine: killed, stopped, joined late, beyond repair."""

import json
import os
import signal
import time

import pytest
from devices import wait_until
from filelock import FileLock
from small_shows import cue, document, item

from showcaller.calling.session import open_session
from showcaller.engine.journal.front import forget_front
from showcaller.engine.launch import engine_lives, new_run_folder
from showcaller.engine.private import private_folder
from showcaller.engine.protocol import read_endpoint
from showcaller.run import commands as c
from showcaller.run import events as ev


def show_text():
    cues = [cue("a", "1", 0), cue("b", "2", 30), cue("f", "3", 40)]
    cues += [cue(f"t{n}", f"{n + 10}", round(0.1 * n, 1), fires="by itself") for n in range(1, 4)]
    return json.dumps(document([item("s", 60, cues), item("t", 60, [])]))


@pytest.fixture
def desk(tmp_path):
    """Open sessions on one run folder; their engines end with the test."""
    folder = new_run_folder(tmp_path / "runs", show_text())
    sessions = []

    def join():
        sessions.append(open_session(folder))
        return sessions[-1]

    yield join
    for session in sessions:
        if session._restarting is not None:
            session._restarting.join()
    endpoint = read_endpoint(folder)  # of the engine that serves it now, whoever started it
    for session in sessions:
        session.close()
    if endpoint is not None and engine_lives(folder):
        os.kill(endpoint["pid"], signal.SIGKILL)
    assert wait_until(lambda: not engine_lives(folder))


def polled(session, true, timeout_s=10.0):
    def look():
        session.poll()
        return true()

    return wait_until(look, timeout_s)


def place(session):
    return session.book.state.place.item, session.book.state.place.go


def kinds(session):
    return [e.kind for r in session.book.records for e in r.events]


def test_a_command_becomes_a_record_in_the_book(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    session.send(c.Go(go="s:start"))
    assert polled(session, lambda: place(session) == (0, 1))
    assert session.book.state.caller == "Ada"
    session.send(c.Go(go="s:start"))
    assert polled(session, lambda: session.book.refused is not None)
    assert (
        session.book.refused == "that is no longer the next go: read the line in the box, then press go again"
    )
    assert session.trouble is None


def test_a_desk_that_joins_late_knows_all_that_was(desk):
    first = desk()
    first.send(c.Start(caller="Ada"))
    first.send(c.Go(go="s:start"))
    assert polled(first, lambda: len(first.book.records) >= 5)
    second = desk()
    assert polled(first, lambda: first.book.records == second.book.records)
    second.send(c.Go(go="s:b"))
    assert polled(first, lambda: place(first) == (0, 2)), "and one desk sees what the other does"
    assert polled(second, lambda: second.book.state == first.book.state)


def test_a_killed_engine_is_started_again_and_the_book_is_complete(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    session.send(c.Go(go="s:start"))
    assert polled(session, lambda: place(session) == (0, 1))
    before = list(session.book.records)
    os.kill(session._client.pid, signal.SIGKILL)
    said = []
    assert polled(session, lambda: said.append(session.trouble) or "recovered" in kinds(session))
    assert "The engine stopped. It is being started again at the same place." in said
    assert polled(session, lambda: session.trouble is None)
    records = session.book.records
    assert records[: len(before)] == before
    assert [r.seq for r in records] == list(range(1, len(records) + 1))
    named = [e.cue for r in records for e in r.events if isinstance(e, ev.Fired | ev.Missed)]
    assert sorted(named) == ["a", "t1", "t2", "t3"]
    session.send(c.Go(go="s:b"))
    assert polled(session, lambda: place(session) == (0, 2))


def test_an_engine_that_falls_silent_is_said_to_and_a_go_given_meanwhile_is_not_fired_later(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    assert polled(session, lambda: session.book.state.phase == "running")
    os.kill(session._client.pid, signal.SIGSTOP)
    try:
        session.send(c.Go(go="s:start"))
        sent = time.monotonic()
        assert polled(session, lambda: session.trouble is not None and time.monotonic() - sent > 1.1)
        assert session.trouble == "The engine does not answer. Call by voice; this desk keeps trying."
    finally:
        os.kill(session._client.pid, signal.SIGCONT)
    assert polled(session, lambda: session.trouble is None)
    assert polled(session, lambda: session.book.refused is not None)
    assert session.book.refused.endswith("late and fired nothing; press go again")
    assert place(session) == (0, 0)


def test_an_engine_that_cannot_be_started_is_said_in_its_own_words_and_tried_again_until_it_can(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    assert polled(session, lambda: session.book.state.phase == "running")
    os.kill(session._client.pid, signal.SIGKILL)
    assert wait_until(lambda: not engine_lives(session.folder))
    with FileLock(session.folder / "lock"):
        words = "Call by voice: the engine cannot be started (another engine has"
        assert polled(session, lambda: (session.trouble or "").startswith(words))
        assert "Trying again in " in session.trouble
    assert polled(session, lambda: session.trouble is None and "recovered" in kinds(session), 20)


def test_a_log_that_is_overwritten_while_no_engine_runs_comes_back_from_memory(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    session.send(c.Go(go="s:start"))
    assert polled(session, lambda: place(session) == (0, 1))
    os.kill(session._client.pid, signal.SIGKILL)
    assert wait_until(lambda: not engine_lives(session.folder))
    (session.folder / "journal").write_bytes(b"something else entirely")
    assert polled(session, lambda: "recovered" in kinds(session), 8)
    assert place(session) == (0, 1)
    assert session.lost == 0


def test_a_desk_that_has_more_than_the_engine_says_so_and_follows_the_engine(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    session.send(c.Go(go="s:start"))
    assert polled(session, lambda: place(session) == (0, 1))
    hello = session._client.ask("hello")
    assert wait_until(lambda: b'"kind":"go"' in (session.folder / "journal").read_bytes())
    os.kill(session._client.pid, signal.SIGKILL)
    assert wait_until(lambda: not engine_lives(session.folder))
    forget_front(private_folder() / f"{hello['run']}.log")
    journal = session.folder / "journal"
    journal.write_bytes(b"".join(journal.read_bytes().splitlines(keepends=True)[:4]))
    assert polled(session, lambda: session.lost > 0 and "held" in kinds(session), 10)
    assert "1 entry that this desk had" in session.trouble
    assert place(session) == (0, 0)


def test_a_log_that_is_not_on_disk_is_said_while_the_show_goes_on(desk):
    session = desk()
    session._client.unkept = "no space left on device"
    session.poll()
    assert session.trouble.startswith(
        "The log is not on disk (no space left on device): it is in memory only, "
    )
    assert polled(session, lambda: session.trouble is None), "the next heartbeat knows better"


def test_records_that_were_lost_on_the_way_are_asked_for(desk):
    session = desk()
    other = desk()
    other.send(c.Start(caller="Ada"))
    other.send(c.Go(go="s:start"))
    assert polled(other, lambda: len(other.book.records) >= 5)

    def past():
        list(session._client.records())  # thrown away
        return session._client.engine_seq >= 5

    assert wait_until(past)
    assert session.book.records == [], "what was published went past this desk"
    assert polled(session, lambda: session.book.records == other.book.records)


def test_when_the_run_has_ended_silence_is_no_trouble(desk):
    session = desk()
    session.send(c.Start(caller="Ada"))
    session.send(c.End(why="over"))
    assert polled(session, lambda: session.book.state.phase == "ended")
    assert wait_until(lambda: not engine_lives(session.folder))
    session._client.last_beat -= 60
    session.poll()
    assert session.trouble is None
