"""What was edited can be undone, also after the desk was closed."""

import json
from pathlib import Path

import pytest
from small_shows import cue, document, item

from showcaller.desk.document_store import DocumentStore
from showcaller.editing import SetFields
from showcaller.editing.history import history_path
from showcaller.editing.keeping import Keeper
from showcaller.model import parse_show, read_show, show_text, write_show


@pytest.fixture
def path(qapp, tmp_path: Path) -> Path:
    found = tmp_path / "show.json"
    write_show(parse_show(json.dumps(document([item("first", 60, [cue("a", "1", 5)])]))), found)
    return found


def opened(path: Path) -> DocumentStore:
    keeper = Keeper(path)
    return DocumentStore(keeper.show, keeper)


def rename(store: DocumentStore, name: str) -> None:
    store.do(f"renamed {name}", SetFields(at=("items", "first"), fields={"name": name}))


def test_edits_of_earlier_sittings_are_undone_one_by_one_across_closings(path):
    first = show_text(read_show(path))
    for name in ("One", "Two", "Three"):
        store = opened(path)
        rename(store, name)
        store.close()
    assert read_show(path).items[0].name == "Three"
    store = opened(path)
    assert store.undo() == "renamed Three"
    assert store.undo() == "renamed Two"
    store.close()
    assert read_show(path).items[0].name == "One"
    store = opened(path)
    assert store.undo() == "renamed One"
    assert store.undo() is None
    assert show_text(store.show_now) == first
    store.close()


def test_a_document_changed_by_anything_else_has_no_history(path):
    store = opened(path)
    rename(store, "One")
    store.close()
    data = json.loads(path.read_text(encoding="utf-8"))
    data["items"][0]["name"] = "Elsewhere"
    path.write_text(json.dumps(data), encoding="utf-8")
    store = opened(path)
    assert store.undo() is None
    store.close()
    assert read_show(path).items[0].name == "Elsewhere"


@pytest.mark.parametrize("damage", ["", "{", "[1]\n", "\x00", None])
def test_a_damaged_history_stops_nothing(path, damage):
    store = opened(path)
    rename(store, "One")
    store.close()
    history = history_path(path)
    lines = history.read_text(encoding="utf-8")
    history.write_text(lines[: len(lines) // 2] if damage is None else damage, encoding="utf-8")
    store = opened(path)
    assert store.undo() is None
    rename(store, "Two")
    assert store.undo() == "renamed Two"
    store.close()
