"""What an engine did unheard is told whole, in requests that an engine takes, whatever people wrote."""

import json

from hypothesis import given
from hypothesis import strategies as st

from showcaller.engine.serving import _LONGEST_REQUEST
from showcaller.joining.apart import Untold, told_of
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record


def note(text: str) -> ev.NoteTaken:
    return ev.NoteTaken(text=text, to="", item="s", at_s=None, bar=None, beat=None, cue=None)


def noted(n: int, text: str) -> bytes:
    return Record(n, n, n, c.WriteNote(text), (note(text),)).to_bytes()


def request(chunk: dict[str, object]) -> bytes:
    """As a client of the engine makes it, with room for who asks."""
    told = {"kind": "heard_apart", "machine": "n" * 40, **chunk}
    return json.dumps({"id": 1 << 40, "at": 1 << 62, "desk": "d" * 40, "seat": "engine", "do": told}).encode()


@given(st.lists(st.text(max_size=4000), min_size=1, max_size=12))
def test_every_chunk_is_a_request_that_an_engine_takes_and_nothing_is_left_out(tmp_path_factory, texts):
    untold = Untold(tmp_path_factory.mktemp("run"))
    told = told_of([noted(n, text) for n, text in enumerate(texts, 1)])
    untold.add(3, told)
    assert all(len(request(chunk)) <= _LONGEST_REQUEST for chunk in untold.chunks)
    sent = [Record.from_bytes(text) for chunk in untold.chunks for text in chunk["records"]]
    assert [r.events[0].text for r in sent] == texts


def test_letters_that_take_six_bytes_each_are_counted_as_such(tmp_path):
    untold = Untold(tmp_path)
    untold.add(1, told_of([noted(n, "Ж" * 1900) for n in range(1, 30)]))
    assert all(len(request(chunk)) <= _LONGEST_REQUEST for chunk in untold.chunks)
    assert sum(len(chunk["records"]) for chunk in untold.chunks) == 29


def test_a_record_that_is_too_long_is_told_with_what_counts_of_it():
    fired = ev.Fired(item="s", cue="a", go=None, planned_s=1.0, actual_s=1.0, by="go")
    long = note("x" * 60_000)
    (both,) = told_of([Record(7, 70, 700, c.WriteNote("x" * 60_000), (fired,)).to_bytes()])
    assert Record.from_bytes(both).events == (fired,)
    assert Record.from_bytes(both).t_ns == 70
    (bare,) = told_of([Record(8, 80, 800, c.WriteNote("x"), (long,)).to_bytes()])
    assert len(bare) < 200, "that there was one is told; its words stay in the log that is kept there"


def test_what_is_untold_is_there_after_the_machine_was_switched_off(tmp_path):
    Untold(tmp_path).add(2, told_of([noted(1, "still to be told")]))
    again = Untold(tmp_path)
    assert [chunk["term"] for chunk in again.chunks] == [2]
    again.told()
    assert Untold(tmp_path).chunks == []
