"""A walk-on in the call script: when they leave, and of each leg what it needs, who is where, the channel."""

from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Table

from showcaller.editing.exporting.paper import tick_box
from showcaller.model import Leg, Show, WalkOn
from showcaller.model.clockwords import m_ss
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph
from showcaller.timing.walkon import plan_walk

LAST_WORD = "Whoever stands there, and the venue's own procedure, decide: wait where it is not clear."


def way(show: Show, item: WalkOn, style: ParagraphStyle, room: float) -> list[Flowable]:
    """Its route, a line a leg with a box to tick; nothing for a walk-on without one."""
    route = next((r for r in show.routes if r.id == item.route), None)
    if route is None:
        return [Paragraph("no route chosen", style)]
    plan = plan_walk(route, float(item.length_s))
    leave = plan.leave_by_s
    when = f"{m_ss(round(leave))} into this item" if leave >= 0 else f"{m_ss(round(-leave))} before this item"
    head = f"{route.name}: leave by {when}, about {m_ss(round(plan.takes.mean_s))} on the way"
    if route.camera is not None:
        head += f"; {route.camera} rolls {float(route.preroll_s):g} s before"
    people = "; ".join(f"{walker.name}: {walker.task}" for walker in route.people)
    legs = zip(route.legs, plan.legs, strict=True)
    rows = []
    for leg, planned in legs:
        words = _leg(show, leg, m_ss(round(planned.takes.mean_s)))
        rows.append([tick_box(style.fontSize), Paragraph(words, style)])
    table = Table(rows, colWidths=[style.fontSize * 2, room - style.fontSize * 2], hAlign="LEFT")
    table.setStyle(
        [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
         ("TOPPADDING", (0, 0), (-1, -1), 0), ("BOTTOMPADDING", (0, 0), (-1, -1), 1),
         ("LINEBEFORE", (0, 0), (0, -1), 1.2, colors.black), ("LEFTPADDING", (0, 0), (0, -1), 4)]
    )  # fmt: skip
    told: list[Flowable] = [Paragraph(escape(head), style)]
    told += [Paragraph(escape(people), style)] if people else []
    return [*told, table, Paragraph(LAST_WORD, style)]


def _leg(show: Show, leg: Leg, takes: str) -> str:
    names = {c.id: f"{c.name} ({c.position})" for c in show.clearances}
    parts = [f"<font name='{fonts()[1]}'>{escape(leg.name)}</font>", f"{leg.length_m:g} m, {takes}"]
    parts += [f"needs {escape(', '.join(names[c] for c in leg.clearances))}"] if leg.clearances else []
    parts += [escape(leg.posted)] if leg.posted else []
    parts += [f"radio {escape(leg.radio)}"] if leg.radio else []
    return " · ".join(parts)
