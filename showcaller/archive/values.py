"""What the tour hands out: plain frozen values, tied to no database."""

from collections.abc import Mapping
from typing import Any, Literal

from showcaller.archive.rows import event_of
from showcaller.model import DayItem
from showcaller.run.events import Event
from showcaller.values import Struct


class PlaceThen(Struct, frozen=True):
    """Where and by which day sheet an edition was played, as far as it is known."""

    time_zone: str | None
    day: tuple[DayItem, ...]


class Edition(Struct, frozen=True):
    """A frozen version of a show. ``digest`` is the SHA-256 of its document's text, in hex.

    ``name`` is the show's; ``names`` are those people gave this edition, oldest first.
    """

    number: int
    digest: str
    name: str
    created_wall_ns: int
    names: tuple[str, ...] = ()

    @property
    def label(self) -> str:
        """The name given last, empty if none was."""
        return self.names[-1] if self.names else ""


class Frozen(Struct, frozen=True):
    """What freezing led to: the edition, whether it is a new one, and a sentence to show."""

    edition: Edition
    new: bool
    words: str


class Run(Struct, frozen=True):
    """One night, or one rehearsal, of one edition.

    ``run_id`` is the journal's own; ``simulated`` is the seed of a simulated caller, None for a person.
    ``ended_wall_ns`` is the last thing recorded while the run is not ``finished``.
    """

    number: int
    run_id: str
    edition: int
    caller: str
    muted: bool
    simulated: int | None
    started_wall_ns: int
    ended_wall_ns: int
    finished: bool
    records: int


class StoredEvent(Struct, frozen=True):
    """One fact of a run, in the order it happened: the ``ordinal``-th (from 0) of record ``seq``.

    ``planned_s`` and ``actual_s`` are seconds into the item where the kind has them; ``body`` is the whole
    event as it was recorded.
    """

    seq: int
    ordinal: int
    t_ns: int
    wall_ns: int
    kind: str
    item: str | None
    cue: str | None
    planned_s: float | None
    actual_s: float | None
    body: Mapping[str, Any]

    @property
    def fact(self) -> Event:
        """The event as what it is."""
        return event_of(self.body)


DayWhat = Literal["began", "ended", "unbegun", "unended"]
"""``un`` takes the mark before it back: it was a press by mistake. Both are kept."""


class DayMark(Struct, frozen=True):
    """Something of the day began or ended.

    ``day`` is the show's date (``yyyy-mm-dd``), ``item`` the id of a day item, ``wall_ns`` when it was
    (Unix), ``written_wall_ns`` when that was put down. Marks are added, never changed: the one written last
    counts.
    """

    day: str
    item: str
    what: DayWhat
    wall_ns: int
    by: str
    written_wall_ns: int


class Marked(Struct, frozen=True):
    """A mark that was put down, and in words what stood there before, if it differs."""

    mark: DayMark
    words: str


AlignedHow = Literal["timecode", "tap", "sound", "by hand"]


class Recording(Struct, frozen=True):
    """A video file of a run. At its first frame the run's clock stood at ``zero_ns`` (may be negative); the
    recorder's clock runs ``drift_ppm`` parts per million fast, ± ``drift_error_ppm`` (95 %), None where that
    was not measured."""

    path: str
    zero_ns: int
    how: AlignedHow
    by: str
    written_wall_ns: int
    drift_ppm: float = 0.0
    drift_error_ppm: float | None = None


class CueTimes(Struct, frozen=True):
    """In how many runs a cue was fired, and the last of them: its number, and that of its edition."""

    times: int
    run: int
    edition: int


Verdict = Literal["good", "bad", "idea"]
RemarkKind = Literal[
    "note", "injury", "near miss", "damage", "counted", "left out", "form", "good", "bad", "idea", "decided",
    "heard",
]  # fmt: skip
"""``counted`` puts a run into the tour's charts, ``left out`` takes it out of them; the last one holds. Good,
bad and idea are verdicts on a moment; ``decided`` says what became of what was to be decided there. ``form``
has a field of an incident's form, at that incident's moment: ``witness: Bo``; ``heard`` the lines that were
found in the headset track."""


class Remark(Struct, frozen=True):
    """A note written after the show, at the moment ``t_ns`` of the run's clock."""

    t_ns: int
    kind: RemarkKind
    text: str
    by: str
    written_wall_ns: int


class Heard(Struct, frozen=True):
    """Something was added to the tour, or it was lost or found again.

    ``what``: ``run``, ``edition``, ``day``, ``recording`` or ``remark`` with its number; ``anything`` where
    it is not known what; ``away`` with a sentence in ``words``; ``back``. ``mine``: it was one's own writing.
    """

    what: str
    number: str = ""
    words: str = ""
    mine: bool = False
