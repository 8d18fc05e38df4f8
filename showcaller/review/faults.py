"""Faults of the wall across a tour: which panels, since when, and whether it gets worse. Pure."""

from collections.abc import Iterable, Mapping, Sequence

from showcaller.review.trend import TrendPoint
from showcaller.run.events import FaultMarked
from showcaller.screen.faults import Panel
from showcaller.values import Struct, field

Night = tuple[int, int, Sequence[FaultMarked]]
"""(the run's number, its edition's, its ``fault`` events in order)."""


class PanelStory(Struct, frozen=True):
    """One panel: what is wrong with it (empty: mended), nights it was marked and mended, how many faulty."""

    panel: Panel
    what: str
    marked: tuple[int, ...]
    mended: tuple[int, ...]
    nights: int


class FaultHistory(Struct, frozen=True):
    """A tour's faults. ``open`` are the panels faulty after the last night; the points are for a trend chart:
    faulty at the end of each night, and newly marked in it.
    """

    panels: tuple[PanelStory, ...] = ()
    open: Mapping[Panel, str] = field(default_factory=dict)
    faulty: tuple[TrendPoint, ...] = ()
    new: tuple[TrendPoint, ...] = ()

    @property
    def sentence(self) -> str:
        """How it goes, in a sentence."""
        if not self.faulty:
            return "No night of this tour has marked a fault."
        now, first = self.faulty[-1].value, self.faulty[0].value
        again = sum(len(p.marked) > 1 for p in self.panels)
        words = f"{now:.0f} faulty after the last of {len(self.faulty)} nights, {first:.0f} after the first"
        return f"{words}; {again} came back after being mended." if again else f"{words}."


def fault_history(nights: Iterable[Night]) -> FaultHistory:
    """Faults over the nights of a tour in their order. A panel is faulty from when it is marked until it is
    mended, over as many nights as that takes.
    """
    now: dict[Panel, str] = {}
    marked: dict[Panel, list[int]] = {}
    mended: dict[Panel, list[int]] = {}
    counted: dict[Panel, int] = {}
    faulty: list[TrendPoint] = []
    new: list[TrendPoint] = []
    for run, edition, events in nights:
        fresh = 0
        touched = set(now)
        for event in events:
            for column, row in event.panels:
                panel = Panel(column, row, event.surface or "")
                touched.add(panel)
                if event.mended:
                    if now.pop(panel, None) is not None:
                        mended.setdefault(panel, []).append(run)
                    continue
                if panel not in now:
                    fresh += 1
                    marked.setdefault(panel, []).append(run)
                now[panel] = event.what
        for panel in touched:
            counted[panel] = counted.get(panel, 0) + 1
        faulty.append(TrendPoint(run, edition, float(len(now))))
        new.append(TrendPoint(run, edition, float(fresh)))
    stories = [
        PanelStory(p, now.get(p, ""), tuple(marked.get(p, ())), tuple(mended.get(p, ())), counted[p])
        for p in sorted(marked, key=lambda p: (-len(marked[p]), p.surface, p.row, p.column))
    ]
    return FaultHistory(tuple(stories), dict(now), tuple(faulty), tuple(new))
