"""Running sheets on paper: a page for each position with what it does in the show, changes marked."""

from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, PageBreak, Table

from showcaller.editing.comparing.compare import moved_places
from showcaller.editing.exporting.paper import ROOM, TALL, Head, make_pdf
from showcaller.editing.exporting.script import clock_of, edition_words
from showcaller.editing.placing import anchor_text
from showcaller.model import Cue, Item, Show, WalkOn
from showcaller.model.clockwords import m_ss
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph
from showcaller.timing.plan import compile_plan
from showcaller.values import Struct

SHAPES = ((11.5, 1), (10.5, 1), (9.5, 1), (8.5, 1), (8.5, 2), (7.5, 2))
"""(type size in points, columns) that are tried, largest first, for a position to fit one page."""
LEGIBLE = (8.5, 1)
"""Whoever has too much for one page gets more pages: smaller type could not be read at a console."""
MARK = "\u25b6"
"""Stands before what is new or otherwise since the last issue."""


class PositionTask(Struct, frozen=True):
    """Something a position does in an item: when, in words, and what. ``key`` tells it from all others."""

    key: str
    when: str
    what: str


def positions(show: Show) -> tuple[str, ...]:
    """Who gets a sheet: departments with cues, who gives clearances, who is on a walk; each name once."""
    named = {d.id: d.name for d in show.departments}
    found = [named[cue.department] for item in show.items for cue in item.cues]
    found = [d.name for d in show.departments if d.name in set(found)]
    found += [c.position for c in show.clearances]
    found += [page.reader for page in show.pages if page.kind == "checklist"]
    used = {item.route for item in show.items if isinstance(item, WalkOn)}
    found += [walker.name for route in show.routes if route.id in used for walker in route.people]
    return tuple(dict.fromkeys(found))


def tasks(show: Show, item: Item, position: str) -> tuple[PositionTask, ...]:
    """What a position does in an item, in its order."""
    return tuple(_tasks(show, item, position))


def _tasks(show: Show, item: Item, position: str) -> Iterator[PositionTask]:
    names = {d.id: d.name for d in show.departments}
    theirs = {c.id: c for c in show.clearances if c.position == position}
    for page in show.pages:
        if page.kind == "checklist" and page.item == item.id and page.reader == position:
            for n, line in enumerate(page.lines):
                yield PositionTask(f"check {page.id} {n}", f"before: {page.name}", line.says)
    if isinstance(item, WalkOn):
        route = next((r for r in show.routes if r.id == item.route), None)
        for walker in route.people if route is not None else ():
            if walker.name == position:
                yield PositionTask(f"walk {item.id}", "walk", walker.task)
        for leg in route.legs if route is not None else ():
            for name in (theirs[c].name for c in leg.clearances if c in theirs):
                radio = f", radio {leg.radio}" if leg.radio else ""
                yield PositionTask(
                    f"leg {leg.name} {name}", f"before {leg.name}", f"give clearance {name}{radio}"
                )
    for cue in item.cues:
        if names[cue.department] == position:
            yield PositionTask(cue.id, f"{cue.number}  {anchor_text(cue.anchor, show, item)}", _does(cue))
        for name in (theirs[c].name for c in cue.needs if c in theirs):
            what = f"give clearance {name}"
            yield PositionTask(f"{cue.id} {name}", f"before {names[cue.department]} {cue.number}", what)


def _does(cue: Cue) -> str:
    how = " (automatic)" if cue.fires == "by itself" else ""
    caution = f"; {cue.hazard.caution}" if cue.hazard is not None else ""
    notes = f"; {cue.notes}" if cue.notes else ""
    return f"{cue.label}{how}{caution}{notes}"


def running_sheets(show: Show, edition: str, printed: str, before: Show | None = None) -> bytes:
    """A PDF, a page for each position.

    Args:
        before: the show as it was issued last; None where nothing was.
    """
    plan = compile_plan(show)
    parts: list[Flowable] = []
    for name in positions(show):
        for shape in (*SHAPES, LEGIBLE):
            page = _page(show, plan.starts_s, name, before, *shape)
            if sum(part.wrap(ROOM, TALL)[1] for part in page) <= TALL - 2:
                break
        parts += [PageBreak(), *page] if parts else page
    if not parts:
        regular, _ = fonts()
        parts = [Paragraph("nobody has anything to do yet", ParagraphStyle("none", fontName=regular))]
    return make_pdf(Head(f"{show.name}: running sheet", edition_words(show, edition, printed)), parts)


def _page(
    show: Show, starts_s: tuple[Fraction, ...], name: str, before: Show | None, size: float, columns: int
) -> list[Flowable]:
    regular, bold = fonts()
    title = ParagraphStyle("title", fontName=bold, fontSize=size + 7, leading=(size + 7) * 1.3)
    plain = ParagraphStyle("plain", fontName=regular, fontSize=size, leading=size * 1.22)
    said = f"{MARK} new or otherwise since the last issue" if before is not None else "first issue"
    head: list[Flowable] = [Paragraph(escape(name), title), Paragraph(said, plain)]
    rows = _rows(show, starts_s, name, before, plain)
    if columns == 1:
        return [_table(rows, size, ROOM, head)]  # whose sheet it is stands on each of its pages
    gutter = 12.0
    room = (ROOM - gutter) / 2
    heights = [_table([row], size, room).wrap(room, TALL)[1] for row in rows]
    cut = next(n for n in range(1, len(rows) + 1) if sum(heights[:n]) >= sum(heights) / 2)
    cut = next((n for n in range(cut, min(cut + 12, len(rows))) if rows[n][1]), cut)
    halves = [_table(part, size, room) if part else "" for part in (rows[:cut], rows[cut:])]
    sides = Table([[halves[0], "", halves[1]]], colWidths=[room, gutter, room], hAlign="LEFT")
    sides.setStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 0)])  # fmt: skip
    return [*head, sides]


_Rows = list[tuple[list[Paragraph], bool]]
"""Cells of a row, and whether it is an item's."""


def _rows(
    show: Show, starts_s: tuple[Fraction, ...], name: str, before: Show | None, plain: ParagraphStyle
) -> _Rows:
    regular, bold = fonts()
    strong = ParagraphStyle("strong", parent=plain, fontName=bold)
    was = _issued(before, name)
    moved = _moved(before, show) if before is not None else frozenset[str]()
    rows: _Rows = []
    played = [item for item in show.items if not item.out]
    for item, at_s in zip(played, starts_s, strict=True):
        mark = MARK if item.id in moved or (before is not None and _otherwise(before, item)) else ""
        place = " · moved in the order" if item.id in moved else ""
        said = f"{escape(item.name)} <font name='{regular}'>{m_ss(round(item.length_s))}{place}</font>"
        cells = (mark, clock_of(show, at_s), said, "")
        rows.append(([Paragraph(text, strong) for text in cells], True))
        for task in tasks(show, item, name):
            mark = MARK if was is not None and was.get(task.key) != (task.when, task.what) else ""
            texts = ("", escape(task.when), escape(task.what))
            rows.append(([Paragraph(mark, strong), *(Paragraph(text, plain) for text in texts)], False))
    return rows


def _table(rows: _Rows, size: float, room: float, head: Sequence[Flowable] = ()) -> Table:
    """``head`` stands above it, on every page that it goes on to."""
    narrow, clock = size * 1.4, size * 5.5
    wide = (room - narrow - clock) * 0.36
    widths = [narrow, clock, wide, room - narrow - clock - wide]
    above: list[list[Any]] = [[list(head), "", "", ""]] if head else []
    table = Table(
        [*above, *(cells for cells, _ in rows)], colWidths=widths, hAlign="LEFT", repeatRows=len(above)
    )
    style: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), size * 0.06),
        ("BOTTOMPADDING", (0, 0), (-1, -1), size * 0.08),
    ]
    if above:
        style += [("SPAN", (0, 0), (3, 0)), ("TOPPADDING", (0, 0), (3, 0), 0)]
    for n, (_, of_item) in enumerate(rows, len(above)):
        if of_item:
            style += [("SPAN", (2, n), (3, n)), ("LINEABOVE", (0, n), (-1, n), 0.3, colors.grey)]
    table.setStyle(style)
    return table


def _issued(before: Show | None, name: str) -> dict[str, tuple[str, str]] | None:
    """What a position had to do in the last issue, by key."""
    if before is None:
        return None
    return {t.key: (t.when, t.what) for item in before.items for t in tasks(before, item, name)}


def _moved(before: Show, show: Show) -> frozenset[str]:
    """Ids of the items that are played at another place among the others than in the last issue."""
    old = {item.id: n for n, item in enumerate(i for i in before.items if not i.out)}
    now = [old[i.id] for i in show.items if not i.out and i.id in old]
    moved = moved_places(now)
    return frozenset(ident for ident, place in old.items() if place in moved)


def _otherwise(before: Show, item: Item) -> bool:
    """Whether an item is new, longer, shorter or called otherwise than in the last issue."""
    was = next((i for i in before.items if i.id == item.id and not i.out), None)
    return was is None or (was.name, was.length_s) != (item.name, item.length_s)
