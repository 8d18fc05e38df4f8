"""What makes the solver quicker moves no word: the sheets of crowded random shows, held by a digest."""

import hashlib
import random
from fractions import Fraction

from showcaller.model import Cue, Department, Show, Song, Speaking, TimeAnchor
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

NAMES = ("Lights", "Video", "Spots", "Sound", "Deck")
SHOWS = 40
AS_THEY_WERE = "08a391da2f94b4f3fee6c8a40c94e9ea80e5c72e93da1f97156d4c4e7794423a"
"""Of the sheets worked out by the solver before anything in it was written for speed."""


def _show(seed: int) -> Show:
    pick = random.Random(seed)
    departments = tuple(
        Department(
            id=name.lower(), name=name, letters=name[:2], shape="circle", hue="sky",
            reaction_s=Fraction(pick.randint(0, 10), pick.choice((10, 7))),
        )
        for name in NAMES
    )  # fmt: skip
    numbers = dict.fromkeys(NAMES, 0)
    return Show(
        format="showcaller/show", version=2, id="x", name="x", act="x", venue="x", starts_at="20:00",
        departments=departments,
        items=tuple(_song(pick, n, numbers) for n in range(pick.randint(1, 4))),
        speaking=Speaking(
            words_per_minute=pick.choice((120, 150, 200)),
            early_s=pick.choice((10, 20, 7)),
            breath_s=Fraction(pick.randint(0, 5), 8),
        ),
    )  # fmt: skip


def _song(pick: random.Random, n: int, numbers: dict[str, int]) -> Song:
    length_s = pick.choice((60, 120, 240))
    warned = pick.choice((0, 0.1, 0.4))
    cues = []
    for c in range(pick.randint(1, int(length_s / pick.choice((1.5, 3, 6))))):
        name = pick.choice(NAMES)
        numbers[name] += pick.choice((1, 1, 1, 2))
        at_s = Fraction(pick.randint(0, length_s * 4), pick.choice((4, 4, 3)))
        cues.append(
            Cue(
                id=f"s{n}-{c}",
                department=name.lower(),
                number=numbers[name],
                label="x",
                anchor=TimeAnchor(at="time", seconds=at_s),
                fires="by itself" if pick.random() < 0.15 else "called",
                standby_s=pick.choice((3, 5, 8, 8, 10)),
                warning_s=30 if pick.random() < warned else None,
            )
        )
    return Song(kind="song", id=f"i{n}", name=f"Song {n}", length_s=length_s * 2, cues=tuple(cues))


def test_no_word_has_moved():
    digest = hashlib.sha256()
    lines = lost = 0
    for seed in range(SHOWS):
        for sheet in compile_show_calls(compile_plan(_show(seed))):
            digest.update(repr(sheet).encode())
            lines += len(sheet.lines)
            lost += len(sheet.collisions)
    assert lines > 2000
    assert lost > 100
    assert digest.hexdigest() == AS_THEY_WERE


def test_without_a_breath_between_utterances_no_more_is_left_out_than_with_one():
    show = _show(124)  # far too much to say
    assert show.speaking.breath_s == 0
    breathing = show.changed(speaking=show.speaking.changed(breath_s=Fraction(1, 1000)))
    closely, apart = (compile_show_calls(compile_plan(one))[0].collisions for one in (show, breathing))
    assert len(closely) <= len(apart)
