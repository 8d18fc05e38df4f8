"""What the tour teaches about lengths: each item's samples, and a sentence for tomorrow."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from statistics import median

from showcaller.model.runlog import Record
from showcaller.review.timeline import NS, timeline_of
from showcaller.timing.plan import Plan

FEWEST = 3
"""Fewer nights than this teach nothing worth planning by (common practice, no source)."""


WORTH_S = 5
"""A plan nearer than this to what happens is not worth changing (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Sample:
    """An item's length on one night, seconds without holds."""

    run: int
    edition: int
    length_s: float


def item_samples(
    nights: Iterable[tuple[int, int, Plan, Iterable[Record]]],
) -> Mapping[str, tuple[Sample, ...]]:
    """Item id → its lengths, from nights given as (run, edition, plan, records).

    Only an item that was played once, from its beginning to its end, teaches something.

    Raises:
        ReviewError: a night in which no item was started, or of another edition than its plan's.
    """
    samples: dict[str, list[Sample]] = {}
    for run, edition, plan, records in nights:
        timeline = timeline_of(plan, records)
        visits = [v.item for v in timeline.visits]
        for visit in timeline.visits:
            if visit.ended and visit.at_ns == 0 and visits.count(visit.item) == 1:
                samples.setdefault(visit.item, []).append(Sample(run, edition, visit.ran_ns / NS))
    return {item: tuple(found) for item, found in samples.items()}


def suggestion(name: str, planned_s: float, samples: Iterable[Sample]) -> str | None:
    """A length to plan tomorrow, in a sentence; None where the plan is right or the nights too few."""
    lengths = sorted(s.length_s for s in samples)
    if len(lengths) < FEWEST:
        return None
    middle = round(median(lengths))
    if abs(middle - planned_s) < WORTH_S:
        return None
    return (
        f"Plan “{name}” at {clock(middle)} ({len(lengths)} runs, "
        f"{clock(round(lengths[0]))} to {clock(round(lengths[-1]))})."
    )


def clock(seconds: int) -> str:
    """``m:ss`` or ``h:mm:ss``."""
    minutes, rest = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours}:{minutes:02}:{rest:02}" if hours else f"{minutes}:{rest:02}"
