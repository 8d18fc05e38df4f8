"""Writes the reference of the handbook from the code: keys, commands, the document, the log.

``python docs/reference.py`` writes ``resources/handbook/reference/*.md``; a test sees that none goes stale.
"""

import json
import re
import typing
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import UnionType
from typing import Any, get_args, get_origin

from typer.main import get_command

from showcaller.cli.every import app
from showcaller.desk.actions import ACTIONS
from showcaller.model.document import schema_text
from showcaller.run import commands, events

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "resources" / "handbook" / "reference"


def keys() -> str:
    """Every action with its key, by the menu it stands in."""
    menus: dict[str, list[str]] = {}
    for action in ACTIONS.values():
        chords = " or ".join(f"`{chord}`" for chord in action.keys) or "no key"
        twice = ", asked twice" if action.twice else ""
        where = {"desk": "everywhere", "run": "Call, in a show"}.get(
            " ".join(action.where), ", ".join(action.where)
        )
        menus.setdefault(action.menu or "No menu", []).append(
            f"| {chords}{twice} | {action.word} | {_cell(action.does)} | {where} |"
        )
    lines = [
        "# Keys",
        "",
        "Every action of the desk, by the menu it stands in. `Ctrl+Shift+P` finds any of them by its words.",
        "How they are changed: [keys of your own](../howto/keys.md).",
    ]
    for menu, rows in menus.items():
        lines += ["", f"## {menu}", "", "| key | action | what it does | where |", "|---|---|---|---|", *rows]
    return _page(lines)


def command_line() -> str:
    """Every command with what may stand after it."""
    lines = [
        "# Command line",
        "",
        "`showcaller COMMAND --help` says the same; from a folder of the source it is",
    ]
    lines += ["`python3 run.py COMMAND`."]
    root: Any = get_command(app)
    for name, command in _commands(root, ""):
        words = [f"`{name}" + "".join(f" {a}" for a in _arguments(command)) + "`", ""]
        words += [f"{_cell(part)}\n" for part in (command.help or "").split("\n\n") if part.strip()]
        rows = [
            f"| `{', '.join(option.opts)}` | {_cell(option.help or '')} |"
            for option in command.params
            if option.param_type_name == "option" and not option.hidden and option.name != "help"
        ]
        table = ["| option | what it does |", "|---|---|", *rows] if rows else []
        lines += ["", f"## {name}", "", *words, *table]
    return _page(lines)


def _commands(group: Any, before: str) -> Iterator[tuple[str, Any]]:
    for name, command in sorted(group.commands.items()):
        if hasattr(command, "commands"):
            yield from _commands(command, f"{before}{name} ")
        elif not command.hidden:
            yield f"{before}{name}", command


def _arguments(command: Any) -> list[str]:
    return [
        (p.name or "").upper() if p.required else f"[{(p.name or '').upper()}]"
        for p in command.params
        if p.param_type_name == "argument"
    ]


def document() -> str:
    """Every part of a show document with its fields."""
    schema = json.loads(schema_text())
    lines = ["# The show document", "", "One JSON file, UTF-8. Each part with its fields; those in bold must"]
    lines += ["be there. For machines the same is a JSON Schema: `resources/schema/show.schema.json`.", ""]
    lines += ["## Show", "", *_part(schema)]
    for name, part in sorted(schema["$defs"].items()):
        lines += ["", f"## {name}", "", *_part(part)]
    return _page(lines)


def _part(part: Mapping[str, Any]) -> list[str]:
    lines = [_prose(part.get("description", "")), ""]
    needed = set(part.get("required", ()))
    rows = [
        f"| {f'**{name}**' if name in needed else name} | {_cell(_kind(field))} | {_cell(_default(field))} |"
        for name, field in part.get("properties", {}).items()
    ]
    return [*lines, "| field | what | if left out |", "|---|---|---|", *rows] if rows else lines


def _kind(field: Mapping[str, Any]) -> str:
    if "$ref" in field:
        return str(field["$ref"]).rsplit("/", 1)[-1]
    if "enum" in field:
        return " · ".join(f"`{value}`" for value in field["enum"])
    if "const" in field:
        return f"`{field['const']}`"
    for some in ("anyOf", "oneOf"):
        if some in field:
            return " or ".join(dict.fromkeys(_kind(one) for one in field[some]))
    if "items" in field:
        return f"list of {_kind(field['items'])}"
    if "prefixItems" in field:
        return "list of " + ", ".join(_kind(one) for one in field["prefixItems"])
    words = field.get("type", "any")
    plain = " or ".join(words) if isinstance(words, list) else str(words)
    limits = [f"{sign} {field[key]}" for key, sign in _LIMITS.items() if key in field]
    note = field.get("description", "")
    return plain + (f" {', '.join(limits)}" if limits else "") + (f" ({note})" if note else "")


_LIMITS = {"minimum": "≥", "exclusiveMinimum": ">", "maximum": "≤", "exclusiveMaximum": "<"}


def _default(field: Mapping[str, Any]) -> str:
    value = field.get("default")
    return "" if value in (None, [], {}, "") else f"`{json.dumps(value, ensure_ascii=False)}`"


def log() -> str:
    """What can stand in the log: what was asked for, and what came of it."""
    lines = [
        "# The log",
        "",
        "The journal of a show is a line a step: what was asked for (`input`), what came of it (`events`).",
        "Instants ending in `_s` are seconds into the item, `t_ns` counts from the start of the run.",
    ]
    for heading, module in (("Asked for", commands), ("Came of it", events)):
        kinds: dict[str, Any] = {
            value.kind: value
            for value in vars(module).values()
            if isinstance(value, type) and issubclass(value, events.Entry) and value is not events.Entry
        }
        lines += ["", f"## {heading}"]
        for kind, value in sorted(kinds.items()):
            hints = typing.get_type_hints(value)
            fields = ", ".join(f"`{name}` {_hint(hints[name])}" for name in value.__struct_fields__)
            lines += ["", f"### {kind}", "", _prose(value.__doc__ or ""), *(["", fields] if fields else [])]
    return _page(lines)


def _hint(hint: Any) -> str:
    if get_origin(hint) in (typing.Union, UnionType):
        return " or ".join(_hint(one) for one in get_args(hint))
    if get_origin(hint) is typing.Literal:
        return " · ".join(f"`{value}`" for value in get_args(hint))
    if get_origin(hint) is tuple:
        return f"list of {_hint(get_args(hint)[0])}"
    if get_origin(hint) in (dict, Mapping):
        return "object"
    names = {str: "text", int: "whole number", float: "number", bool: "yes or no", type(None): "nothing"}
    return names.get(hint, getattr(hint, "__name__", "object"))


def _prose(words: str) -> str:
    """A docstring as Markdown."""
    words = re.sub(r":\w+:`[~.]*([^`]+)`", lambda found: f"`{found[1].rsplit('.', 1)[-1]}`", words)
    words = words.replace("``", "`")
    return "\n\n".join(" ".join(part.split()) for part in words.strip().split("\n\n"))


def _cell(words: str) -> str:
    return " ".join(words.replace("|", "\\|").split())


def _page(lines: list[str]) -> str:
    """One page; a heading has an empty line before and after it, and no two stand together."""
    text = "\n".join(lines)
    return re.sub(r"\n{3,}", "\n\n", text).rstrip() + "\n"


PAGES = {"keys": keys, "commands": command_line, "document": document, "log": log}


def main() -> None:
    """Write all of them."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for name, make in PAGES.items():
        (FOLDER / f"{name}.md").write_text(make(), encoding="utf-8")


if __name__ == "__main__":
    main()
