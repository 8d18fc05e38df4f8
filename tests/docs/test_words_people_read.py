"""What people read is in the words of the trade: common practice, no source; from native speakers who read
every text. The package's string constants are walked, docstrings left out."""

import ast
import importlib.util
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import showcaller

ROOT = Path(showcaller.__file__).parent

STUMBLED_OVER = {
    "fires by itself": "is automatic",
    "fire by itself": "be automatic",
    "follows by itself": "follows",
    "OUTLETS": "OUTPUTS",
    "outlets are": "outputs are",
    "all outlets": "all outputs",
    "Who calls": "Who's calling",
    "Do messages leave": "Live or muted",
    "as fast as life": "real time",
    "faster than life": "a multiple of real time",
    "nine in ten": "90 % range",
    "19 in 20": "95 % range",
    "to spare": "in hand",
    "make curfew": "chance of making",
    "say go": "call go",
    "say standby": "call standby",
    "never said": "not called",
    "no answer yet": "not acknowledged",
    "without an answer": "not acknowledged",
    "answers after": "keyed … after the standby",
    "stands still": "is on hold",
    "stays uncalled": "will not be called",
    "no run open": "no show open",
    "takes it up": "rejoins",
    "should stand": "current state",
    "slip in": "insert",
    "slipped in": "inserted",
    "put down": "log",
    "is still due": "must still be filed",
    "broken off": "stopped early",
    "where it went": "where the time went",
    "most of it": "mostly",
    "not sure yet": "low confidence",
    "into the book": "apply to the book",
    "out of reach": "unreachable",
    "on wall is": "red on wall",
    "beside the wall": "off the wall",
    "the wall's facts": "wall data",
    "what is sent": "messages",
    "no more tonight": "not used again tonight",
    "frames/s": "fps",
    "only looked at": "read-only, or this desk only watches",
    "out tonight": "cut tonight",
    "free of tempo": "no tempo",
    "thing of the day": "schedule entry",
    "It can run": "Ready",
    "Not yet:": "Not ready:",
    "Mend ": "Fix ",
    "will leave for": "will be sent to",
    "for scripts": "for other software",
    "from memory": "belongs in a check's comment",
}

ALLOWED = {
    (
        "editing/importing/columns.py",
        "out tonight",
    ): "a heading that older spreadsheets have, read and never shown",
}
"""(file, phrase) and why it stays."""


def texts(path: Path) -> Iterator[tuple[int, str]]:
    """(line, text) of every string constant that is no docstring; an f-string's fields are ``{}``."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    silent: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            silent.add(id(node.value))
    for node in ast.walk(tree):
        if isinstance(node, ast.JoinedStr):
            parts = [v.value if isinstance(v, ast.Constant) else "{}" for v in node.values]
            silent.update(id(v) for v in node.values)
            yield node.lineno, "".join(map(str, parts))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in silent:
            yield node.lineno, node.value


def found(path: Path) -> Iterator[str]:
    name = path.relative_to(ROOT).as_posix()
    for line, text in texts(path):
        for phrase, better in STUMBLED_OVER.items():
            if phrase in text and (name, phrase) not in ALLOWED:
                yield f"{name}:{line} reads '{text}': {better}, not '{phrase}'"


@pytest.mark.parametrize("room", sorted(p.name for p in ROOT.iterdir() if (p / "__init__.py").exists()))
def test_nobody_stumbles_over_a_text(room: str) -> None:
    assert [line for path in sorted((ROOT / room).rglob("*.py")) for line in found(path)] == []


def test_a_text_is_found_and_a_docstring_is_not(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(f"{__name__}.ROOT", tmp_path)
    file = tmp_path / "texts.py"
    file.write_text('"""It fires by itself."""\nname = 3\nsaid = f"{name} fires by itself"\n')
    assert [words.partition(" ")[0] for words in found(file)] == ["texts.py:3"]


def test_the_list_of_all_texts_has_places_and_nobody_stumbles_over_the_handbook() -> None:
    path = ROOT.parent / "docs" / "texts.py"
    spec = importlib.util.spec_from_file_location("all_texts", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["all_texts"] = module
    spec.loader.exec_module(module)
    every = module.every_text()
    places = {(t.file, t.where) for t in every if t.text == "type LIVE or MUTE, or press Escape"}
    assert places == {("showcaller/desk/opening.py", "Opening._open")}
    assert any(t.file == "showcaller/crew/texts.json" and t.where.endswith(".fr") for t in every)
    assert not [t for t in every if "SELECT " in t.text]
    read = [t for t in every if not t.file.startswith("resources/handbook/reference")]
    hits = [(t, phrase) for t in read for phrase in STUMBLED_OVER if phrase in t.text]
    assert [t for t, phrase in hits if (t.file.removeprefix("showcaller/"), phrase) not in ALLOWED] == []


def test_what_is_allowed_is_still_there() -> None:
    for name, phrase in ALLOWED:
        assert any(phrase in text for _, text in texts(ROOT / name)), (name, phrase)
