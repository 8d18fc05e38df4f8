"""What a position's page is told, as one plain dictionary. Pure: the run book and an instant in, codes out.

Instants are milliseconds on the run's clock, to be counted down by the page itself. While that clock's item
stands (on hold, cued up, nothing open) nothing may count down: then ``frozen`` is true and instants are
counted from now. So what is told changes only when something has, and is sent only then.
"""

from typing import Any

from showcaller.calling.checklists import unticked
from showcaller.calling.status_view import asked_for, running_over_s
from showcaller.crew.ahead import Coming, coming, now_playing, sheet_of
from showcaller.crew.board import board_state
from showcaller.crew.outline import Outline
from showcaller.crew.positions import GALLERY, Position
from showcaller.model import ReadingClearance
from showcaller.run.clearing import standing
from showcaller.run.compiled import NS
from showcaller.run.cue_light import Lamp, lamp_of
from showcaller.run.runbook import RunBook

SHOWN = 5
"""So many cues to come are on the page; the running sheet has all."""
_LAST_NOTES = 5
_STEP_MS = 100
"""An instant is told to a tenth of a second: finer it would be another one at every look."""


def page_state(book: RunBook, position: Position, mine: Outline, now_ns: int) -> dict[str, Any]:
    """The state of a page at ``now_ns`` of the run's clock; ``mine`` is the position's outline."""
    state = book.state
    frozen = state.phase != "running" or state.clock_ns is None or state.stands
    ahead = [] if state.phase == "idle" else coming(book, mine, now_ns, SHOWN)
    over_s = None if state.phase not in ("running", "held") else running_over_s(book, now_ns)
    return {
        "k": "state",
        "show": book.compiled.plan.show.name,
        "zone": book.compiled.plan.show.time_zone,
        "phase": state.phase,
        "frozen": frozen,
        "caller": state.caller,
        "muted": state.all_muted,
        "held": _held(book),
        "item": _item(book, now_ns),
        "up": _up(book),
        "over_s": None if over_s is None else round(over_s),
        "board": board_state(book, now_ns) if position.key == GALLERY and state.phase != "idle" else None,
        "lamp": _lamp(book, position, mine, now_ns),
        "next": [_row(one, frozen, now_ns) for one in ahead],
        "clearances": _clearances(book, position, now_ns),
        "checks": _checks(book, position),
        "notes": [
            {"text": note.text, "item": _item_name(book, note.item)}
            for note in book.notes
            if position.department and note.to in ("", position.department) and not note.about
        ][-_LAST_NOTES:],
    }


def sheet_state(book: RunBook, mine: Outline) -> dict[str, Any]:
    """The running sheet of a page; long, so it is told apart and only when it has changed."""
    return {"k": "sheet", "rows": sheet_of(book, mine)}


def _ms(in_s: float, frozen: bool, now_ns: int) -> int:
    """An instant ``in_s`` from now, in ms: on the run's clock, or counted from now while it is frozen."""
    at_ms = in_s * 1000 + (0 if frozen else now_ns / 1_000_000)
    return round(at_ms / _STEP_MS) * _STEP_MS


def _row(one: Coming, frozen: bool, now_ns: int) -> dict[str, Any]:
    return {
        "cue": one.cue,
        "name": one.name,
        "does": one.does,
        "notes": one.notes,
        "item": one.item,
        "place": one.place,
        "how": one.how,
        "at": _ms(one.in_s, frozen, now_ns),
        "standby_at": None if one.standby_in_s is None else _ms(one.standby_in_s, frozen, now_ns),
        "firm": one.firm,
        "status": one.status,
        "sees": one.sees,
        "hazard": one.hazard,
    }


def _held(book: RunBook) -> dict[str, Any] | None:
    if book.state.held_at_ns is None:
        return None
    return {"since": book.state.held_at_ns // 1_000_000, "reason": book.state.hold_reason}


def _item(book: RunBook, now_ns: int) -> dict[str, Any] | None:
    found = now_playing(book, now_ns)
    if found is not None:
        at_ns = book.state.item_ns(now_ns) or 0
        frozen = book.state.phase != "running" or book.state.stands
        found["since"] = _ms(-at_ns / NS, frozen, now_ns)
    return found


def _up(book: RunBook) -> str:
    """The item that the next go begins; empty where it begins none."""
    place, items = book.state.place, book.compiled.items
    there = book.state.cued_up and place.item < len(items)
    return items[place.item].planned.item.name if there else ""


def _item_name(book: RunBook, item: str) -> str:
    i = book.compiled.item_index.get(item)
    return "" if i is None else book.compiled.items[i].planned.item.name


def _lamp(book: RunBook, position: Position, mine: Outline, now_ns: int) -> dict[str, Any] | None:
    if not position.department:
        return None
    lamp = department_lamp(book, position.department, mine, now_ns)
    return {
        "shows": "standby" if lamp.shows == "standing by" else lamp.shows,
        "standby": [book.cue_name(cue) for cue in lamp.standby],
        "does": _labels(book, lamp.went if lamp.shows == "go" else lamp.standby),
        "answered": lamp.answered,
        "went": [book.cue_name(cue) for cue in lamp.went],
        "until": lamp.until_ns // 1_000_000,
    }


def department_lamp(book: RunBook, department: str, mine: Outline, now_ns: int) -> Lamp:
    """The light of a department, whose cues are among those of ``mine``."""
    newest_first = ((record.t_ns, record.events) for record in reversed(book.records))
    own = [
        [one.k for one in some if item.planned.cues[one.k].cue.department == department]
        for item, some in zip(book.compiled.items, mine, strict=True)
    ]
    return lamp_of(book.compiled, book.state, newest_first, department, own, now_ns)


def _labels(book: RunBook, cues: tuple[str, ...]) -> str:
    found = []
    for cue in cues:
        i, k = book.compiled.where[cue]
        found.append(book.compiled.items[i].planned.cues[k].cue.label)
    return "; ".join(dict.fromkeys(filter(None, found)))


def _clearances(book: RunBook, position: Position, now_ns: int) -> list[dict[str, Any]]:
    """Those that are the position's to give, each with how it stands, in codes."""
    if not position.clearances:
        return []
    needed = asked_for(book)
    rows = []
    for clearance in book.compiled.plan.show.clearances:
        if clearance.id not in position.clearances:
            continue
        there, _ = standing(book.compiled, book.state, clearance.id, now_ns)
        given = book.state.clearances.get(clearance.id)
        reading = clearance if isinstance(clearance, ReadingClearance) else None
        rows.append(
            {
                "id": clearance.id,
                "name": clearance.name,
                "there": there,
                "how": "waiting"
                if given is None
                else "overridden"
                if given.overridden
                else _word(given.ok, there),
                "needed": clearance.id in needed,
                "value": None if given is None else given.value,
                "limit": None if reading is None else reading.limit,
                "least": reading is not None and reading.side == "at least",
                "unit": None if reading is None else reading.unit,
                "since": None if given is None else given.at_ns // 1_000_000,
            }
        )
    return rows


def _checks(book: RunBook, position: Position) -> list[dict[str, Any]]:
    """Checklists that are the position's to tick; ``due`` from when their item is the next one."""
    if not position.checklists:
        return []
    due = {one.id for one in unticked(book)}
    rows = []
    for page in book.compiled.plan.show.pages:
        if page.id in position.checklists and page.id not in book.closed_pages:
            opened = book.state.pages.get(page.id)
            ticks = {} if opened is None else opened.ticks
            rows.append(
                {
                    "id": page.id,
                    "name": page.name,
                    "item": "" if page.item is None else _item_name(book, page.item),
                    "due": page.id in due,
                    "lines": [
                        {"says": line.says, "by": None if n not in ticks else ticks[n].by}
                        for n, line in enumerate(page.lines, 1)
                    ],
                }
            )
    return rows


def _word(ok: bool, there: bool) -> str:
    return "withdrawn" if not ok else "clear" if there else "not good"
