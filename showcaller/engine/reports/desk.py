"""What one desk tells, thinned to what is worth a line of the log. Pure: time comes as an argument."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from showcaller.model.base import ById
from showcaller.run.compiled import CompiledShow
from showcaller.run.state import Mark, RunState
from showcaller.values import Struct

AGAIN_NS = 1_000_000_000
"""A cue that a desk tells of once more within so long is the same firing: some desks tell of the cue that is
on again and again. (Common practice, no source.)"""


class DeskHeard(Struct, frozen=True):
    """A cue number that a department's desk has told of, from where, and when it came in (monotonic ns)."""

    department: str
    number: Decimal
    source: str
    at_ns: int


@dataclass
class Thinning:
    """What each department's desk told of last."""

    _last: dict[str, tuple[Decimal, Mark | None, int]] = field(default_factory=dict)

    def is_new(self, heard: DeskHeard, mark: Mark | None) -> bool:
        """Whether it tells something; ``mark`` is what has become of the cue in the run."""
        before = self._last.get(heard.department)
        self._last[heard.department] = (heard.number, mark, heard.at_ns)
        same = before is not None and before[:2] == (heard.number, mark)
        return not (same and before is not None and heard.at_ns - before[2] < AGAIN_NS)


class Numbers:
    """(department, cue number) → cue, of the edition that is on."""

    def __init__(self) -> None:
        self._of: ById | None = None
        self._known: Mapping[tuple[str, Decimal], str] = {}

    def cue(self, compiled: CompiledShow, department: str, number: Decimal) -> str | None:
        """The cue, or None for a number that the department does not have."""
        if self._of is None or self._of.part is not compiled:
            self._of = ById(compiled)
            cues = (c.cue for item in compiled.items for c in item.planned.cues)
            self._known = {(c.department, c.number): c.id for c in cues}
        return self._known.get((department, number))


def mark_of(compiled: CompiledShow, state: RunState, cue: str | None) -> Mark | None:
    """What has become of a cue; None while it waits, or for none."""
    at = compiled.where.get(cue) if cue is not None else None
    return None if at is None else state.marks[at[0]].get(at[1])
