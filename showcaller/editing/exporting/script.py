"""The call script on paper, for a stand: large type, no item broken over two pages if it can be helped."""

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Flowable, KeepTogether, PageBreak, Spacer, Table

from showcaller.editing.exporting.paper import ROOM, TALL, Head, make_pdf
from showcaller.editing.exporting.script_pages import page_sheets
from showcaller.editing.exporting.script_ways import way
from showcaller.editing.placing import clock_text
from showcaller.editing.venues import night_words
from showcaller.model import Show, Song, WalkOn
from showcaller.model.clockwords import m_ss
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph
from showcaller.timing.calls.compiling import CallLine, CallSheet, compile_show_calls
from showcaller.timing.plan import Plan, PlannedItem, compile_plan
from showcaller.timing.speech import Naming

DECIDE = "Local codes and licensed people decide."
UNSAID = "(cannot be called in time: see above)"
SHAPES = ((15.0, 1), (13.5, 1), (12.0, 1), (12.0, 2), (10.5, 2), (9.5, 2))
"""(type size in points, columns) that are tried, largest first, for an item to fit one page."""


PENCIL = 24 * mm
"""Room at the right of a script for a pencil, points."""
WIDE = ROOM - PENCIL


def call_script(show: Show, edition: str, printed: str = "") -> bytes:
    """The whole show as it is called, a PDF; ``printed`` says when it was."""
    plan = compile_plan(show)
    sheets = compile_show_calls(plan)
    parts: list[Flowable] = []
    for n, (planned, sheet) in enumerate(zip(plan.items, sheets, strict=True)):
        parts += _item(plan, n, planned, sheet)
    parts = parts[:-1]  # its room below would make a page of its own before the break
    parts += page_sheets(show)
    return make_pdf(Head(f"{show.name}: call script", edition_words(show, edition, printed)), parts)


def edition_words(show: Show, edition: str, printed: str = "") -> str:
    """What stands over every page at the right."""
    curfew = f", curfew {show.curfew}" if show.curfew else ""
    said = f"{edition} · {night_words(show)} · starts {show.starts_at}{curfew}"
    return f"{said} · printed {printed}" if printed else said


def clock_of(show: Show, into_s: Fraction) -> str:
    """The time of day of an instant of a show that starts as planned, ``21:04:30``."""
    starts = datetime.combine(date(2000, 1, 1), time.fromisoformat(show.starts_at))
    return f"{starts + timedelta(seconds=round(into_s)):%H:%M:%S}"


def _item(plan: Plan, n: int, planned: PlannedItem, sheet: CallSheet) -> list[Flowable]:
    """An item's block at the largest type at which it fits a page; if none does, broken at the page's end."""
    tried = [(*shape, WIDE) for shape in SHAPES]
    # An item that fits no page beside the pencil's room takes that room as well.
    for size, columns, room in (*tried, *((*shape, ROOM) for shape in SHAPES if shape[1] == 2)):
        block = _block(plan, n, planned, sheet, size, columns, room)
        height = sum(part.wrap(room, TALL)[1] for part in block)
        if height <= TALL - 2:
            return [CondPageBreak(height), KeepTogether(block), Spacer(1, 14)]
    return [PageBreak(), *_block(plan, n, planned, sheet, SHAPES[2][0], 1, WIDE), Spacer(1, 14)]


def _block(
    plan: Plan, n: int, planned: PlannedItem, sheet: CallSheet, size: float, columns: int, wide: float
) -> list[Flowable]:
    regular, bold = fonts()
    item = planned.item
    title = ParagraphStyle("title", fontName=bold, fontSize=size + 4, leading=(size + 4) * 1.25)
    grey = colors.HexColor("#333333")
    small = ParagraphStyle(
        "small", fontName=regular, fontSize=max(9, size - 3), leading=size * 1.15, textColor=grey
    )
    facts = [f"{clock_of(plan.show, plan.starts_s[n])}", clock_text(item.length_s),
             f"{clock_text(plan.starts_s[n])} into the show"]  # fmt: skip
    if isinstance(item, Song) and item.tempo:
        facts.append(f"{float(item.tempo[0].bpm):g} bpm")
    block: list[Flowable] = [
        Paragraph(f"{n + 1}  {escape(item.name)}", title),
        Paragraph(" · ".join(facts), small),
    ]
    if isinstance(item, WalkOn):
        block += way(plan.show, item, small, wide)
    if item.notes:
        block.append(Paragraph(escape(item.notes), small))
    block += [Paragraph(escape(c.sentence), small) for c in sheet.collisions]
    rows = _rows(planned, sheet, Naming(planned, plan.show.departments, plan.show.speaking.wording), size)
    if not rows:
        return block
    if columns == 1:
        return [*block, _table(rows, size, wide)]
    gutter = 14.0
    room = (wide - gutter) / 2
    left, right = _halves(rows, size, room)
    sides = Table([[left, "", right]], colWidths=[room, gutter, room], hAlign="LEFT")
    sides.setStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("RIGHTPADDING", (0, 0), (-1, -1), 0), ("LINEBEFORE", (2, 0), (2, 0), 0.5, colors.grey),
                    ("LEFTPADDING", (2, 0), (2, 0), 6)])  # fmt: skip
    return [*block, sides]


Rows = list[tuple[list[Paragraph], str]]


def _halves(rows: Rows, size: float, room: float) -> tuple[Table, Table]:
    """Two tables of about the same height; the second begins with a section where there is one near."""
    heights = [_table([row], size, room - 6).wrap(room, TALL)[1] for row in rows]
    half, cut = sum(heights) / 2, 0
    while cut < len(rows) - 1 and sum(heights[: cut + 1]) <= half:
        cut += 1
    near = [n for n in range(cut - 3, cut + 4) if 0 < n < len(rows) and rows[n][1] == "section"]
    cut = min(near, key=lambda n: abs(n - cut)) if near else max(1, cut)
    return _table(rows[:cut], size, room - 6), _table(rows[cut:], size, room - 6)


def _table(rows: Rows, size: float, room: float) -> Table:
    widths = [size * 3.3, size * 3.5, room - size * 6.8]
    table = Table([row for row, _ in rows], colWidths=widths, hAlign="LEFT")
    style: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), size * 0.12),
        ("BOTTOMPADDING", (0, 0), (-1, -1), size * 0.12),
    ]
    for row, (_, kind) in enumerate(rows):
        if kind == "section":
            style.append(("LINEABOVE", (0, row), (-1, row), 0.5, colors.grey))
            style.append(("SPAN", (0, row), (-1, row)))
        elif kind == "hazard":
            style.append(("BOX", (2, row), (2, row), 0.8, colors.black))
            style.append(("LEFTPADDING", (2, row), (2, row), 3))
    table.setStyle(style)
    return table


def _rows(planned: PlannedItem, sheet: CallSheet, naming: Naming, size: float) -> Rows:
    regular, bold = fonts()
    plain = ParagraphStyle("plain", fontName=regular, fontSize=size, leading=size * 1.22)
    go = ParagraphStyle("go", parent=plain, fontName=bold)
    quiet = ParagraphStyle("quiet", parent=plain, fontSize=size - 2, textColor=colors.HexColor("#444444"))
    head = ParagraphStyle("head", parent=quiet, fontName=bold)
    found: list[tuple[Fraction, int, list[Paragraph], str]] = []
    warned: set[tuple[str, str]] = set()
    for line in sheet.lines:
        if line.what != "go":
            cells = [*_when(planned, line.starts_s, plain), Paragraph(escape(line.text), plain)]
            found.append((line.starts_s, 1, cells, line.what))
    place_s: Fraction | None = None
    places: list[tuple[Fraction, Fraction]] = []
    for line in sheet.goes:
        # A go is where its first word is, but never above one that is due before it: those that cannot be
        # said in time overlap.
        place_s = line.starts_s if place_s is None else max(place_s, line.starts_s)
        if line.go is not None:
            places.append((planned.goes[line.go].at_s, place_s))
        said = escape(line.text) + (f" {UNSAID}" if line in sheet.unsaid else "")
        said += _does(planned, line, naming, size)
        sung = _sung(planned, line)
        if sung:
            blank = Paragraph("", plain)
            found.append((place_s, 0, [blank, blank, Paragraph(sung, quiet)], "sung"))
        for k in line.cues:
            hazard = planned.cues[k].cue.hazard
            if hazard is not None:
                words = f"{hazard.kind}: as above ({hazard.responsible})."
                if (hazard.kind, hazard.caution) not in warned:
                    words = f"{hazard.kind}: {hazard.caution} ({hazard.responsible}). {DECIDE}"
                warned.add((hazard.kind, hazard.caution))
                blank = Paragraph("", plain)
                found.append((place_s, 1, [blank, blank, Paragraph(escape(words), quiet)], "hazard"))
        found.append((place_s, 1, [*_when(planned, line.lands_s, go), Paragraph(said, go)], line.what))
    for cue in planned.cues:
        if cue.automatic:
            words = f"automatic: {cue.cue.department} {cue.cue.number} {cue.cue.label}"
            found.append(
                (cue.at_s, 2, [*_when(planned, cue.at_s, quiet), Paragraph(escape(words), quiet)], "itself")
            )
    if isinstance(planned.item, Song) and planned.tempo is not None:
        for section in planned.item.sections:
            at_s = planned.item.downbeat_s + planned.tempo.seconds(section.bar)
            name = Paragraph(f"{escape(section.name)}, bar {section.bar}", head)
            # Before the go of a cue on its downbeat, whose first word is earlier than that.
            before_s = min((place for target_s, place in places if target_s >= at_s), default=at_s)
            head_s = min(at_s, before_s)
            found.append((head_s, -1, [name, Paragraph("", head), Paragraph("", head)], "section"))
    found.sort(key=lambda row: row[:2])
    return [(cells, kind) for _, _, cells, kind in found]


def _sung(planned: PlannedItem, line: CallLine) -> str:
    """The line of the lyrics that a go hangs on, its word in bold; empty for one that hangs on none."""
    word = None if line.go is None else planned.goes[line.go].word
    if word is None:
        return ""
    words = next(x.line.words for x in planned.lyrics if x.line.id == word[0])
    _, bold = fonts()
    marked = f"<font name='{bold}'><u>{escape(words[word[1] - 1])}</u></font>"
    return " ".join([*map(escape, words[: word[1] - 1]), marked, *map(escape, words[word[1] :])])


def _does(planned: PlannedItem, line: CallLine, naming: Naming, size: float) -> str:
    """What a go waits for and what its cues do, small, to stand after its words."""
    assert line.go is not None
    labels = [escape(planned.cues[k].cue.label) for k in line.cues]
    if len(labels) > 1:
        labels = [f"{escape(naming.name(k))} {label}" for k, label in zip(line.cues, labels, strict=True)]
    when = planned.goes[line.go].when
    regular, bold = fonts()
    small = max(7.5, size - 3)
    parts = [f"<font name='{bold}' size={small + 1}>{escape(when)}</font>"] if when else []
    parts += ["; ".join(labels)] if labels else []
    if not parts:
        return ""
    # One label stands beside the words; more would run on from them, and stand under them.
    apart = "&nbsp;&nbsp; " if len(parts) == 1 and len(labels) < 2 else "<br/>"
    return f"{apart}<font name='{regular}' size={small} color='#333333'>{' · '.join(parts)}</font>"


def _when(planned: PlannedItem, at_s: Fraction, style: ParagraphStyle) -> list[Paragraph]:
    bar = planned.bar_at(at_s) if at_s >= 0 else None
    sign = "-" if at_s < 0 else ""
    seconds = round(abs(at_s))
    place = f"{bar[0]}/{int(bar[1])}" if bar is not None and bar[0] >= 1 else ""
    return [Paragraph(f"{sign}{m_ss(seconds)}", style), Paragraph(place, style)]


def cue_sheets(show: Show, edition: str, departments: Sequence[str] = (), printed: str = "") -> bytes:
    """Each department's cues in running order, a PDF that begins a page for every department.

    Args:
        departments: their ids; all that have cues if none is named.
    """
    plan = compile_plan(show)
    regular, bold = fonts()
    size = 11.5
    plain = ParagraphStyle("plain", fontName=regular, fontSize=size, leading=size * 1.2)
    strong = ParagraphStyle("strong", parent=plain, fontName=bold)
    title = ParagraphStyle("title", fontName=bold, fontSize=20, leading=26)
    part = ParagraphStyle("part", fontName=bold, fontSize=13, leading=18, spaceBefore=8)
    parts: list[Flowable] = []
    for department in show.departments:
        if departments and department.id not in departments:
            continue
        blocks: list[Flowable] = []
        for planned in plan.items:
            rows = []
            for cue in planned.cues:
                if cue.cue.department != department.id:
                    continue
                how = "automatic" if cue.automatic else "called"
                notes = "; ".join(
                    w for w in (cue.cue.notes, cue.cue.hazard.caution if cue.cue.hazard else "") if w
                )
                words = f"{escape(cue.cue.label)}" + (f"<br/>{escape(notes)}" if notes else "")
                when = _when(planned, cue.at_s, plain)
                rows.append(
                    [
                        Paragraph(str(cue.cue.number), strong),
                        *when,
                        Paragraph(words, plain),
                        Paragraph(how, plain),
                    ]
                )
            if rows:
                table = Table(rows, colWidths=[44, 42, 48, ROOM - 44 - 42 - 48 - 60, 60])
                table.setStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
                                ("LINEBELOW", (0, 0), (-1, -1), 0.25, colors.lightgrey)])  # fmt: skip
                blocks.append(KeepTogether([Paragraph(escape(planned.item.name), part), table]))
        if blocks:
            parts += [PageBreak()] if parts else []
            parts += [Paragraph(f"{escape(department.name)}", title), *blocks]
    if not parts:
        parts = [Paragraph("no cues", plain)]
    return make_pdf(Head(f"{show.name}: cue sheets", edition_words(show, edition, printed)), parts)
