"""A run's records as bytes and back."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from showcaller.run.runlog import Record

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=10)
VALUES = st.none() | st.booleans() | st.integers(-(2**63), 2**63) | st.floats(allow_nan=False) | TEXT
BODIES = st.dictionaries(TEXT, VALUES, max_size=4)


@given(
    st.integers(1, 2**40),
    st.integers(0, 2**63 - 1),
    st.integers(0, 2**63 - 1),
    BODIES,
    st.lists(BODIES, max_size=3),
)
def test_any_record_reads_back_equal(
    seq: int, t_ns: int, wall_ns: int, given_: dict[str, object], events: list[dict[str, object]]
) -> None:
    record = Record(seq, t_ns, wall_ns, given_, tuple(events))
    assert Record.from_bytes(record.to_bytes()) == record
    assert json.loads(record.to_bytes()) == {
        "seq": seq,
        "t": t_ns,
        "wall": wall_ns,
        "in": given_,
        "ev": events,
    }
    assert b"\n" not in record.to_bytes()


@pytest.mark.parametrize(
    "data", [b"", b"{}", b"[1]", b'{"seq": 1', b'{"seq":1,"t":1,"wall":1,"in":{}}', b"7"]
)
def test_what_is_no_record_is_refused(data: bytes) -> None:
    with pytest.raises(ValueError, match=r"."):
        Record.from_bytes(data)
