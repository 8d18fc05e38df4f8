"""Putting the item's clock right while the band plays: "this is bar 33 now", or a tap on a downbeat."""

from fractions import Fraction

from showcaller.timing.tempo import TempoMap
from showcaller.values import Struct


class Resync(Struct, frozen=True):
    """Add ``shift_s`` to the item's clock, and it stands at the downbeat (or asked-for beat) of ``bar``."""

    bar: int
    shift_s: Fraction


def at_bar(tempo: TempoMap, downbeat_s: Fraction, now_s: Fraction, bar: int, beat: int = 1) -> Resync:
    """What makes ``now_s`` on the item's clock this beat of ``bar``.

    ``downbeat_s`` is where bar 1 falls on the item's clock.

    Raises:
        ValueError: there is no such bar.
    """
    if bar < 1:
        raise ValueError(f"bar {bar} is before the song; bars count from 1")
    return Resync(bar, downbeat_s + tempo.seconds(bar, Fraction(beat)) - now_s)


def at_nearest_downbeat(tempo: TempoMap, downbeat_s: Fraction, now_s: Fraction) -> Resync | None:
    """What puts ``now_s`` on the downbeat nearest to it, at most half a bar away.

    None before the song, more than half a bar ahead of its first downbeat.
    """
    bar, _ = tempo.position(now_s - downbeat_s)
    before, after = (_at(tempo, downbeat_s, now_s, b) for b in (bar, bar + 1))
    nearest = before if -before.shift_s <= after.shift_s else after
    return nearest if nearest.bar >= 1 else None


def _at(tempo: TempoMap, downbeat_s: Fraction, now_s: Fraction, bar: int) -> Resync:
    """As :func:`at_bar`, also for the bars 0, −1, … that would lie before the song."""
    return Resync(bar, downbeat_s + tempo.seconds(bar) - now_s)
