"""Where in its file a clip is, at an instant of its layer. Pure."""

from fractions import Fraction
from typing import NamedTuple

from showcaller.model.media import Playback
from showcaller.timing.plan import PlannedItem

NO_TEMPO_BAR_S = Fraction(2)
"""A bar where an item has no tempo: four beats at 120 a minute (our choice)."""


class Playing(NamedTuple):
    """How a clip is played; ``through``: how often it has been through by the song's tempo, None: by time."""

    in_s: float = 0.0
    speed: float = 1.0
    at_end: str | None = None
    through: float | None = None


def playing(
    plays: Playback | None, planned: PlannedItem | None, since_s: float, at_s: float
) -> Playing | None:
    """How a layer plays its clip at ``at_s`` of an item, on the wall since ``since_s``; None: as it is."""
    if plays is None:
        return None
    through = None
    if plays.fit_bars is not None and planned is not None:
        through = (bars_at(planned, at_s) - bars_at(planned, since_s)) / plays.fit_bars
    return Playing(plays.in_s, plays.speed, plays.at_end, through)


def bars_at(planned: PlannedItem, at_s: float) -> float:
    """Bars gone by, and the part of the one that runs."""
    exact = Fraction(round(at_s * 1_000_000), 1_000_000)
    position = planned.bar_at(exact)
    if position is None or planned.tempo is None:
        return float(exact / NO_TEMPO_BAR_S)
    bar, beat = position
    return bar + float(beat - 1) / planned.tempo.beats_in_bar(bar)


def file_s(how: Playing | None, since_s: float, length_s: float, loops: bool) -> float:
    """Seconds into the file of a clip that has been on the wall so long; it lasts ``length_s``."""
    how = how or Playing()
    loops = loops if how.at_end is None else how.at_end == "loop"
    in_s = min(how.in_s, max(0.0, length_s - 0.001))
    whole = length_s - in_s
    gone = since_s * how.speed if how.through is None else how.through * whole
    return in_s + (gone % whole if loops else min(gone, whole))
