"""Documents of every released version open, and the published schema is the code's own."""

import json
from importlib import import_module, util
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.editing import apply
from showcaller.editing.changes import change_from, stored
from showcaller.model import DocumentError, Show, parse_show, read_show, show_text
from showcaller.model.document import schema_text
from showcaller.model.show import VERSION
from showcaller.screen.advice import budget
from showcaller.screen.looks import looks_of
from showcaller.screen.picture import picture_at
from showcaller.timing.plan import compile_plan

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "resources" / "schema" / "show.schema.json"
GOLDEN = Path(__file__).parent / "golden"
DOCUMENTS = [ROOT / "sample_shows" / "breakwater.json", GOLDEN / "show_v2.json"]


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_document_of_this_version_opens(version: int) -> None:
    show = read_show(GOLDEN / f"show_v{version}.json")
    assert (show.name, len(list(show.all_cues()))) == ("Golden", 8)
    if version == VERSION:
        assert show_text(show) == (GOLDEN / f"show_v{version}.json").read_text(encoding="utf-8")


def test_the_one_wall_of_version_1_is_the_first_surface_and_all_is_counted_as_it_was() -> None:
    """What is expected was said by the release that wrote version 1."""
    path = GOLDEN / "show_v1.json"
    show, was = read_show(path), json.loads(path.read_text(encoding="utf-8"))
    (wall,) = show.surfaces
    assert wall is show.wall
    assert (wall.id, wall.name, wall.pool) == ("main", "Main wall", None)
    assert {**was["wall"], "id": "main", "name": "Main wall"} == stored(wall)
    assert [stored(look) for look in show.looks] == was["looks"]
    plan = compile_plan(show)
    looks = [looks_of(plan, n) for n in range(len(plan.items))]
    assert [budget(show, x).most for x in looks] == [2] * 5
    picture = picture_at(wall, looks[0], 138.25)
    assert [(x.key, x.rect.x, round(x.rect.y, 3), x.since_s) for x in picture.layers] == [
        ("clip", 0.0, 0.0, 78.19), ("cam", -125.0, 41.667, 78.19)]  # fmt: skip
    said = CliRunner().invoke(app, ["wall", str(path)]).stdout.splitlines()
    assert said[0] == "Söng “one”: at most 2 of 4 channels"


def test_what_is_wrong_in_a_version_1_is_named_by_its_own_fields() -> None:
    body = json.loads((GOLDEN / "show_v1.json").read_text(encoding="utf-8"))
    body["wall"]["inputs"][0]["x_px"] = -1
    with pytest.raises(DocumentError, match=r"wall\.inputs\[0\]\.x_px: "):
        parse_show(json.dumps(body))


def test_a_change_made_when_there_was_one_wall_is_one_of_the_first_surface() -> None:
    show = read_show(GOLDEN / "show_v2.json")
    one = {"do": "set", "at": ["wall", "inputs", "one"], "fields": {"name": "Left"}}
    changed, inverse = apply(show, change_from({"do": "together", "changes": [one]}))
    assert changed.surfaces[0].inputs[0].name == "Left"
    assert apply(changed, inverse)[0] == show
    none = change_from({"do": "set", "at": [], "fields": {"wall": None}})
    bare, _ = apply(show.changed(looks=(), surfaces=show.surfaces[:1], items=_without_looks(show)), none)
    assert bare.surfaces == ()


def _without_looks(show: Show) -> Any:
    return [i.changed(cues=[c.changed(look=None) for c in i.cues]) for i in show.items]


def test_the_published_schema_is_up_to_date() -> None:
    """If it is not, write ``schema_text()`` there; what old documents fail is a new version."""
    assert SCHEMA.read_text(encoding="utf-8") == schema_text()


@pytest.mark.skipif(util.find_spec("jsonschema") is None, reason="jsonschema is not installed")
def test_the_schema_is_one_and_our_documents_follow_it() -> None:
    """Judged by the jsonschema library, draft 2020-12."""
    validator: Any = import_module("jsonschema").Draft202012Validator
    schema = json.loads(SCHEMA.read_text(encoding="utf-8"))
    validator.check_schema(schema)
    for path in DOCUMENTS:
        body = json.loads(path.read_text(encoding="utf-8"))
        assert [e.message for e in validator(schema).iter_errors(body)] == []
        body["items"][0]["cues"][0]["anchor"] = {"at": "nowhere"}
        body["items"][0]["name"] = 7
        assert len(list(validator(schema).iter_errors(body))) >= 1
