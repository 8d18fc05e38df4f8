"""Where in the song the wall is: its bar, where a new cue would hang, whose cue stands there. No Qt."""

import re
from fractions import Fraction

from showcaller.desk.areas.wall.scene import Scene
from showcaller.editing import ChangeError
from showcaller.screen.looks import Looks, beats_s

ITS_CUE_S = 2.0
"""From so long after all of a look has come a new cue is meant, not its own (our choice: a bar)."""

_HAIR_S = 0.001
"""Before the next look sets out: an instant belongs to what sets out in it."""


def bar_now(scene: Scene) -> int | None:
    """The bar that is on, the first one before it; None without tempo."""
    bar = scene.plan.items[scene.item].bar_number_at(instant(scene.at_s))
    return None if bar is None else max(1, bar)


def instant(at_s: float) -> Fraction:
    """Seconds into an item to ask for the bar there: a hair on, since a bar line is no whole number of
    seconds and a rounded one must not lie before it."""
    return Fraction(round(at_s * 1_000_000) + 2, 1_000_000)


def anchor(scene: Scene, match: "re.Match[str] | None" = None) -> tuple[dict[str, object], Fraction, str]:
    """Where a cue hangs, its instant and words: the bar that is typed, else here, which is always somewhere.

    Raises:
        ChangeError: there is no such bar as was typed.
    """
    planned = scene.plan.items[scene.item]
    now = bar_now(scene)
    if match is None and now is None:
        return _time_now(scene)
    bar, beat = (int(match[1]), int(match[2] or 1)) if match is not None else (now or 1, 1)
    if planned.tempo is None or planned.item.kind != "song":
        raise ChangeError("this item has no bars: type here, or a name")
    if bar < 1:
        raise ChangeError(f"bars count from 1; there is no bar {bar}")
    at_s = planned.tempo.seconds(bar, Fraction(beat)) + planned.item.downbeat_s
    if match is None and at_s >= planned.item.length_s and bar > 1:  # at the very end: the last bar
        bar -= 1
        at_s = planned.tempo.seconds(bar) + planned.item.downbeat_s
    if match is None and at_s >= planned.item.length_s:  # the count-in is longer than the song
        return _time_now(scene)
    if at_s >= planned.item.length_s:
        raise ChangeError(f"'{planned.item.name}' is over before bar {bar}: type an earlier one")
    place = {"at": "bar", "bar": bar, **({"beat": beat} if beat != 1 else {})}
    return place, at_s, f"bar {bar}" + (f" / {beat}" if beat != 1 else "")


def _time_now(scene: Scene) -> tuple[dict[str, object], Fraction, str]:
    at_s = Fraction(round(scene.at_s * 10), 10)
    return {"at": "time", "seconds": float(at_s)}, at_s, f"{float(at_s):g} s"


def long_since(scene: Scene) -> bool:
    """Whether the look that stands came so long before that this place is another than its cue's."""
    came_s = complete_s(scene.looks, scene.looks.index_at(scene.at_s))
    return float(anchor(scene)[1]) - came_s >= ITS_CUE_S - 1e-6


def complete_s(looks: Looks, n: int) -> float:
    """When all of a look is there, its layers that arrive later too; at the latest when the next sets out.
    Seconds into the item."""
    now = looks.standing[n]
    beats = max((x.arrives_after + x.arrives_over for x in now.look.layers), default=0.0)
    at = Fraction(round(now.at_s * 1_000_000), 1_000_000)
    there_s = max(now.arrived_s, now.at_s + float(beats_s(looks.planned, at, beats)))
    later = [s.at_s for s in looks.standing[n + 1 : n + 2]]
    return max(now.at_s, min(there_s, *(s - _HAIR_S for s in later))) if later else there_s
