"""The call script as text: what is said, when, item by item."""

from collections.abc import Iterator
from fractions import Fraction

from showcaller.calling.wording import said_aloud, span
from showcaller.timing.calls.sheet import CallSheet
from showcaller.timing.plan import Plan, PlannedItem

UNSAID = "(cannot be called in time: see below)"


def script_lines(plan: Plan, sheets: tuple[CallSheet, ...]) -> Iterator[str]:
    """The script, a line each: time into the item, bar and beat, words; what fires by itself in brackets."""
    show = plan.show
    yield f"{show.name} – {show.act}, {show.venue}, {show.starts_at}"
    for planned, sheet, start_s in zip(plan.items, sheets, plan.starts_s, strict=True):
        item = planned.item
        yield ""
        yield f"{span(start_s):>8}  {item.name.upper()}  ({span(item.length_s)}, {item.kind})"
        rows = [
            (line.starts_s if line.what != "go" else line.lands_s, said_aloud(line.text))
            for line in sheet.lines
        ]
        # Who is stood by finds a go on the page, also where it cannot be said in time.
        rows += [(line.lands_s, f"{said_aloud(line.text)}  {UNSAID}") for line in sheet.unsaid]
        for cue in planned.cues:
            if cue.automatic:
                department = show.department(cue.cue.department).spoken
                rows.append((cue.at_s, f"({department} {cue.cue.number} automatic: {cue.cue.label})"))
        for at_s, words in sorted(rows, key=lambda row: row[0]):
            yield f"{span(at_s):>8}  {_bar(planned, at_s):>9}  {words}"
        for collision in sheet.collisions:
            yield f"{'':>8}  {'!':>9}  {collision.sentence}"


def _bar(planned: PlannedItem, at_s: Fraction) -> str:
    position = planned.bar_at(at_s)
    if position is None or position[0] < 1:
        return ""
    return f"{position[0]} / {int(position[1])}"
