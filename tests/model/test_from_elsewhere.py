"""Documents from elsewhere: whatever stands in one, it is a sentence, soon, and names its path."""

import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import document, item

from showcaller.model import DocumentError, parse_show, read_show
from showcaller.model.quantities import fraction_of, parse_exact, parse_seconds
from showcaller.model.strictjson import Twice, loads

TEXT = json.dumps(document([item("one", 120, [])]))


def refused(text: str) -> str:
    with pytest.raises(DocumentError) as error:
        parse_show(text, "x.json")
    return str(error.value)


@pytest.mark.parametrize(
    ("was", "is_now", "path"),
    [
        ('"name": "Small"', '"name": "Small", "name": "Other"', "name"),
        ('"id": "one"', '"id": "one", "id": "one"', "items[0].id"),
        ('"ask_again_s"', '"a": 1, "a": 2, "ask_again_s"', "speaking.a"),
    ],
)
def test_a_name_that_stands_twice_is_refused_with_its_path(was, is_now, path):
    assert was in TEXT
    words = refused(TEXT.replace(was, is_now, 1))
    assert words == f"x.json: {path} stands there twice; take one out"


def test_a_name_twice_in_what_another_took_the_place_of_is_refused_too():
    with pytest.raises(Twice, match=r"^a$"):
        loads('{"a": {"b": 1, "b": 2}, "a": 1}')


json_values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=3), inner, max_size=4),
    max_leaves=20,
)


@given(json_values)
def test_everything_else_reads_as_pythons_own_reader_has_it(value):
    text = json.dumps(value)
    assert loads(text) == json.loads(text)


@pytest.mark.parametrize("number", ["1e99999999", "1e-99999999", "9" * 200, "1/1e99999999", "1E+0_999999999"])
def test_a_number_that_would_take_for_ever_is_refused_at_once(number):
    """A fraction of 1e99999999 has a hundred million digits; it was worked out, and the desk stood still."""
    with pytest.raises(ValueError, match="is not a"):
        parse_seconds(number)
    with pytest.raises(ValueError, match="is not a"):
        parse_exact(number)
    words = refused(TEXT.replace('"length_s": 120', f'"length_s": "{number}"'))
    assert "items[0].length_s" in words


@given(st.fractions(min_value=0, max_value=10**9, max_denominator=10**9))
def test_every_sensible_number_is_still_exact(value):
    assert fraction_of(str(value)) == value


def test_a_folder_a_pipe_and_an_empty_file_are_sentences(tmp_path: Path):
    with pytest.raises(DocumentError, match="is a folder"):
        read_show(tmp_path)
    (tmp_path / "e.json").touch()
    with pytest.raises(DocumentError, match="is empty"):
        read_show(tmp_path / "e.json")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "p.json")
        with pytest.raises(DocumentError, match="is a named pipe"):
            read_show(tmp_path / "p.json")


def test_a_document_beyond_the_limit_is_not_read(tmp_path: Path):
    path = tmp_path / "big.json"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    with pytest.raises(DocumentError, match="is 100 MB; files up to 32 MB are read"):
        read_show(path)


def test_of_a_hundred_thousand_wrong_things_only_the_number_is_said():
    words = refused(TEXT.replace('"items": [', '"items": [' + "1," * 100_000))
    assert words == "x.json: 100,000 things are wrong with it; is it a show that showcaller wrote?"
