"""The child's part of listening: alone it knows the recogniser, so that no window loads it."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from showcaller.hearing.activity import stretches
from showcaller.hearing.recognising import Recogniser
from showcaller.hearing.spoken import words_of
from showcaller.hearing.track import blocks
from showcaller.outside import Within

NEAREST = 9
"""Of so many lines a stretch of speech can be one."""
FARTHEST_S = 90.0
"""A line is not looked for farther than this from where it could have been said."""


def hear(
    within: Within, path: str, expected: Sequence[tuple[str, str, float]], departments: Sequence[str]
) -> list[list[Any]]:
    """(line, begins, ends in s of the file, confidence) of every line that may have been said."""
    lines = sorted(((around_s, i, words_of(text)) for i, text, around_s in expected), key=lambda x: x[0])
    lines = [line for line in lines if line[2]]
    recogniser = Recogniser(departments)
    best: dict[str, tuple[float, float, float]] = {}
    for stretch in stretches(blocks(within, Path(path))):
        middle_s = (stretch.begins_s + stretch.ends_s) / 2
        near = [x for x in lines if abs(x[0] - middle_s) < FARTHEST_S]
        near = sorted(near, key=lambda x: abs(x[0] - middle_s))[:NEAREST]
        apart_s: dict[tuple[str, ...], float] = {}
        for around_s, _, words in near:  # the nearest first
            apart_s.setdefault(words, abs(around_s - middle_s))
        said = recogniser.recognise(stretch, apart_s) if near else None
        mine = [] if said is None else [x for x in near if x[2] == said.words]
        if said is None or not mine:
            continue
        ident = min(mine, key=lambda x: (x[1] in best, abs(x[0] - middle_s)))[1]
        if ident not in best or said.confidence > best[ident][2]:
            best[ident] = (said.begins_s, said.ends_s, said.confidence)
    return sorted(([i, *values] for i, values in best.items()), key=lambda x: x[1])
