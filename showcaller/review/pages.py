"""The pages read aloud in a run: when each was opened, how long it took, when its lines were ticked."""

from collections.abc import Iterable

from showcaller.model import SpokenPage
from showcaller.review.timeline import NS
from showcaller.run import events as ev
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct, replace


class TickedLine(Struct, frozen=True):
    """A line that was ticked, ``after_s`` its page was opened; ``stood``: how its clearance stood then.

    ``undone`` where the tick was taken back."""

    line: int
    says: str
    t_ns: int
    after_s: float
    by: str
    stood: str
    undone: bool = False


class OpenedOnce(Struct, frozen=True):
    """One opening of a page; ``open_s`` is None where the log has no end of it."""

    page: str
    name: str
    kind: str
    t_ns: int
    by: str
    open_s: float | None
    lines: int
    ticked: tuple[TickedLine, ...]

    @property
    def count(self) -> int:
        """How many of its lines were ticked and stayed so."""
        return sum(not line.undone for line in self.ticked)


def pages_read(plan: Plan, records: Iterable[Record]) -> tuple[OpenedOnce, ...]:
    """Every opening of a page, in the order of the run."""
    pages = {p.id: p for p in plan.show.pages}
    found: list[OpenedOnce] = []
    on: dict[str, int] = {}
    for record in records:
        for event in record.events:
            if not isinstance(event, ev.PageOpened | ev.PageClosed | ev.LineTicked | ev.LineUnticked):
                continue
            at = on.get(event.page)
            if isinstance(event, ev.PageOpened) or (at is None and isinstance(event, ev.LineTicked)):
                # A tick without an opening: the opening is in a gap of the log.
                at = on[event.page] = len(found)
                page = pages.get(event.page)
                found.append(_opened(page, event.page, record.t_ns, event.by))
            if at is None:
                continue
            if isinstance(event, ev.PageClosed):
                found[at] = replace(found[at], open_s=event.open_s)
                del on[event.page]
            elif isinstance(event, ev.LineTicked):
                found[at] = _ticked(found[at], pages.get(event.page), event, record.t_ns)
            elif isinstance(event, ev.LineUnticked):
                lines = tuple(
                    replace(t, undone=True) if t.line == event.line else t for t in found[at].ticked
                )
                found[at] = replace(found[at], ticked=lines)
    return tuple(found)


def _opened(page: SpokenPage | None, ident: str, t_ns: int, by: str) -> OpenedOnce:
    name, kind, lines = (page.name, page.kind, len(page.lines)) if page else (ident, "", 0)
    return OpenedOnce(ident, name, kind, t_ns, by, None, lines, ())


def line_words(page: SpokenPage | None, line: int) -> str:
    """What a line of a page says, counted from 1; its number for one of another edition."""
    there = page is not None and line <= len(page.lines)
    return page.lines[line - 1].says if page is not None and there else f"line {line}"


def _ticked(opened: OpenedOnce, page: SpokenPage | None, event: ev.LineTicked, t_ns: int) -> OpenedOnce:
    after_s = (t_ns - opened.t_ns) / NS
    says = line_words(page, event.line)
    line = TickedLine(event.line, says, t_ns, after_s, event.by, event.stood or "")
    return replace(opened, ticked=(*opened.ticked, line))
