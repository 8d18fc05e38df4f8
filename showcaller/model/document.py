"""Reading and writing the show document: one JSON file, stable in order, made to be read in a diff."""

import gc
import hashlib
import json
import os
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from showcaller.model.base import kept_with_part
from showcaller.model.items import Item
from showcaller.model.patternwords import not_words
from showcaller.model.show import FORMAT, VERSION, Show
from showcaller.model.strictjson import Twice, loads
from showcaller.model.whole import beside
from showcaller.outside import Refused, look_at_file

_WIDTH = 110
MOST_PROBLEMS = 1000
LARGEST_BYTES = 32_000_000
"""Ten thousand cues are three million."""


class DocumentError(Exception):
    """A show document that cannot be used. ``problems`` has one sentence each; nothing on disk changed."""

    def __init__(self, problems: list[str]) -> None:
        super().__init__("; ".join(problems))
        self.problems = problems


def read_show(path: Path) -> Show:
    """The show in the file at ``path``.

    Raises:
        DocumentError: unreadable, not JSON, of another format or version, or not a valid show.
    """
    return parse_show(document_text(document_bytes(path), path.name), path.name)


def document_bytes(path: Path) -> bytes:
    """What is in a document's file.

    Raises:
        DocumentError: missing, no ordinary file, empty, far too large for a show, or unreadable.
    """
    try:
        if path.exists():
            look_at_file(path, LARGEST_BYTES, str(path))
        return path.read_bytes()
    except Refused as error:
        raise DocumentError([str(error)]) from None
    except OSError as error:
        raise DocumentError([f"cannot read {path}: {_reason(error)}"]) from None


def document_text(raw: bytes, name: str) -> str:
    """A document's text.

    Raises:
        DocumentError: it is not UTF-8.
    """
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise DocumentError([f"{name} is not UTF-8 text (byte {error.start}); is it a show file?"]) from None


def parse_show(text: str, name: str = "the show") -> Show:
    """The show in a document's text; ``name`` is what error sentences call it.

    Raises:
        DocumentError: as :func:`read_show`.
    """
    try:
        data = loads(text)
    except json.JSONDecodeError as error:
        if error.pos == 0 and text.strip():
            raise DocumentError([f"{name} is not a show document: it is not JSON at all"]) from None
        where = f"line {error.lineno}, column {error.colno}"
        hint = (
            "it ends too early, as after a half-finished copy"
            if error.pos >= len(text.rstrip())
            else error.msg
        )
        raise DocumentError([f"{name} is not complete JSON at {where}: {hint}"]) from None
    except Twice as error:
        raise DocumentError([f"{name}: {error} stands there twice; take one out"]) from None
    except ValueError as error:
        raise DocumentError([f"{name}: {error}"]) from None
    except RecursionError:
        raise DocumentError([f"{name} is nested far too deeply to be a show"]) from None
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        raise DocumentError([f'{name} is not a show document: it should say "format": "{FORMAT}"'])
    version = data.get("version")
    if isinstance(version, int) and version > VERSION:
        raise DocumentError(
            [f"{name} is of version {version}, newer than the {VERSION} read here; update showcaller"]
        )
    # Every part made is kept, so looking for rubbish meanwhile only takes time: half as much again.
    collects = gc.isenabled()
    gc.disable()
    try:
        return Show.model_validate(data)
    except ValidationError as error:
        lines = sentences(error)
        if version == 1:  # in which the first surface was the wall
            lines = [line.replace("surfaces[0]", "wall") for line in lines]
        raise DocumentError([f"{name}: {line}" for line in lines]) from None
    finally:
        if collects:
            gc.enable()


def sentences(error: ValidationError) -> list[str]:
    """One sentence for each thing wrong, beginning with the field's path; of far too many only how many."""
    if error.error_count() > MOST_PROBLEMS:
        return [f"{error.error_count():,} things are wrong with it; is it a show that showcaller wrote?"]
    details = error.errors(include_url=False)
    deeper = {d["loc"][:n] for d in details for n in range(len(d["loc"]))}
    lines: list[str] = []
    for detail in details:
        if detail["type"] == "too_short" and detail["loc"] in deeper:
            continue  # only short because a part of it was refused, which is said already
        if detail["type"] == "reference":
            lines += [f"{path}: {sentence}" for path, sentence in detail["ctx"]["errors"]]
            continue
        message = detail["msg"].removeprefix("Value error, ")
        if detail["type"] == "missing":
            message = "is missing"
        elif detail["type"] == "extra_forbidden":
            message = "is not a field of this part; remove it or check its spelling"
        elif detail["type"] == "string_pattern_mismatch":
            message = not_words(detail["input"], detail["ctx"]["pattern"])
        elif detail["type"] == "union_tag_not_found":
            message = f"does not say what it is; give its {detail['ctx']['discriminator']}"
        elif detail["type"] == "union_tag_invalid":
            told = detail["ctx"]
            message = (
                f"its {told['discriminator']} is {_short(told['tag'])}; it may be {told['expected_tags']}"
            )
        elif detail["type"] in _PLAINLY:
            message = _PLAINLY[detail["type"]].format(got=_short(detail["input"]), **detail.get("ctx", {}))
        elif detail["type"] != "value_error":
            message = f"{message[0].lower()}{message[1:]} (got {_short(detail['input'])})"
        lines.append(f"{field_path(detail['loc'])}: {message}")
    return lines


_PLAINLY = {
    "greater_than_equal": "{got} is too little; give {ge} or more",
    "greater_than": "{got} is too little; give more than {gt}",
    "less_than_equal": "{got} is too much; give {le} or less",
    "less_than": "{got} is too much; give less than {lt}",
    "int_parsing": "{got} is no whole number; give one such as 12",
    "int_from_float": "{got} is no whole number; give one such as 12",
    "float_parsing": "{got} is no number; give one such as 2.5",
    "literal_error": "{got} is not one of them; give {expected}",
}
"""What pydantic finds, as it is said to people."""
_TAGS = {
    "song", "talk", "walk-on", "changeover", "interval", "bar", "time", "timecode", "after", "visual", "word",
    "osc", "note", "control", "program", "sysex", "msc", "mmc", "osc_udp", "osc_tcp", "midi", "yes",
    "reading", "mtc", "ltc", "tint", "posterize", "monochrome", "contrast", "luma key", "colour key", "blur",
    "mirror",
}  # fmt: skip


def field_path(loc: tuple[int | str, ...]) -> str:
    """``items[3].cues[0].anchor.bar`` from pydantic's location, without the names of union branches."""
    path = ""
    for i, step in enumerate(loc):
        if isinstance(step, int):
            path += f"[{step}]"
        elif step in _TAGS and 0 < i < len(loc) - 1 and path.endswith(("]", "anchor", "timecode_in")):
            continue
        else:
            path += f".{step}" if path else step
    return path or "the document"


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 60 else text[:57] + "…"


def text_digest(text: str) -> str:
    """SHA-256 of a document's text, in hex: equal texts are one edition."""
    return hashlib.sha256(text.encode()).hexdigest()


def show_text(show: Show) -> str:
    """The document's text: the same show always gives the same text."""
    data = show.model_dump(mode="json", exclude_defaults=True, exclude={"items"})
    rows = [f" {json.dumps(k)}: {layout(v, 1)}" for k, v in data.items()]
    # Items are laid out one by one and remembered: after an edit only the changed one costs time.
    items = [item_text(item) for item in show.items]
    flat = f"[{', '.join(items)}]"
    if "\n" in flat or len(flat) + 1 > _WIDTH:
        flat = "[\n" + ",\n".join(f"  {text}" for text in items) + "\n ]"
    return "{\n" + ",\n".join([*rows, f' "items": {flat}']) + "\n}\n"


@kept_with_part
def item_text(item: Item) -> str:
    """An item as it stands in the document's text; remembered as long as the item lives."""
    data = item.model_dump(mode="json", exclude_defaults=True, exclude={"cues"})
    if item.cues:
        # One by one: the whole of a very full item at once would keep Python's lock for two frames.
        data["cues"] = [cue.model_dump(mode="json", exclude_defaults=True) for cue in item.cues]
    return layout({name: data[name] for name in type(item).model_fields if name in data}, 2)


_encode = json.JSONEncoder(ensure_ascii=False).encode


def _room_left(value: Any, room: int) -> int:
    """Room that is left on a line after this at the least; below 0 as soon as it cannot fit.

    Most parts are far too long for a line, and writing each out to find that doubles the work.
    """
    if isinstance(value, str):
        return room - len(value) - 2
    if isinstance(value, dict):
        for k, v in value.items():
            room = _room_left(v, room - len(k) - 4)
            if room < 0:
                return room
        return room - 2
    if isinstance(value, list):
        for v in value:
            room = _room_left(v, room)
            if room < 0:
                return room
        return room - 2
    return room - 1


def layout(value: Any, indent: int = 0) -> str:
    """JSON with every part that fits on a line on one line, so that a diff shows a cue as a line or few."""
    if not isinstance(value, dict | list) or not value:
        return _encode(value)
    if _room_left(value, _WIDTH - indent) >= 0:
        flat = _encode(value)
        if len(flat) + indent <= _WIDTH:
            return flat
    pad = " " * (indent + 1)
    if isinstance(value, dict):
        rows = [f"{pad}{_encode(k)}: {layout(v, indent + 1)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + "\n" + " " * indent + "}"
    return "[\n" + ",\n".join(pad + layout(v, indent + 1) for v in value) + "\n" + " " * indent + "]"


def write_show(show: Show, path: Path) -> None:
    """Write the document of ``show``; as :func:`write_document`."""
    write_document(show_text(show), path)


def write_document(text: str, path: Path) -> None:
    """Write a document's text so that a crash leaves the old file or the new one, never half of either.

    Raises:
        DocumentError: the folder cannot be written; the file there is untouched.
    """
    try:
        handle, temporary = beside(path)
        try:
            with os.fdopen(handle, "w", encoding="utf-8", newline="\n") as file:
                file.write(text)
                file.flush()
                os.fsync(file.fileno())
            temporary.replace(path)
        except BaseException:
            temporary.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise DocumentError([f"cannot write {path}: {_reason(error)}; choose another folder"]) from None


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def schema_text() -> str:
    """The published JSON Schema of the show document, draft 2020-12."""
    schema = {"$schema": "https://json-schema.org/draft/2020-12/schema", **Show.model_json_schema()}
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"
