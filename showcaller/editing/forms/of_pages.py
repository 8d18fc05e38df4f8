"""Pages that are read aloud as lines of text: a page's head, and each of its lines."""

import re
from fractions import Fraction
from typing import Any, get_args

from showcaller.editing.changes import ChangeError, stored
from showcaller.editing.forms.field import one_of, seconds_of
from showcaller.editing.forms.of_setup import SetUpLine
from showcaller.editing.naming import free_id
from showcaller.model import PageKind, PageLine, Show, SpokenPage
from showcaller.model.clockwords import m_ss
from showcaller.model.quantities import to_json

HEAD_HINT = (
    "Show stop: show stop, read by Caller · Undertow preset: checklist, read by Deck chief, before Undertow"
)
LINE_HINT = "Deck, are you set?; answered by Deck chief; clearance Stage set; then lights to half"

_HEAD = re.compile(
    r"^(.+?):\s*(?:(.+?),\s*)?read by\s+(.+?)(?:,\s*after\s+(.+?))?(?:,\s*before\s+(.+?))?"
    r"(?:,\s*takes\s+(\S+))?$",
    re.IGNORECASE,
)
_MORE = re.compile(r";\s*(answered by|clearance|then)\s+", re.IGNORECASE)
_FIELD = {"answered by": "who", "clearance": "clearance", "then": "action"}


def page_lines(show: Show) -> tuple[SetUpLine, ...]:
    """Every page's head (its list is ``pages``), followed by its lines (``pages/ID``, by their places)."""
    found = []
    for page in show.pages:
        found.append(SetUpLine("pages", page.id, page_text(show, page)))
        of = f"pages/{page.id}"
        found += [SetUpLine(of, str(n), line_text(show, line)) for n, line in enumerate(page.lines)]
    return tuple(found)


def page_text(show: Show, page: SpokenPage) -> str:
    """``Undertow preset: checklist, read by Deck chief, before Undertow``."""
    names = {i.id: i.name for i in show.items}
    parts = [f"{page.name}: {page.kind}, read by {page.reader}"]
    parts += [f"after {names[page.after]}"] if page.after is not None else []
    parts += [f"before {names[page.item]}"] if page.item is not None else []
    parts += [f"takes {m_ss_typed(page.takes_s)}"] if page.takes_s is not None else []
    return ", ".join(parts)


def m_ss_typed(seconds: Fraction) -> str:
    """``1:30``; parts of a second as they are typed."""
    return m_ss(int(seconds)) if seconds.denominator == 1 and seconds >= 60 else str(to_json(seconds))


def line_text(show: Show, line: PageLine) -> str:
    """``Deck?; answered by Deck chief; clearance Stage set``."""
    parts = [line.says]
    if line.who:
        parts.append(f"answered by {line.who}")
    if line.clearance:
        parts.append(f"clearance {next(c.name for c in show.clearances if c.id == line.clearance)}")
    if line.action:
        parts.append(f"then {line.action}")
    return "; ".join(parts)


def parse_page(show: Show, text: str, ident: str | None = None) -> dict[str, Any]:
    """A page in the document's form; one that is there (``ident``) keeps its id and its lines.

    Raises:
        ChangeError: it cannot be read, in one sentence.
    """
    match = _HEAD.match(text.strip())
    if match is None:
        raise ChangeError(f"'{text}' needs a name, a colon and who reads it; give {HEAD_HINT}")
    name, kind, reader, after, before, takes = match.groups()
    part: dict[str, Any] = {"name": name.strip(), "reader": reader.strip()}
    items = [(i.id, (i.name,)) for i in show.items]
    if before:
        part["item"] = one_of(before.strip(), items, "item")
    if after:
        part["after"] = one_of(after.strip(), items, "item")
    if takes:
        part["takes_s"] = seconds_of(takes, "takes")
        if not (before and after):
            raise ChangeError("what takes a time lies between two items: say after which and before which")
    if kind:
        part["kind"] = one_of(kind.strip(), [(k, ()) for k in get_args(PageKind)], "kind")
    old = next((p for p in show.pages if p.id == ident), None)
    part["id"] = ident or free_id(part["name"], {p.id for p in show.pages})
    if old is not None and old.lines:
        part["lines"] = [stored(line) for line in old.lines]
    return part


def parse_page_line(show: Show, text: str) -> dict[str, Any]:
    """A page's line in the document's form; its clearance by name or id.

    Raises:
        ChangeError: nothing to read aloud, something given twice, or no such clearance.
    """
    says, *rest = _MORE.split(text.strip())
    if not says.strip():
        raise ChangeError(f"there is nothing to read aloud; give {LINE_HINT}")
    part: dict[str, Any] = {"says": says.strip()}
    for word, value in zip(rest[::2], rest[1::2], strict=True):
        field = _FIELD[word.lower()]
        if field in part:
            raise ChangeError(f"'{word.lower()}' is given twice; a line has one: make two lines of it")
        part[field] = value.strip()
    if "clearance" in part:
        part["clearance"] = _clearance(show, part["clearance"])
    return part


def _clearance(show: Show, words: str) -> str:
    for clearance in show.clearances:
        if words.lower() in (clearance.name.lower(), clearance.id):
            return clearance.id
    have = ", ".join(c.name for c in show.clearances[:6]) or "none yet: give it above"
    raise ChangeError(f"no clearance '{words}' in this show; it has {have}")
