"""What the heads of the two pictures say while a show is on. Pure."""

from showcaller.desk.areas.wall.pool_use import pool_uses, uses_words
from showcaller.desk.areas.wall.prepared import NextLook, planned_words
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.keys import Keys
from showcaller.values import Struct


class PictureHead(Struct, frozen=True):
    """A picture's head: the look's ``name``, ``more`` about it, and a ``figure`` at the right or under it,
    with its ``tone``."""

    name: str
    more: str
    figure: str
    tone: str


def on_head(scene: Scene) -> PictureHead:
    """``Tide and Wren`` · ``since bar 145 · put up by hand`` · ``6 of 10 channels``."""
    now, on = scene.standing, scene.on
    since = "" if now.bar is None or not on else f"since bar {max(1, now.bar)}"
    by_hand = "put up by hand" if on is not None and on.shown.cue is None and not on.shown.to_plan else ""
    played = "played" if on is not None and on.played else ""
    coming, cue = scene.coming, ""
    if coming is not None and coming.look.id == scene.taken:
        cue = f"its cue {planned_words(coming.at_s - scene.at_s).removeprefix('planned ')}"
    uses = pool_uses(scene)
    # Whose they are stands over the surfaces.
    counts = " · ".join(f"{use.used} of {use.limit}" for use in uses) + " ch"
    return PictureHead(
        now.look.name if now.look.layers or on else "nothing",
        " · ".join(filter(None, (since, by_hand, cue, played))),
        uses_words(uses, "channels") if len(uses) == 1 else counts,
        "standby" if any(use.over for use in uses) else "quiet",
    )


def away_line(scene: Scene, keys: Keys) -> str:
    """How far it is from the plan, and the key that goes back; empty where it is not."""
    away = scene.away
    return f"away from the plan: {away} · {keys['wall.plan']} goes back" if away else ""


def next_head(coming: NextLook | None) -> PictureHead | None:
    """``Wren wide, lamps`` · ``mix over 4 beats · planned in 0:07`` · ``fits: 8 of 10 channels``."""
    if coming is None:
        return None
    otherwise = "" if not coming.edited else "edited here"
    more = " · ".join(filter(None, (coming.words, otherwise)))
    good = coming.fit.fits and not coming.fit.wrong
    return PictureHead(coming.look.name, more, coming.fit.words, "accent" if good else "caution")
