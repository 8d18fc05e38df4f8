"""The show document: what is written reads back the same, and bad input gets one clear sentence."""

import json
import os
from collections.abc import Callable
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from random_shows import shows

from showcaller.model import DocumentError, Show, parse_show, read_show, show_text, write_show
from showcaller.model.document import layout

SAMPLE = Path(__file__).parents[2] / "sample_shows" / "breakwater.json"


@pytest.fixture
def sample() -> dict[str, Any]:
    body: dict[str, Any] = json.loads(SAMPLE.read_text(encoding="utf-8"))
    return body


def problems(body: object) -> list[str]:
    with pytest.raises(DocumentError) as caught:
        parse_show(json.dumps(body), "x.json")
    return caught.value.problems


@given(shows())
@settings(max_examples=60, deadline=None)
def test_every_show_reads_back_equal_and_writes_the_same_bytes(show: Show) -> None:
    text = show_text(show)
    again = parse_show(text)
    assert again == show
    assert show_text(again) == text
    # Judged by the standard library: it is JSON, and the layout changes nothing but white space.
    assert json.loads(text) == json.loads(json.dumps(show.model_dump(mode="json", exclude_defaults=True)))


def test_the_sample_is_stable(tmp_path: Path) -> None:
    path = tmp_path / "x.json"
    write_show(read_show(SAMPLE), path)
    assert path.read_bytes() == SAMPLE.read_bytes()
    assert [p.name for p in tmp_path.iterdir()] == ["x.json"]


def test_a_part_that_fits_takes_one_line() -> None:
    value = {"long": ["x" * 60, "y" * 60], "short": {"a": 1}, "none": [], "é": "“"}
    lines = layout(value).splitlines()
    assert lines[0] == "{"
    assert ' "short": {"a": 1},' in lines
    assert ' "é": "“"' in lines
    assert json.loads(layout(value)) == value


def test_one_more_cue_is_a_small_diff(sample: dict[str, Any]) -> None:
    before = show_text(parse_show(json.dumps(sample))).splitlines()
    cue = {
        "id": "new",
        "department": "lights",
        "number": "900",
        "label": "New",
        "anchor": {"at": "time", "seconds": 3},
    }
    sample["items"][3]["cues"].append(cue)
    after = show_text(parse_show(json.dumps(sample))).splitlines()
    assert len(after) - len(before) <= 8
    assert len(set(before) - set(after)) <= 1


def change(path: str, value: object) -> Callable[[dict[str, Any]], None]:
    """A change of one field, by its path in the error's own spelling."""

    def apply(body: dict[str, Any]) -> None:
        steps = path.replace("[", ".[").split(".")
        at: Any = body
        for n, name in enumerate(steps):
            key: Any = int(name[1:-1]) if name.startswith("[") else name
            if n < len(steps) - 1:
                at = at[key]
            elif value is None:
                del at[key]
            else:
                at[key] = value

    return apply


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("items[3].cues[0].standby_s", "soon", "'soon' is not a time; give seconds (276) or m:ss ('4:36')"),
        ("items[0].cues[5].anchor.bar", 0, "0 is too little; give 1 or more"),
        ("items[0].length_s", 0, "0 is not above zero"),
        ("items[0].length_s", 700000, "is longer than a week; give seconds or m:ss"),
        ("items[1].tempo[0].bpm", 1000, "1000 quarter notes a minute is outside 10 to 400"),
        ("items[0].cues[0].number", "twelve", "'twelve' is not a cue number; give a number such"),
        ("items[0].cues[0].labl", "x", "is not a field of this part; remove it or check its spelling"),
        ("items[0].name", None, "is missing"),
        ("starts_at", "25:00", "starts_at: '25:00' is not a time of day; give one such as 19:30"),
        ("departments", [], "(got [])"),
        ("items[0].cues[0].department", "lasers", "no department 'lasers' in this show; it has lights"),
        ("items[0].cues[1].id", "first-light-lx-1", "is used already by items[0].cues[0]; give another"),
        ("items[0].cues[5].number", "1", "Lights 1 is used already by “House out” in First Light; give"),
        ("items[3].cues[0].anchor", {"at": "bar", "bar": 2}, "this item has no tempo, so no bars"),
        ("items[7].route", "pier", "no route 'pier' in this show; it has lane-to-buoy, tunnel-to-buoy"),
    ],
)  # fmt: skip
def test_an_error_begins_with_the_fields_path_and_says_what_would_do(
    sample: dict[str, Any], path: str, value: object, sentence: str
) -> None:
    change(path, value)(sample)
    found = problems(sample)
    assert any(line.startswith(f"x.json: {path}: ") and sentence in line for line in found), found


def test_dangerous_cues_never_fire_by_themselves(sample: dict[str, Any]) -> None:
    item, cue = next(
        (i, k)
        for i, item in enumerate(sample["items"])
        for k, cue in enumerate(item["cues"])
        if cue.get("hazard")
    )
    sample["items"][item]["cues"][cue]["fires"] = "by itself"
    (line,) = problems(sample)
    where = f"x.json: items[{item}].cues[{cue}].fires"
    assert line == f"{where}: a hazardous cue is never automatic; set fires to 'called'"


def test_every_wrong_thing_is_named_at_once(sample: dict[str, Any]) -> None:
    sample["items"][0]["length_s"] = "x"
    sample["items"][1]["name"] = ""
    sample["surfaces"][0]["channels"] = -1
    assert len(problems(sample)) == 3


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "is not complete JSON at line 1, column 1: it ends too early"),
        ('{"format": "showcaller/show", "items": [', "it ends too early, as after a half-finished copy"),
        ("{]", "is not complete JSON at line 1, column 2"),
        ("[1, 2]", 'it should say "format": "showcaller/show"'),
        ('{"format": "something/else"}', "is not a show document"),
        ('{"format": "showcaller/show", "version": 3}', "is of version 3, newer than"),
        ("[" * 100_000, "nested far too deeply"),
    ],
)
def test_what_is_no_show_document_is_said(text: str, sentence: str) -> None:
    with pytest.raises(DocumentError) as caught:
        parse_show(text, "x.json")
    (line,) = caught.value.problems
    assert sentence in line
    assert line.startswith("x.json ")


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(DocumentError, match=r"cannot read .*: no such file or directory"):
        read_show(tmp_path / "gone.json")
    (tmp_path / "bytes.json").write_bytes(b"\xff\xfe\x00{")
    with pytest.raises(DocumentError, match=r"bytes\.json is not UTF-8 text"):
        read_show(tmp_path / "bytes.json")
    (tmp_path / "bom.json").write_bytes(b"\xef\xbb\xbf" + SAMPLE.read_bytes())
    assert read_show(tmp_path / "bom.json") == read_show(SAMPLE)


def test_a_write_that_fails_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    show = read_show(SAMPLE)
    path = tmp_path / "x.json"
    path.write_text("old", encoding="utf-8")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(
        DocumentError, match=r"cannot write .*: no space left on device; choose another folder"
    ):
        write_show(show, path)
    assert path.read_text(encoding="utf-8") == "old"
    assert [p.name for p in tmp_path.iterdir()] == ["x.json"]
    with pytest.raises(DocumentError, match="cannot write"):
        write_show(show, tmp_path / "none" / "x.json")


def test_a_changed_part_is_validated_again(sample: dict[str, Any]) -> None:
    show = parse_show(json.dumps(sample))
    cue = next(show.all_cues())
    assert cue.changed(number="7.50").number == Decimal("7.5")
    with pytest.raises(ValueError, match="not a cue number"):
        cue.changed(number="x")


def test_a_part_that_does_not_say_what_it_is_or_what_nobody_knows_is_told_what_would_do(
    sample: dict[str, Any],
) -> None:
    """Found by fuzzing: these were the validator's own words."""
    sample["clearances"][1]["kind"] = "maybe"
    sample["items"][0]["cues"][1]["anchor"] = {"at": "t[me", "seconds": 0}
    del sample["outlets"][0]["kind"]
    assert problems(sample) == [
        "x.json: outlets[0]: does not say what it is; give its 'kind'",
        "x.json: clearances[1]: its 'kind' is 'maybe'; it may be 'yes', 'reading'",
        "x.json: items[0].cues[1].anchor: its 'at' is 't[me'; "
        "it may be 'bar', 'time', 'timecode', 'after', 'visual', 'word'",
    ]
