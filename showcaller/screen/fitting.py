"""Whether a look fits the wall's channels and inputs, asked before it is put up. Pure."""

from fractions import Fraction
from functools import lru_cache

from showcaller.model import Look, LookChange, Show
from showcaller.model.base import ById
from showcaller.screen.advice import budgets
from showcaller.screen.costs import straight_trouble
from showcaller.screen.geometry import touched
from showcaller.screen.looks import arrange
from showcaller.screen.surfaces import first_id, look_on
from showcaller.timing.plan import PlannedItem
from showcaller.values import Struct

_STEPS = (0.0, 0.5, 1.0)


class Fit(Struct, frozen=True):
    """``needed`` of ``limit`` channels at most in the pool that is nearest to its limit, while it arrives or
    then; ``pools`` the same of each by name; ``wrong``: what will not be as meant, a sentence each."""

    needed: int
    limit: int
    wrong: tuple[str, ...]
    pools: tuple[tuple[str, int, int], ...] = ()

    @property
    def fits(self) -> bool:
        """Whether there are channels enough."""
        return self.needed <= self.limit

    @property
    def words(self) -> str:
        """``fits: 8 of 10 channels``, or what is wrong."""
        if self.fits:
            said = f"{self.needed} of {self.limit} channels"
            if len(self.pools) > 1:
                said = ", ".join(f"{needed} of {limit} in {name}" for name, needed, limit in self.pools)
            return "; ".join((f"fits: {said}", *self.wrong))
        return "; ".join(self.wrong)


def fit(show: Show, planned: PlannedItem, now: Look, coming: Look, change: LookChange) -> Fit:
    """How ``coming`` fits where ``now`` stands, if it comes by ``change``. The show must have a wall."""
    # Asked several times a second while a fader moves: how much is seen of a layer, not whether.
    return _fit(ById(show), ById(planned), _in_steps(now), _in_steps(coming), change)


def _in_steps(look: Look) -> Look:
    """The look with its opacities as far as they matter to channels: none, some, all."""
    if all(x.opacity in _STEPS for x in look.layers):
        return look
    layers = tuple(
        x if x.opacity in _STEPS else x.model_copy(update={"opacity": _STEPS[1]}) for x in look.layers
    )
    return look.model_copy(update={"layers": layers})


@lru_cache(maxsize=32)
def _fit(of: ById, within: ById, now: Look, coming: Look, change: LookChange) -> Fit:
    show: Show = of.part
    planned: PlannedItem = within.part
    # Where in the item it comes does not matter: the same layers overlap.
    looks = arrange(planned, [(Fraction(0), change, coming, "next")], now)
    found = budgets(show, looks)
    known = {s.id: s for s in show.sources}
    wrong = [s.sentence.partition(": ")[2].rstrip(".") for one in found for s in one.shortages[:1]]
    for wall in show.surfaces:
        for layer in look_on(coming, wall.id, first_id(show)).layers:
            source = known.get(layer.source)
            name = layer.source if source is None else source.name
            trouble = straight_trouble(wall, layer, source)
            if not touched(wall, layer):
                wrong.append(f"{name} lies off {'the wall' if wall is show.wall else wall.name}")
            elif trouble:
                wrong.append(f"{name} {trouble}")
    worst = min(found, key=lambda one: one.limit - one.most)
    pools = tuple((one.pool.name, one.most, one.limit) for one in found)
    return Fit(worst.most, worst.limit, tuple(wrong), pools)
