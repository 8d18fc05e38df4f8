"""Lines as the recogniser's words, and the grammars it listens with."""

import tempfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pocketsphinx import Jsgf

from showcaller.hearing.spoken import free_grammar, lines_grammar, mistaken, words_of
from showcaller.model import read_show
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.timing.speech import word_count

SAMPLE = read_show(Path(__file__).parents[2] / "sample_shows" / "breakwater.json")


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("Standby Lights 12 and Video 3", "standby lights twelve and video three"),
        ("Lights 64, Spots 9.5, go", "lights sixty four spots nine point five go"),
        ("Warning: follow-spots 8", "warning follow spots eight"),
    ],
)
def test_a_line_is_read_out(text, words):
    assert " ".join(words_of(text)) == words


def test_every_line_of_the_sample_has_as_many_words_as_it_is_counted_with():
    for sheet in compile_show_calls(compile_plan(SAMPLE)):
        for line in sheet.lines:
            assert len(words_of(line.text)) == word_count(line.text)


@given(st.lists(st.text(max_size=30).map(words_of), max_size=9), st.lists(st.text(max_size=12), min_size=1))
def test_whatever_is_to_be_said_the_grammar_is_one(lines, departments):
    """JSGF as the recogniser's own reader takes it."""
    departments = [d for d in departments if words_of(d)]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "grammar.jsgf"
        for wanted, made in (
            (any(lines), lines_grammar(dict.fromkeys(lines, 0.5))),
            (departments, free_grammar(departments)),
        ):
            if wanted:
                path.write_text(made)
                Jsgf(str(path))


def test_a_line_may_be_mistaken_for_another_by_one_of_its_figures():
    found = {" ".join(x) for x in mistaken(words_of("Standby Lights 16 and Video 9"))}
    assert "standby lights sixty and video nine" in found
    assert "standby lights sixteen and video five" in found
    assert "standby lights sixteen and video nine" not in found
