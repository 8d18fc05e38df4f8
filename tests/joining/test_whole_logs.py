"""A log that is followed is never given up for a part of one, and what was told apart is told once."""

import json

import pytest
from devices import wait_until
from hypothesis import given
from hypothesis import strategies as st

from showcaller.engine.clock import new_clock
from showcaller.joining.apart import already_told, told_of
from showcaller.joining.copy import Copy
from showcaller.joining.wire import BEAT, RECORD
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record


def note(text: str) -> ev.NoteTaken:
    return ev.NoteTaken(text=text, to="", item="s", at_s=None, bar=None, beat=None, cue=None)


def noted(n: int) -> bytes:
    return Record(n, n * 10, n * 100, c.WriteNote(f"note {n}"), (note(f"note {n}"),)).to_bytes()


def test_a_door_that_has_read_only_a_part_of_its_engines_log_tells_none_of_it(house):
    house.client.ask("start", caller="Ines", desk="caller")
    back = house.join("back", "engine")
    has, engine = len(back.what.copy), house.door.what.engine
    house.door.do(lambda: engine.hello.update(seq=10_000))  # as when it was found a moment ago
    house.door.do(lambda: setattr(engine, "log_id", "another"))
    answers = []
    back.do(lambda: back.what.far.ask({"kind": "log", "from": 1}, answers.append))
    assert wait_until(lambda: bool(answers))
    assert not answers[0]["ok"]
    assert wait_until(lambda: not back.what.is_checked)
    house.door.do(lambda: engine.hello.update(seq=1))
    assert wait_until(lambda: back.what.is_checked)
    assert len(back.what.copy) >= has


def test_records_of_an_engine_that_is_not_followed_are_not_put_behind_the_ones_that_are_here(house):
    house.client.ask("start", caller="Ines", desk="caller")
    back, door = house.join("back", "engine"), house.door.what
    has, answers = len(back.what.copy), []

    def tell_of_another():
        for line, _ in door.lines.following():  # of an earlier term, so that nobody follows it
            door._tell(line, BEAT, json.dumps({**door._standing(), "log": "another", "term": -1}).encode())
            door._tell(line, RECORD, noted(has + 1))

    house.door.do(tell_of_another)
    back.do(lambda: back.what.far.ask({"kind": "log", "from": 1}, answers.append))
    assert wait_until(lambda: bool(answers))  # what came before it was taken in, or was not
    assert len(back.what.copy) == has


@pytest.mark.parametrize("damaged", [3, 9])
def test_a_damaged_log_keeps_its_beginning_and_the_rest_is_put_aside_to_be_told(tmp_path, damaged):
    runs, clock = tmp_path, new_clock(1.0, None)
    copy = Copy(runs, "r1", "{}", clock, ("front", 0))
    for n in range(1, 11):
        copy.add(noted(n))
    copy.close()
    path = runs / "r1" / "journal"
    path.write_bytes(path.read_bytes().replace(b"note %d" % damaged, b"nope %d" % damaged))
    copy = Copy(runs, "r1", "{}", clock, ("front", 0))
    assert list(copy.all()) == [noted(n) for n in range(1, damaged)]
    assert copy.apart() == [noted(n) for n in range(damaged + 1, 11)]
    for n in range(damaged, 11):  # they come again from where they are whole
        assert copy.add(noted(n))
    assert copy.apart() == []
    copy.close()


@given(st.lists(st.integers(1, 6), max_size=6), st.integers(0, 3))
def test_what_goes_from_log_to_log_is_told_once_however_often_machines_are_cut_apart(numbers, rounds):
    told = told_of([noted(n) for n in numbers])
    assert len(told) == len(set(numbers))
    log: list[bytes] = []
    for turn in range(rounds + 1):  # the engine that hears it writes the notes again
        records = [Record.from_bytes(text) for text in told_of([*map(str.encode, told), *log])]
        heard = tuple((r.t_ns, r.events) for r in records)
        echoes = tuple(e for r in records for e in r.events)
        given_ = c.HeardApart(turn, "back", heard)
        log = [Record(50 + turn, 900 + turn, 9, given_, echoes).to_bytes()]
        assert sorted(e.text for _, events in heard for e in events) == sorted(
            f"note {n}" for n in set(numbers)
        )
    assert told_of([*map(str.encode, told), *log], already_told(log)) == []
