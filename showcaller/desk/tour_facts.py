"""What the desk needs of the tour, read in one go into one value, by whichever thread. No Qt."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from showcaller.model import Show, show_text
from showcaller.model.document import text_digest
from showcaller.review.faults import FaultHistory, fault_history
from showcaller.run.events import FaultMarked, ItemEnded, NoteTaken
from showcaller.values import Struct, field

if TYPE_CHECKING:
    from showcaller.archive.tour import Tour


class TourFacts(Struct, frozen=True):
    """``editions``: digest → number. ``earlier``: item → notes of the last night that had any.

    ``lengths``: item → seconds of the nights that count.
    """

    opened: int | None = None
    """The number of the edition that the desk was opened on; None if it was not to be kept."""
    editions: Mapping[str, int] = field(default_factory=dict)
    numbers: Mapping[str, int] = field(default_factory=dict)
    """A run's own id → its number in the tour; one that was not ended is there too."""
    earlier: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    wall_faults: FaultHistory = field(default_factory=FaultHistory)
    lengths: Mapping[str, Sequence[float]] = field(default_factory=dict)


def read_facts(tour: "Tour", opened: Show, keep: bool) -> TourFacts:
    """Read them; with ``keep`` the show as it was opened is an edition of the tour from then on.

    Raises:
        TourError: the tour cannot be read.
    """
    number = tour.add_edition(opened).number if keep else None
    runs = tour.runs()
    facts = ((r, [e.fact for e in tour.events(r, FaultMarked.kind)]) for r in runs)
    nights = [(r.number, r.edition, [f for f in of if isinstance(f, FaultMarked)]) for r, of in facts]
    return TourFacts(
        number,
        {edition.digest: edition.number for edition in tour.editions()},
        {run.run_id: run.number for run in runs},
        read_earlier(tour),
        fault_history(nights),
        learned_lengths(tour, opened),
    )


def read_earlier(tour: "Tour") -> dict[str, tuple[str, ...]]:
    """Item id → the notes on it of the last night that had any."""
    found: dict[str, tuple[str, ...]] = {}
    for _, events in tour.telling(NoteTaken.kind):
        tonight: dict[str, list[str]] = {}
        for event in events:
            note = event.fact
            if isinstance(note, NoteTaken):
                tonight.setdefault(note.item, []).append(note.text)
        found |= {item: tuple(notes) for item, notes in tonight.items()}
    return found


def learned_lengths(tour: "Tour", show: Show) -> dict[str, list[float]]:
    """Item id → how long it lasted on nights that count (:func:`showcaller.review.across.counts`), simulated
    ones aside, where it was not picked up midway.

    Raises:
        TourError: the tour cannot be read.
    """
    # Loaded beside the window, with the tour that it is asked of.
    from showcaller.review.across import counts  # noqa: PLC0415

    found: dict[str, list[float]] = {item.id: [] for item in show.items}
    planned = {item.id: float(item.length_s) for item in show.items}
    said = tour.all_remarks()
    for run, events in tour.telling(ItemEnded.kind):
        counted = run.simulated is None and counts(run, said.get(run.number, ()))
        for event in events if counted else ():
            ended = event.fact
            plan_s = planned.get(ended.item, -1.0) if isinstance(ended, ItemEnded) else -1.0
            # Half or twice the plan is a jump or a stop, no length to plan by (common practice, no source).
            if isinstance(ended, ItemEnded) and plan_s / 2 <= ended.length_s <= plan_s * 2:
                found[ended.item].append(ended.length_s)
    return found


def number_of(facts: TourFacts, run_id: str) -> int:
    """The number of a run: its own, or the one it will have."""
    return facts.numbers.get(run_id, max(facts.numbers.values(), default=0) + 1)


class EditionNow:
    """Which edition of the tour the show on the desk is, and whether it was changed since."""

    def __init__(self) -> None:
        self.number: int | None = None
        self.edited = False
        self._read = False
        self._known: dict[str, int] = {}

    def learn(self, facts: TourFacts) -> None:
        """Take over what the tour has."""
        self._known, self._read = dict(facts.editions), True
        if self.number is None and facts.opened is not None:
            self.number = facts.opened

    def is_now(self, digest: str) -> None:
        """The show is this document now."""
        same = self._known.get(digest)
        self.edited = same is None
        self.number = self.number if same is None else same

    def kept(self, number: int, digest: str, show: Show) -> None:
        """A document was kept as this edition; ``show`` is what the desk has."""
        self._known[digest] = number
        if text_digest(show_text(show)) == digest:
            self.number, self.edited = number, False

    def words(self) -> str:
        """``edition 14``, ``edition 14 with changes``; of a large show the tour is read after it is seen."""
        unknown = "edition not kept" if self._read else "edition not read yet"
        edition = f"edition {self.number}" if self.number is not None else unknown
        return f"{edition} with changes" if self.edited else edition
