"""What a person reads who joins where there is nothing to join."""

import pytest
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.cli.joining import standby_words
from showcaller.joining import asking_in


@pytest.mark.parametrize(
    ("address", "sentence"),
    [
        ("127.0.0.1:1", "nobody answers at 127.0.0.1: is it the caller's machine"),
        ("front of house", "'front of house' is no address; type the caller's machine, such as 10.0.0.5"),
    ],
)
def test_where_nobody_answers_it_says_so_in_a_sentence(monkeypatch, tmp_path, address, sentence):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    monkeypatch.setattr(asking_in, "WAIT_S", 0.2)
    done = CliRunner().invoke(app, ["join", address, "--code", "123456"])
    assert done.exit_code == 2
    assert sentence in done.output


def test_the_second_machine_says_in_one_line_how_it_stands():
    status = {"name": "front", "door": "x", "out": False, "run": "r", "live": True, "behind": 0, "term": 2}
    assert standby_words(status) == "following front, term 2: in the same place, outputs held"
    assert "IS SILENT" in standby_words({**status, "live": False})
    assert "2 records behind" in standby_words({**status, "behind": 2})
