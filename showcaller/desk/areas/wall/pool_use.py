"""How many channels of each pool a look takes at rest, in figures and words. Pure."""

from collections.abc import Iterable

from showcaller.desk.areas.wall.scene import Scene
from showcaller.screen.costs import channels
from showcaller.screen.surfaces import look_on, pools_of
from showcaller.values import Struct


class PoolUse(Struct, frozen=True):
    """Channels of a pool: ``used`` of ``limit``, by these surfaces (ids)."""

    name: str
    used: int
    limit: int
    surfaces: tuple[str, ...]

    @property
    def over(self) -> bool:
        """Whether there are too few."""
        return self.used > self.limit


def pool_uses(scene: Scene) -> tuple[PoolUse, ...]:
    """Each pool under the look that stands."""
    show, look = scene.show, scene.standing.look
    known = {s.id: s for s in show.sources}
    return tuple(
        PoolUse(
            pool.name,
            sum(
                channels(wall, x, known.get(x.source))
                for wall in pool.surfaces
                for x in look_on(look, wall.id, scene.wall.id).layers
            ),
            pool.channels,
            tuple(wall.id for wall in pool.surfaces),
        )
        for pool in pools_of(show)
    )


def uses_words(uses: Iterable[PoolUse], unit: str) -> str:
    """``6 of 10 channels``; of several pools ``4 of 6 in Main wall, 2 of 2 in Rack``."""
    listed = list(uses)
    if len(listed) == 1:
        return f"{listed[0].used} of {listed[0].limit} {unit}"
    return ", ".join(f"{use.used} of {use.limit} in {use.name}" for use in listed)
