"""Keeping Python's collector from stopping the window."""

import gc


def settle() -> None:
    """Leave all that is in memory now out of later collections.

    A show is a million small objects that live as long as the window. Looking through them for rubbish takes
    a fifth of a second on a large one, at a moment nobody chooses; what comes later is still looked after.
    From here on: while a program loads nothing is rubbish, so it may begin with the collector off.
    """
    gc.freeze()  # first: what was made while the collector was off would be looked through at once
    gc.enable()
    gc.set_threshold(20_000, 20, 50)
