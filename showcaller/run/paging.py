"""Pages that are read aloud: opened with a clock, their lines ticked, ticks taken back, closed. Pure.

A page moves no place and no clock, and holds nothing: it is words, and a record of who said them when. Opened
again it begins anew; what was ticked before stays in the log.
"""

from showcaller.model import SpokenPage
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.clearing import standing
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.outcome import Outcome
from showcaller.run.state import LineTick, PageState, RunState
from showcaller.values import replace


def open_page(
    compiled: CompiledShow, state: RunState, given: c.OpenPage, now_ns: int, out: Outcome
) -> RunState:
    """Open a page; its clock counts from here."""
    page = _page(compiled, given.page, out)
    if page is None:
        return state
    if page.id in state.pages:
        out.refused = f"'{page.name}' is open already; go on with its next line, or close it first"
        return state
    out.events.append(ev.PageOpened(page=page.id, by=given.by))
    return replace(state, pages={**state.pages, page.id: PageState(now_ns)})


def close_page(
    compiled: CompiledShow, state: RunState, given: c.ClosePage, now_ns: int, out: Outcome
) -> RunState:
    """Close a page; the log says how long it took and how much of it was ticked."""
    page = _open(compiled, state, given.page, out)
    if page is None:
        return state
    out.events.append(_closed(page, state.pages[page.id], now_ns, given.by))
    return replace(state, pages={k: v for k, v in state.pages.items() if k != page.id})


def close_all(compiled: CompiledShow, state: RunState, now_ns: int, out: Outcome) -> RunState:
    """The run ends: whatever page is open is closed with it."""
    for page in compiled.plan.show.pages:
        if page.id in state.pages:
            out.events.append(_closed(page, state.pages[page.id], now_ns, ""))
    return replace(state, pages={}) if state.pages else state


def tick_line(
    compiled: CompiledShow, state: RunState, given: c.TickLine, now_ns: int, out: Outcome
) -> RunState:
    """A line has been said, or done; how its clearance stood at that moment is in the log."""
    page = _page(compiled, given.page, out)
    if page is not None and page.kind != "checklist":
        page = _open(compiled, state, given.page, out)
    if page is None or not _has(page, given.line, out):
        return state
    if page.id not in state.pages:  # nobody reads a checklist aloud: its first tick opens it
        state = open_page(compiled, state, c.OpenPage(page.id, given.by), now_ns, out)
    opened = state.pages[page.id]
    if given.line in opened.ticks:
        out.refused = f"line {given.line} of '{page.name}' is ticked already; the next one is in large type"
        return state
    needs = page.lines[given.line - 1].clearance
    stood = None if needs is None else standing(compiled, state, needs, now_ns)[1]
    out.events.append(ev.LineTicked(page=page.id, line=given.line, by=given.by, stood=stood))
    ticks = {**opened.ticks, given.line: LineTick(now_ns, given.by)}
    return replace(state, pages={**state.pages, page.id: replace(opened, ticks=ticks)})


def untick_line(compiled: CompiledShow, state: RunState, given: c.UntickLine, out: Outcome) -> RunState:
    """A line has not been said after all."""
    page = _open(compiled, state, given.page, out)
    if page is None or not _has(page, given.line, out):
        return state
    opened = state.pages[page.id]
    if given.line not in opened.ticks:
        out.refused = f"line {given.line} of '{page.name}' is not ticked, so there is nothing to take back"
        return state
    out.events.append(ev.LineUnticked(page=page.id, line=given.line, by=given.by))
    ticks = {n: tick for n, tick in opened.ticks.items() if n != given.line}
    return replace(state, pages={**state.pages, page.id: replace(opened, ticks=ticks)})


def recalled(state: RunState, event: ev.Event, t_ns: int) -> RunState:
    """The state with what an event of a whole record behind a gap of the log tells of a page."""
    pages = dict(state.pages)
    match event:
        case ev.PageOpened():
            pages[event.page] = PageState(t_ns)
        case ev.PageClosed():
            pages.pop(event.page, None)
        case ev.LineTicked():
            was = pages.get(event.page, PageState(t_ns))  # its opening is in the gap
            pages[event.page] = replace(was, ticks={**was.ticks, event.line: LineTick(t_ns, event.by)})
        case ev.LineUnticked() if event.page in pages:
            was = pages[event.page]
            ticks = {n: tick for n, tick in was.ticks.items() if n != event.line}
            pages[event.page] = replace(was, ticks=ticks)
        case _:
            return state
    return replace(state, pages=pages)


def _page(compiled: CompiledShow, ident: str, out: Outcome) -> SpokenPage | None:
    page = next((p for p in compiled.plan.show.pages if p.id == ident), None)
    if page is None:
        out.refused = f"no page '{ident[:40]}' in this show; name one from the set-up page"
    return page


def _open(compiled: CompiledShow, state: RunState, ident: str, out: Outcome) -> SpokenPage | None:
    page = _page(compiled, ident, out)
    if page is not None and page.id not in state.pages:
        out.refused = f"'{page.name[:60]}' is not open; open the page first"
        return None
    return page


def _has(page: SpokenPage, line: int, out: Outcome) -> bool:
    there = 1 <= line <= len(page.lines)
    if not there:
        out.refused = f"'{page.name[:60]}' has no line {line}; its lines are 1 to {len(page.lines)}"
    return there


def _closed(page: SpokenPage, opened: PageState, now_ns: int, by: str) -> ev.PageClosed:
    open_s = (now_ns - opened.since_ns) / NS
    return ev.PageClosed(page=page.id, open_s=open_s, ticked=len(opened.ticks), lines=len(page.lines), by=by)
