"""What the README says of keys is what the table of actions says."""

import json
import re
from pathlib import Path

from showcaller.desk.actions import ACTIONS
from showcaller.desk.keys import README_ROWS, Keys, readme_table

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")


def test_the_table_of_keys_is_made_from_the_actions():
    assert readme_table() in README


def test_no_key_of_the_show_is_missing_in_the_table():
    named = {name for row in README_ROWS for name in row}
    of_run = {a.id for a in ACTIONS.values() if a.of_run and a.keys}
    assert of_run - named - {f"clear{n}" for n in range(2, 10)} - {"open"} == set(), (
        "R stands above the table"
    )


def chords_named(text: str) -> set[str]:
    """The keys that stand in a text as keys, by their names in the table."""
    text = (
        text.replace("Ctrl+Enter", "Ctrl+Return")
        .replace("Shift+Enter", "Shift+Return")
        .replace("Ctrl+1`–`4", "Ctrl+1")
    )
    for arrow, name in (("←", "Left"), ("→", "Right"), ("↑", "Up"), ("↓", "Down")):
        text = text.replace(arrow, name)
    return set(re.findall(r"`((?:Ctrl|Alt|Shift)\+[^`]+|F[0-9]+|[A-Z])`", text))


def test_every_key_the_readme_names_means_something():
    known = {chord for name in ACTIONS for chord in Keys().chords(name)}
    named = chords_named(README)
    assert len(named) > 30
    assert named <= known, sorted(named - known)


def test_the_example_of_a_changed_key_is_one_that_types_nothing():
    assert json.loads(re.findall(r'`(\{"go": [^`]+)`', README)[0]) == {"go": "F9"}
