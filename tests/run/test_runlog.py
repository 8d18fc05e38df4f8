"""A run's records as bytes and back."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.runlog import Record

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=10)
VALUES = st.none() | st.booleans() | st.integers(-(2**63), 2**63) | st.floats(allow_nan=False) | TEXT
SECONDS = st.floats(allow_nan=False)
CUES = st.lists(TEXT, max_size=3).map(tuple)
PANELS = st.lists(st.tuples(st.integers(), st.integers())).map(tuple)
EVENTS = st.one_of(
    st.builds(
        ev.Fired, item=TEXT, cue=TEXT, go=st.none() | TEXT, planned_s=SECONDS, actual_s=SECONDS,
        by=st.sampled_from(["go", "itself", "hand"]),
    ),
    st.builds(ev.TakenBack, item=TEXT, cues=CUES),
    st.builds(
        ev.FaultMarked, panels=PANELS, what=TEXT, mended=st.booleans(), words=TEXT, item=TEXT,
        at_s=st.none() | SECONDS, bar=st.none() | st.integers(),
    ),
    st.builds(ev.OutletState, outlet=TEXT, state=TEXT, why=TEXT, away_s=st.none() | SECONDS),
    st.builds(ev.LookShown, item=TEXT, cue=st.none() | TEXT, at_s=SECONDS, look=TEXT, by=st.just("mix"),
              beats=SECONDS, over_s=SECONDS, ease=TEXT,
              layers=st.lists(st.dictionaries(TEXT, VALUES, max_size=2), max_size=2).map(tuple)),
)  # fmt: skip
INPUTS = st.builds(c.Go, TEXT, st.booleans()) | st.builds(c.Standby, TEXT, CUES, TEXT) | st.just(c.Tick())


@given(
    st.integers(1, 2**40),
    st.integers(0, 2**63 - 1),
    st.integers(0, 2**63 - 1),
    INPUTS,
    st.lists(EVENTS, max_size=3),
)
def test_any_record_reads_back_equal(
    seq: int, t_ns: int, wall_ns: int, given_: c.Input, events: list[ev.Event]
) -> None:
    record = Record(seq, t_ns, wall_ns, given_, tuple(events))
    body = record.to_bytes()
    again = Record.from_bytes(body)
    assert again == record
    assert again.to_bytes() == body
    plain = json.loads(body)
    assert list(plain) == ["seq", "t", "wall", "in", "ev"]
    assert [e["kind"] for e in plain["ev"]] == [e.kind for e in events]
    assert b"\n" not in body


BODIES = st.dictionaries(TEXT, VALUES, max_size=4)
KINDS = st.sampled_from([*ev.KINDS, *ev.KINDS, "of a later version"])


@given(
    BODIES.map(lambda body: {"kind": "later", **body}),
    st.lists(st.builds(lambda kind, body: {**body, "kind": kind}, KINDS, BODIES), max_size=3),
)
def test_what_another_version_wrote_is_kept_byte_by_byte(
    input_: dict[str, object], events: list[dict[str, object]]
) -> None:
    body = {"seq": 1, "t": 2, "wall": 3, "in": input_, "ev": events}
    text = json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode()
    record = Record.from_bytes(text)
    assert record.to_bytes() == text
    assert isinstance(record.input, c.UnknownInput)


def test_a_kind_that_has_grown_is_still_what_it_was_and_keeps_what_is_new() -> None:
    text = (
        b'{"seq":1,"t":2,"wall":3,"in":{"kind":"go","term":4,"go":"a","confirmed":false},"ev":[{"kind":"held",'
        b'"reason":"rain","term":4,"item":"s","at_s":1.5}]}'
    )
    record = Record.from_bytes(text)
    assert record.input == c.Go("a")
    assert isinstance(record.input, c.Go)
    assert record.events == (ev.Held(reason="rain", item="s", at_s=1.5),)
    assert record.to_bytes() == text


@pytest.mark.parametrize(
    "data", [b"", b"{}", b"[1]", b'{"seq": 1', b'{"seq":1,"t":1,"wall":1,"in":{}}', b"7"]
)
def test_what_is_no_record_is_refused(data: bytes) -> None:
    with pytest.raises(ValueError, match=r"."):
        Record.from_bytes(data)
