"""How large the parts of the desk are, and which reach back into their area; the lists only get shorter."""

import ast
import re
from pathlib import Path

DESK = Path(__file__).parents[2] / "showcaller" / "desk"
MOST_METHODS = 15
MOST_LINES = 300

TOO_MANY_METHODS: dict[str, int] = {}
TOO_LONG: dict[str, int] = {}
REACHING_BACK: dict[str, int] = {}


def modules():
    return sorted(DESK.rglob("*.py"))


def methods():
    found = {}
    for path in modules():
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.ClassDef):
                count = sum(isinstance(part, ast.FunctionDef | ast.AsyncFunctionDef) for part in node.body)
                if count > MOST_METHODS:
                    found[node.name] = count
    return found


def lines():
    counted = {str(p.relative_to(DESK)): len(p.read_text(encoding="utf-8").splitlines()) for p in modules()}
    return {name: count for name, count in counted.items() if count > MOST_LINES}


def reaching_back():
    counted = {
        str(p.relative_to(DESK)): len(re.findall(r"self\._area\b", p.read_text(encoding="utf-8")))
        for p in modules()
    }
    return {name: count for name, count in counted.items() if count}


def within(found, allowed):
    grown = {name: n for name, n in found.items() if n > allowed.get(name, 0)}
    assert not grown, f"grown: {grown}"
    shrunk = {name: n for name, n in allowed.items() if found.get(name, 0) < n}
    assert not shrunk, f"these have shrunk, say so in the list: { ({n: found.get(n, 0) for n in shrunk}) }"


def test_no_class_has_more_methods_than_one_can_hold_in_mind():
    within(methods(), TOO_MANY_METHODS)


def test_no_module_is_longer_than_three_screens():
    within(lines(), TOO_LONG)


def test_nobody_reaches_back_into_the_area():
    within(reaching_back(), REACHING_BACK)
