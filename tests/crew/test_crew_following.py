"""Following whatever run is on: none, one, its end, the next; never starting an engine."""

import queue

import pytest
from devices import end_engines, wait_until
from small_shows import two_songs

from showcaller.calling.session import open_session
from showcaller.crew.following import TOO_LATE, Follower, Result, Told
from showcaller.engine.launch import engine_lives, new_run_folder
from showcaller.model import show_text, write_show
from showcaller.run import commands as c


@pytest.fixture
def runs(tmp_path):
    """A folder for runs; whatever engines serve them end with the test."""
    folder = tmp_path / "runs"
    yield folder
    end_engines(folder)


class Heard:
    """A follower and what it tells."""

    def __init__(self, runs, show=None):
        self.told: queue.SimpleQueue[Told] = queue.SimpleQueue()
        self.follower = Follower(runs, self.told.put, show)
        self.follower.wanted = frozenset(["d:lights"])
        self.follower.start()

    def until(self, true):
        while True:
            told = self.told.get(timeout=10)
            if true(told):
                return told

    def phase(self, phase):
        return self.until(lambda told: told.states.get("d:lights", {}).get("phase") == phase)


def played(session, command, phase):
    def there():
        session.poll()
        return session.book.state.phase == phase

    session.send(command)
    assert wait_until(there)


def test_before_a_run_it_knows_the_positions_and_then_it_follows_one_after_the_other(runs, tmp_path):
    write_show(two_songs(), tmp_path / "show.json")
    heard = Heard(runs, tmp_path / "show.json")
    try:
        before = heard.until(lambda told: bool(told.positions))
        assert [p.name for p in before.positions] == ["Lights", "Video", "Moves", "Wings", "Clock"]
        assert before.states == {}
        assert wait_until(heard.follower.is_live)
        for caller in ("Ines", "Mo"):
            session = open_session(new_run_folder(runs, show_text(two_songs())))
            played(session, c.Start(caller=caller), "running")
            heard.until(lambda told, name=caller: told.states.get("d:lights", {}).get("caller") == name)
            assert heard.follower.is_live()
            played(session, c.End(why="over"), "ended")
            heard.phase("ended")
            session.close()
    finally:
        heard.follower.stop()


def test_an_engine_that_is_gone_is_not_started_again_and_is_not_live(runs):
    folder = new_run_folder(runs, show_text(two_songs()))
    session = open_session(folder)
    played(session, c.Start(caller="Ines"), "running")
    heard = Heard(runs)
    try:
        heard.phase("running")
        session.close()
        end_engines(runs)
        assert wait_until(lambda: not heard.follower.is_live())
        assert not engine_lives(folder)
    finally:
        heard.follower.stop()
    assert not engine_lives(folder)


def test_what_was_asked_while_the_engine_was_gone_is_told_back_and_never_reaches_another_moment(runs):
    """A clearance given to an engine that has just died must not be given when it is back, nor to another
    run."""
    folder = new_run_folder(runs, show_text(two_songs()))
    session = open_session(folder)
    played(session, c.Start(caller="Ines"), "running")
    heard = Heard(runs)
    try:
        heard.phase("running")
        session.close()
        end_engines(runs)
        assert wait_until(lambda: not heard.follower.is_live())
        for _ in range(2):  # while it is looked for, and when it is known that there is none
            heard.follower.ask(c.Clear("path", True, None, "Moves · Kim"))
            told = heard.until(lambda told: bool(told.results))
            assert told.results[0] == Result("Moves · Kim", TOO_LATE)
        session = open_session(folder)
        assert wait_until(heard.follower.is_live)
        heard.follower.ask(c.Clear("path", True, None, "Moves · Mo"))
        assert heard.until(lambda told: bool(told.results)).results == (Result("Moves · Mo", None),)
        session.poll()
        assert session.book.state.clearances["path"].by == "Moves · Mo"
        given = [r.input for r in session.book.records if isinstance(r.input, c.Clear)]
        assert [one.by for one in given] == ["Moves · Mo"]
        session.close()
    finally:
        heard.follower.stop()
