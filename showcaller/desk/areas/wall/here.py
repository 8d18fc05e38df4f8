"""Where in the song the wall is: its bar, where a new cue would hang, whose cue stands there. No Qt."""

import re
from fractions import Fraction

from showcaller.desk.areas.wall.scene import Scene
from showcaller.editing import ChangeError

ITS_CUE_S = 2.0
"""From so long after a look came it is a new cue that is meant, not its own (our choice: a bar)."""


def bar_now(scene: Scene) -> int | None:
    """The bar that is on, the first one before it; None without tempo."""
    bar = scene.plan.items[scene.item].bar_number_at(Fraction(round(scene.at_s * 1000), 1000))
    return None if bar is None else max(1, bar)


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
    return float(anchor(scene)[1]) - scene.standing.at_s >= ITS_CUE_S - 1e-6
