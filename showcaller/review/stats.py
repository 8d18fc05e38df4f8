"""Simple figures: how early or late each department's goes were, and mean and spread of samples."""

from collections.abc import Iterable, Sequence
from statistics import fmean, median, stdev

from showcaller.review.tables import CueRow
from showcaller.values import Struct


class DepartmentStats(Struct, frozen=True):
    """A department's evening. Goes are those that stood; errors are of their cues at firm instants, in
    seconds, late positive.

    ``median_error_s`` and ``worst_s`` are None when there was no such cue.
    """

    department: str
    goes: int
    automatic: int
    median_error_s: float | None
    median_abs_error_s: float | None
    worst_s: float | None
    refused: int
    skipped: int
    missed: int
    taken_back: int
    not_reached: int


class Spread(Struct, frozen=True):
    """Samples in four figures, in the samples' unit; ``sd`` (of a sample, n−1) is None for fewer than two."""

    n: int
    mean: float
    median: float
    sd: float | None


def department_stats(rows: Iterable[CueRow]) -> tuple[DepartmentStats, ...]:
    """Figures per department, in the order departments first appear."""
    by_department: dict[str, list[CueRow]] = {}
    for row in rows:
        by_department.setdefault(row.department, []).append(row)
    return tuple(_department(name, mine) for name, mine in by_department.items())


def _department(name: str, rows: Sequence[CueRow]) -> DepartmentStats:
    goes = [r for r in rows if r.status == "go" and r.stood]
    errors = [r.late_s for r in goes if r.firm and r.late_s is not None]

    def count(status: str) -> int:
        return sum(r.status == status for r in rows)

    return DepartmentStats(
        department=name,
        goes=len(goes),
        automatic=count("automatic"),
        median_error_s=median(errors) if errors else None,
        median_abs_error_s=median(abs(e) for e in errors) if errors else None,
        worst_s=max(errors, key=abs) if errors else None,
        refused=count("refused"),
        skipped=count("skipped"),
        missed=count("missed"),
        taken_back=count("taken back"),
        not_reached=count("not reached"),
    )


def spread(values: Sequence[float]) -> Spread:
    """Mean, median and standard deviation of at least one sample.

    Raises:
        ValueError: no sample at all.
    """
    if not values:
        raise ValueError("there is nothing to take the mean of")
    return Spread(len(values), fmean(values), median(values), stdev(values) if len(values) > 1 else None)
