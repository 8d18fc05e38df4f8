"""A fader never lets a value jump: it takes it over where it passes it. Pure."""

from collections.abc import Hashable

from showcaller.values import Struct, replace

NEAR = 1 / 127
"""A fader this near to a value is on it: a step of a fader of 7 bits."""


class Fader(Struct, frozen=True):
    """A fader: where it is (None before it was moved), what it moves, and whether it holds it, at which
    value."""

    at: float | None = None
    about: Hashable = None
    held: float | None = None


def moved(fader: Fader, to: float, about: Hashable, present: float) -> Fader:
    """The fader was moved ``to``; ``about`` is what it would move, whose value is ``present`` (all 0 to 1).

    It holds what it moves (``held`` is then where it has been moved to) once it is at the present value or
    passes it, until that is given another value elsewhere or the fader is about something else.
    """
    same = about == fader.about
    holds = same and fader.held is not None and abs(fader.held - present) <= NEAR
    if not holds:
        before = to if fader.at is None else fader.at
        holds = min(before, to) - NEAR <= present <= max(before, to) + NEAR
    return replace(fader, at=to, about=about, held=to if holds else None)
