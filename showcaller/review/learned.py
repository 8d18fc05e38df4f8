"""What the tour teaches about lengths: each item's samples, and what to plan tomorrow, with how sure."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from math import ceil, sqrt
from statistics import fmean, median, stdev
from typing import Any, Literal

from showcaller.editing import ChangeError, SetFields, apply
from showcaller.model import Show
from showcaller.model.clockwords import m_ss
from showcaller.review.timeline import NS, Timeline, timeline_of
from showcaller.run.runlog import Record
from showcaller.timing.plan import Plan
from showcaller.values import Struct, field

FEWEST = 3
"""Fewer nights than this teach nothing worth planning by (common practice, no source)."""


WORTH_S = 5
"""A plan nearer than this to what happens is not worth changing (common practice, no source)."""

CONFIDENCE = 0.95


NightKind = Literal["show", "rehearsal", "simulated"]


class Sample(Struct, frozen=True):
    """An item's length on one night, seconds without holds; ``stage`` counts up when the item was changed."""

    run: int
    edition: int
    length_s: float
    stage: int = 0
    kind: NightKind = "show"


class Sureness(Struct, frozen=True):
    """How well some nights tell a length. Seconds.

    ``mean_low_s`` to ``mean_high_s`` holds the long-run average with :data:`CONFIDENCE` (Student's t);
    ``next_low_s`` to ``next_high_s`` the next night's value with the same (prediction interval).
    """

    runs: int
    mean_s: float
    mean_low_s: float
    mean_high_s: float
    next_low_s: float
    next_high_s: float


class Offer(Struct, frozen=True):
    """Something to take into the book: what to say, how sure (``short`` in a few words), what to set where.

    ``at`` and ``fields`` are as the editing room's ``SetFields`` takes them.
    """

    id: str
    words: str
    detail: str
    short: str = ""
    at: tuple[str, ...] = ()
    fields: Mapping[str, Any] = field(default_factory=dict)


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
        for item, length_s in lengths_of(timeline_of(plan, records)):
            samples.setdefault(item, []).append(Sample(run, edition, length_s))
    return {item: tuple(found) for item, found in samples.items()}


def lengths_of(timeline: Timeline) -> list[tuple[str, float]]:
    """(item id, seconds without holds) of what was played once, from its beginning to its own end."""
    visits = [v.item for v in timeline.visits]
    return [
        (v.item, v.ran_ns / NS)
        for v in timeline.visits
        if v.ended and not v.left and v.at_ns == 0 and visits.count(v.item) == 1
    ]


def sureness(lengths: Sequence[float]) -> Sureness | None:
    """How sure a few nights make one; None for fewer than two.

    Confidence and prediction intervals of a normal sample: NIST/SEMATECH e-Handbook 7.2.2.1 and 1.3.5.2.
    """
    n = len(lengths)
    if n < 2:
        return None
    from scipy.special import stdtrit  # noqa: PLC0415 - a tenth of a second that most commands need not pay

    mean, sd = fmean(lengths), stdev(lengths)
    t = float(stdtrit(n - 1, (1 + CONFIDENCE) / 2))
    average, single = t * sd / sqrt(n), t * sd * sqrt(1 + 1 / n)
    return Sureness(n, mean, mean - average, mean + average, mean - single, mean + single)


def last_stage(samples: Iterable[Sample]) -> list[Sample]:
    """The samples since the item was changed last."""
    whole = list(samples)
    return [s for s in whole if s.stage == whole[-1].stage] if whole else []


def nights_words(kinds: Iterable[NightKind]) -> str:
    """``3 shows``, ``2 shows and 1 rehearsal``: what a length was learned from."""
    count: Counter[str] = Counter(kinds)
    names = {"show": ("show", "shows"), "rehearsal": ("rehearsal", "rehearsals")}
    told = [f"{count[k]} {one if count[k] == 1 else many}" for k, (one, many) in names.items() if count[k]]
    told += [f"{count['simulated']} simulated"] if count["simulated"] else []
    return " and ".join(told)


def offer(
    item: str, name: str, planned_s: float, samples: Iterable[Sample], least_s: float = 0.0
) -> Offer | None:
    """A length to plan tomorrow; None where the plan is right or the nights too few. What was simulated
    teaches nothing, and nothing shorter than ``least_s`` (the legs of a walk-on) is offered.

    It is sure where the planned length lies outside the 95 % interval of the average, else chance may do it.
    """
    mine = [s for s in last_stage(samples) if s.kind != "simulated"]
    lengths = sorted(s.length_s for s in mine)
    if len(lengths) < FEWEST:
        return None
    middle = max(round(median(lengths)), ceil(least_s))
    if abs(middle - planned_s) < WORTH_S:
        return None
    sure = sureness(lengths)
    assert sure is not None
    low, high = max(0.0, sure.next_low_s), sure.next_high_s
    known = not sure.mean_low_s <= planned_s <= sure.mean_high_s
    detail = (
        f"{'high' if known else 'low'} confidence: "
        f"planned {m_ss(round(planned_s))}; average {m_ss(round(sure.mean_s))} "
        f"± {(sure.mean_high_s - sure.mean_low_s) / 2:.0f} s; "
        f"next night {m_ss(round(low))} to {m_ss(round(high))}, 95 % range"
    )
    words = (
        f"Plan “{name}” at {m_ss(middle)} ({nights_words(s.kind for s in mine)}, "
        f"{m_ss(round(lengths[0]))} to {m_ss(round(lengths[-1]))})."
    )
    short = f"{'high' if known else 'low'} confidence, ± {(sure.mean_high_s - sure.mean_low_s) / 2:.0f} s"
    at, fields = ("items", item), {"length_s": str(middle)}
    return Offer(f"length {item}", words, detail, short, at, fields)


def is_taken(show: Show, found: Offer) -> bool:
    """Whether a show has what is offered already; what cannot be set in it any more is not."""
    if not found.fields:
        return False
    try:
        changed, _ = apply(show, SetFields(at=found.at, fields=dict(found.fields)))
    except ChangeError:
        return False
    return changed == show


def suggestion(name: str, planned_s: float, samples: Iterable[Sample]) -> str | None:
    """A length to plan tomorrow, in a sentence; None where the plan is right or the nights too few."""
    found = offer("", name, planned_s, samples)
    return None if found is None else found.words
