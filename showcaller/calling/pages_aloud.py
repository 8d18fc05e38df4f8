"""Pages that are read aloud, as the desk shows them: the list of them, and one with its clock. Pure."""

from showcaller.calling.status_view import ClearanceRow, clearance_rows
from showcaller.calling.wording import plural, span
from showcaller.model import ReadingClearance, Show, SpokenPage
from showcaller.model.pages import ABOVE, VENUES_FIRST
from showcaller.run.compiled import NS
from showcaller.run.runbook import RunBook
from showcaller.values import Struct


class PageChoice(Struct, frozen=True):
    """A page in the list of them: ``words`` say whether it is open, since when, and how far it is."""

    id: str
    name: str
    words: str
    open: bool


class PageRow(Struct, frozen=True):
    """A line of a page, counted from 1. ``ticked`` is when (on the page's clock) and by whom, empty before.

    ``clearance`` is how the one it asks for stands, ``limit`` a reading's own; ``action`` what is done there.
    """

    n: int
    says: str
    who: str = ""
    action: str = ""
    ticked: str = ""
    clearance: ClearanceRow | None = None
    limit: str = ""

    @property
    def beside(self) -> str:
        """Who does or answers it, and how its clearance stands."""
        parts = [self.who]
        if self.clearance is not None:
            key = f"{self.clearance.key} " if self.clearance.key else ""
            parts.append(f"{key}{self.clearance.name}: {self.clearance.words}")
            parts.append(self.limit)
        if self.action:
            parts.append(f"then: {self.action}")
        return " · ".join(part for part in parts if part)


class OpenedPage(Struct, frozen=True):
    """An open page. ``open_s`` since it was opened, ``held_s`` how long the show is on hold (None: it is
    not); ``next`` is the place of the first line that is not ticked, None where all are."""

    id: str
    name: str
    kind: str
    reader: str
    open_s: float
    held_s: float | None
    rows: tuple[PageRow, ...]
    next: int | None
    above: str

    @property
    def count(self) -> str:
        """``3 of 7``."""
        return f"{sum(1 for row in self.rows if row.ticked)} of {len(self.rows)}"


def page_choices(book: RunBook, now_ns: int) -> tuple[PageChoice, ...]:
    """Every page of the show, in its order."""
    found = []
    for page in book.compiled.plan.show.pages:
        opened = book.state.pages.get(page.id)
        if page.kind == "checklist":
            words = _checklist_words(book, page)
        elif opened is None:
            words = f"{page.kind}, {plural(len(page.lines), 'line')}, read by {page.reader}"
        else:
            since = span((now_ns - opened.since_ns) / NS)
            words = f"open {since} · {len(opened.ticks)} of {len(page.lines)} ticked"
        found.append(PageChoice(page.id, page.name, words, opened is not None))
    return tuple(found)


def _checklist_words(book: RunBook, page: SpokenPage) -> str:
    """``checklist before Undertow, Deck chief: 2 of 5 ticked``."""
    items = book.compiled.plan.items
    before = next((f" before {i.item.name}" for i in items if i.item.id == page.item), "")
    ticks = book.state.pages[page.id].ticks if page.id in book.state.pages else {}
    count = "closed" if page.id in book.closed_pages else f"{len(ticks)} of {len(page.lines)} ticked"
    return f"checklist{before}, {page.reader}: {count}"


def page_view(book: RunBook, ident: str, now_ns: int) -> OpenedPage | None:
    """An open page as it stands; None for one that is not open."""
    show, state = book.compiled.plan.show, book.state
    page = next((p for p in show.pages if p.id == ident), None)
    opened = state.pages.get(ident)
    if page is None or opened is None:
        return None
    stand = {row.id: row for row in clearance_rows(book, now_ns)}
    rows = []
    for n, line in enumerate(page.lines, 1):
        tick = opened.ticks.get(n)
        when = "" if tick is None else span((tick.at_ns - opened.since_ns) / NS)
        ticked = f"{when} {tick.by}".strip() if tick is not None else ""
        of = stand.get(line.clearance or "")
        limit = _limit(show, of)
        rows.append(PageRow(n, line.says, line.who or "", line.action or "", ticked, of, limit))
    following = next((n for n, row in enumerate(rows) if not row.ticked), None)
    return OpenedPage(
        page.id, page.name, page.kind, page.reader, (now_ns - opened.since_ns) / NS,
        None if state.held_at_ns is None else (now_ns - state.held_at_ns) / NS,
        tuple(rows), following, _above(page),
    )  # fmt: skip


def page_banner(book: RunBook, now_ns: int, key: str) -> str:
    """What stands over the box while a page is open and not in view; empty where none is."""
    silent = {page.id for page in book.compiled.plan.show.pages if page.kind == "checklist"}
    rows = [row for row in page_choices(book, now_ns) if row.open and row.id not in silent]
    if not rows:
        return ""
    more = f" and {len(rows) - 1} more" if len(rows) > 1 else ""
    since = span((now_ns - book.state.pages[rows[0].id].since_ns) / NS)
    return f"page open: {rows[0].name} {since}{more} · {key}"


def _limit(show: Show, row: ClearanceRow | None) -> str:
    clearance = None if row is None else next(c for c in show.clearances if c.id == row.id)
    if not isinstance(clearance, ReadingClearance):
        return ""
    return f"{clearance.limit_words} ({clearance.source})"


def _above(page: SpokenPage) -> str:
    return ABOVE if page.kind in VENUES_FIRST else ""
