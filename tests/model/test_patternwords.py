"""A text of the wrong form is told in words with an example."""

import json
import re
from collections.abc import Iterator

import pytest

from showcaller.model.document import schema_text
from showcaller.model.patternwords import EXAMPLES, not_words


def patterns(part: object) -> Iterator[str]:
    if isinstance(part, dict):
        if isinstance(part.get("pattern"), str):
            yield part["pattern"]
        for value in part.values():
            yield from patterns(value)
    elif isinstance(part, list):
        for value in part:
            yield from patterns(value)


def test_every_pattern_of_the_document_has_words() -> None:
    assert set(patterns(json.loads(schema_text()))) <= set(EXAMPLES)


@pytest.mark.parametrize(("pattern", "words"), EXAMPLES.items())
def test_the_example_is_of_the_form_it_explains(pattern: str, words: str) -> None:
    found = words.rpartition("such as ")[2]
    assert all(re.search(pattern, one) for one in found.split(" or ")), found


def test_a_long_text_is_cut() -> None:
    assert not_words("x" * 99, "^#[0-9A-Fa-f]{6}$").startswith(f"'{'x' * 39}…' is not a colour")
