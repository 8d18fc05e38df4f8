"""All texts in one place, in four languages, each with the same blanks to fill."""

import re

import pytest

from showcaller.crew.answers import _static
from showcaller.crew.texts import LANGUAGES, choose_language, texts


def test_every_text_is_there_in_every_language_with_the_same_blanks():
    for key, english in texts()["en"].items():
        for language in LANGUAGES:
            words = texts()[language][key]
            assert words.strip()
            assert set(re.findall(r"\{\w+\}", words)) == set(re.findall(r"\{\w+\}", english)), (language, key)


def test_the_page_asks_for_no_text_that_is_not_there_and_none_is_there_for_nobody():
    code = "".join(body.decode() for name, (body, _) in _static().items() if name.endswith(".js"))
    asked = set(re.findall(r'\bt\(\s*"(\w+)"', code))
    asked |= set(re.findall(r'"(next_\w+|the_go|over|under|on_plan|not_connected|connecting)"', code))
    made = {"standby", "go", "tab_now", "tab_sheet", "tab_notes"}
    made |= set(re.findall(r"is_\w+", "is_waiting is_clear is_withdrawn is_overridden is_not_good"))
    made |= {"is_asked", "is_reading", "is_reading_least"}
    assert set(texts()["en"]) == asked | made


@pytest.mark.parametrize(
    ("header", "language"),
    [
        ("", "en"), ("de", "de"), ("de-AT,de;q=0.9,en;q=0.5", "de"), ("nl,fr;q=0.4,es;q=0.7", "es"),
        ("ja", "en"), ("en;q=0, fr", "fr"), ("de;q=x, es", "es"), ("*", "en"), ("DE", "de"),
    ],
)  # fmt: skip
def test_the_browsers_languages_are_weighed(header, language):
    """Weights as in RFC 9110, 12.5.4."""
    assert choose_language(header) == language


def test_nothing_is_fetched_from_elsewhere():
    for name, (body, _) in _static().items():
        found = re.findall(
            rb"(?:https?:)?//[a-z][^\s\"'`]*", re.sub(rb"^\s*//.*$", b"", body, flags=re.MULTILINE)
        )
        assert all(x.startswith(b"http://www.w3.org/2000/svg") for x in found), (name, found)
