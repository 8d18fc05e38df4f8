"""Whether a look fits the wall's channels and inputs, asked before it is put up. Pure."""

from dataclasses import dataclass
from fractions import Fraction

from showcaller.model import Look, LookChange, Show
from showcaller.screen.advice import budget
from showcaller.screen.costs import straight_trouble
from showcaller.screen.geometry import touched
from showcaller.screen.looks import arrange
from showcaller.timing.plan import PlannedItem


@dataclass(frozen=True, slots=True)
class Fit:
    """``needed`` of ``limit`` channels at most, while it arrives or then; ``wrong``: what will not be as
    meant, a sentence each."""

    needed: int
    limit: int
    wrong: tuple[str, ...]

    @property
    def fits(self) -> bool:
        """Whether there are channels enough."""
        return self.needed <= self.limit

    @property
    def words(self) -> str:
        """``fits: 8 of 10 channels``, or what is wrong."""
        if self.fits:
            return "; ".join((f"fits: {self.needed} of {self.limit} channels", *self.wrong))
        return "; ".join(self.wrong)


def fit(show: Show, planned: PlannedItem, now: Look, coming: Look, change: LookChange) -> Fit:
    """How ``coming`` fits where ``now`` stands, if it comes by ``change``. The show must have a wall."""
    wall = show.wall
    assert wall is not None
    # Where in the item it comes does not matter: the same layers overlap.
    looks = arrange(planned, [(Fraction(0), change, coming, "next")], now)
    found = budget(show, looks)
    known = {s.id: s for s in show.sources}
    wrong = [s.sentence.partition(": ")[2].rstrip(".") for s in found.shortages[:1]]
    for layer in coming.layers:
        source = known.get(layer.source)
        name = layer.source if source is None else source.name
        trouble = straight_trouble(wall, layer, source)
        if not touched(wall, layer):
            wrong.append(f"{name} lies off the wall")
        elif trouble:
            wrong.append(f"{name} {trouble}")
    return Fit(found.most, wall.channels, tuple(wrong))
