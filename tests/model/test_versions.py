"""Documents of every released version open, and the published schema is the code's own."""

import json
from importlib import import_module, util
from pathlib import Path
from typing import Any

import pytest

from showcaller.model import read_show, show_text
from showcaller.model.document import schema_text
from showcaller.model.show import VERSION

ROOT = Path(__file__).parents[2]
SCHEMA = ROOT / "resources" / "schema" / "show.schema.json"
GOLDEN = Path(__file__).parent / "golden"
DOCUMENTS = [ROOT / "sample_shows" / "breakwater.json", GOLDEN / "show_v1.json"]


@pytest.mark.parametrize("version", range(1, VERSION + 1))
def test_a_document_of_this_version_opens(version: int) -> None:
    show = read_show(GOLDEN / f"show_v{version}.json")
    assert (show.name, len(list(show.all_cues()))) == ("Golden", 8)
    if version == VERSION:
        assert show_text(show) == (GOLDEN / f"show_v{version}.json").read_text(encoding="utf-8")


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
