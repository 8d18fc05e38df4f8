"""What every value can rely on."""

import dataclasses
from collections.abc import Iterator

import pytest

import showcaller.desk.window  # noqa: F401 - with it nearly all is loaded
from showcaller.run.codec import event_dict, event_from
from showcaller.run.events import HoldReason
from showcaller.run.state import Mark, Place
from showcaller.values import Struct, replace


def every(of: type[Struct]) -> Iterator[type[Struct]]:
    for one in of.__subclasses__():
        yield one
        yield from every(one)


def test_a_value_is_what_is_in_it_and_stays_so():
    one = Mark("fired", 5)
    assert one == Mark("fired", 5) != Mark("missed", 5)
    assert len({one, Mark("fired", 5), Mark("fired", 6)}) == 2
    assert Place(1, 2) != (1, 2), "a value of another kind is another value"
    with pytest.raises(AttributeError):
        one.at_ns = 6  # type: ignore[misc]
    assert replace(one, at_ns=6) == Mark("fired", 6)
    assert one.at_ns == 5
    with pytest.raises(TypeError):
        replace(one, moment=6)  # type: ignore[call-arg]
    with pytest.raises(TypeError):
        HoldReason(why="rain")  # type: ignore[call-arg]


def test_what_a_later_version_wrote_is_found_as_the_one_it_equals():
    body = {"kind": "hold_reason", "reason": "rain", "later": 1}
    read, ours = event_from(body), HoldReason(reason="rain")
    assert read == ours
    assert ours == read
    assert len({read, ours}) == 1
    assert repr(read) == repr(ours)
    assert event_dict(read) == body


def test_no_field_is_left_with_another_librarys_default():
    """``dataclasses.field`` says nothing to a value: its field would hold that object."""
    some = list(every(Struct))
    assert len(some) > 300
    assert [c for c in some if any(isinstance(d, dataclasses.Field) for d in c.__struct_defaults__)] == []
