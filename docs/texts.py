"""Every text that people can read, with its place: ``python docs/texts.py [OUT.tsv]`` (otherwise printed).

Four columns: file, line, the function or class it is in, the text; what is filled in stands as ``{}``. They
are the string constants of the package with two words or more, and those of one word where a widget, a table
or an exception takes them; docstrings, patterns, queries and what programs alone read are left out. The crew
pages' texts in their languages (``showcaller/crew/texts.json``) and the handbook's lines follow.
"""

import ast
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "showcaller"

_QUERY = re.compile(r"\b(SELECT|INSERT|UPDATE|DELETE|CREATE|ALTER|PRAGMA|LISTEN|NOTIFY|DROP|BEGIN)\b")
_NO_TEXT = re.compile(r"\(\?|\\[dwsbSW(]|\^\[|^[\w./:*{}-]+$|^https?:|^%|^#|^<|^\s*$|://\S+$")
_WORD = re.compile(r"[A-Za-zÀ-ÿ’']{2,}")
_READ_BY_PEOPLE = {
    "Line", "heading", "text", "label", "addAction", "setText", "setWindowTitle", "setAccessibleName", "say",
    "refuse", "ValueError", "ChangeError", "Finding", "Row", "Paragraph", "Head", "plural",
}  # fmt: skip


class Text(NamedTuple):
    """One text and where it is."""

    file: str
    line: int
    where: str
    text: str


def texts(path: Path, root: Path = ROOT) -> Iterator[Text]:
    """The texts of one file of Python, in its order."""
    name = path.relative_to(root).as_posix()
    yield from sorted(_walk(ast.parse(path.read_text(encoding="utf-8")), name, []), key=lambda t: t.line)


def _walk(node: ast.AST, name: str, inside: list[str], called: str = "") -> Iterator[Text]:
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
        inside = [*inside, node.name]
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    text = _text_of(node)
    if text is not None:
        if _for_people(text, called):
            yield Text(name, node.lineno, ".".join(inside), " ".join(text.split()))  # type: ignore[attr-defined]
        for part in getattr(node, "values", ()):  # what is filled in may hold texts itself
            if isinstance(part, ast.FormattedValue):
                yield from _walk(part.value, name, inside)
        return
    if isinstance(node, ast.Call):
        called = getattr(node.func, "id", getattr(node.func, "attr", ""))
    elif not isinstance(node, ast.keyword | ast.Tuple | ast.List | ast.Starred | ast.IfExp | ast.BinOp):
        called = ""
    for child in ast.iter_child_nodes(node):
        yield from _walk(child, name, inside, called)


def _text_of(node: ast.AST) -> str | None:
    """The text of a constant, or of an f-string with ``{}`` for what is filled in."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "{}" for v in node.values)
    return None


def _for_people(text: str, called: str) -> bool:
    words = _WORD.findall(text.replace("{}", " "))
    if _QUERY.search(text):
        return False
    if called in _READ_BY_PEOPLE and words:
        return True
    return len(words) > 1 and not _NO_TEXT.search(text)


def crew_texts(path: Path) -> Iterator[Text]:
    """The crew pages' texts, every language."""
    name = path.relative_to(ROOT).as_posix()
    for language, table in json.loads(path.read_text(encoding="utf-8")).items():
        for key, said in _leaves(table, ""):
            yield Text(name, 0, f"{language}.{key}", said)


def _leaves(table: object, key: str) -> Iterator[tuple[str, str]]:
    if isinstance(table, str):
        yield key, table
    elif isinstance(table, dict):
        for name, value in table.items():
            yield from _leaves(value, f"{key}.{name}".strip("."))
    elif isinstance(table, list):
        for n, value in enumerate(table):
            yield from _leaves(value, f"{key}.{n}")


def every_text() -> list[Text]:
    """All of them: the package, the crew pages, the handbook."""
    found = [text for path in sorted(PACKAGE.rglob("*.py")) for text in texts(path)]
    found += crew_texts(PACKAGE / "crew" / "texts.json")
    for page in sorted((ROOT / "resources" / "handbook").rglob("*.md")):
        name = page.relative_to(ROOT).as_posix()
        for n, line in enumerate(page.read_text(encoding="utf-8").splitlines(), 1):
            if line.strip():
                found.append(Text(name, n, "", line.strip()))
    return found


def main() -> None:
    """Write or print the list."""
    rows = ["file\tline\twhere\ttext", *("\t".join(map(str, text)) for text in every_text())]
    if len(sys.argv) > 1:
        Path(sys.argv[1]).write_text("\n".join(rows) + "\n", encoding="utf-8")
        rows = [f"{len(rows) - 1} texts in {sys.argv[1]}"]
    sys.stdout.write("\n".join(rows) + "\n")


if __name__ == "__main__":
    main()
