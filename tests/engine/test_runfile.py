"""A run as it lies in its journal."""

import hashlib
import json

import pytest
from played import Played
from small_shows import two_songs

from showcaller.engine.clock import RunClock
from showcaller.engine.journal import Journal, JournalError
from showcaller.engine.runfile import RunFileError, clock_entry, header, parse, read_run
from showcaller.model import show_text
from showcaller.model.document import text_digest
from showcaller.run import commands as c
from showcaller.run.events import MessagesFailed
from showcaller.run.runlog import RUNLOG_VERSION

CLOCK = RunClock(5, 2.0, "boot one", 7)


def bodies(run, text):
    return [header("r1", text, 11), clock_entry(CLOCK), *[r.to_bytes() for r in run.records]]


@pytest.fixture
def evening():
    """A short run and its show's text."""
    made = two_songs()
    run = Played(made)
    run.go(1)
    run.at(3, c.WriteNote("é ☂"))
    run.at(20, c.End("over"))
    return run, show_text(made)


def test_a_run_is_read_back_whole(tmp_path, evening):
    run, text = evening
    with Journal(tmp_path / "journal") as journal:
        for body in bodies(run, text):
            journal.append(body)
    found = read_run(tmp_path / "journal")
    assert found.records == tuple(run.records)
    assert (found.run_id, found.show_text, found.opened_wall_ns) == ("r1", text, 11)
    assert found.clock == CLOCK
    assert found.ended


def test_a_run_that_was_cut_off_has_not_ended(evening):
    run, text = evening
    assert not parse(bodies(run, text)[:-1], "journal").ended


def test_a_run_has_ended_however_much_its_outlets_had_to_say_afterwards(evening):
    run, text = evening
    for n in range(200):
        run.at(21, c.Report(MessagesFailed(outlet="u", cue=f"x{n}", why="not connected")))
    assert parse(bodies(run, text), "journal").ended


def test_after_a_restart_of_the_machine_the_last_clock_counts(evening):
    run, text = evening
    later = RunClock(99, 2.0, "boot two", 7)
    entries = bodies(run, text)
    assert parse([*entries[:4], clock_entry(later), *entries[4:]], "journal").clock == later


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ([], "journal holds nothing; the show was never opened"),
        (
            [{"something": 1}],
            "journal does not begin as a show's log does; restore it from a copy",
        ),
        (
            [[1, 2]],
            "journal does not begin as a show's log does; restore it from a copy",
        ),
        (
            [7],
            "journal does not begin as a show's log does; restore it from a copy",
        ),
        ([{"header": {"run": "x"}}], "not one that can be read here"),
        (
            [{"header": {"run": "x", "version": 1, "wall": 0, "show": ""}}, {"seq": 1}],
            "not one that can be",
        ),
        (
            [{"header": {"run": "x", "version": RUNLOG_VERSION + 1, "wall": 0, "show": ""}}],
            f"journal is of version {RUNLOG_VERSION + 1}, newer than the {RUNLOG_VERSION} read here; update",
        ),
    ],
)
def test_what_is_not_a_run_is_said_in_a_sentence(lines, sentence):
    with pytest.raises(RunFileError, match=sentence):
        parse([json.dumps(line).encode() for line in lines], "journal")


def test_a_journal_of_something_else_is_said_in_a_sentence(tmp_path):
    with Journal(tmp_path / "journal") as journal:
        journal.append(b"\xff not text")
    with pytest.raises(RunFileError, match="not one that can be read here"):
        read_run(tmp_path / "journal")
    with pytest.raises(JournalError, match="cannot read"):
        read_run(tmp_path / "gone")


def test_an_edition_is_known_by_the_sha_256_of_its_text():
    # FIPS 180-4 by way of hashlib; the text is hashed as UTF-8.
    assert text_digest("é") == hashlib.sha256(b"\xc3\xa9").hexdigest()
