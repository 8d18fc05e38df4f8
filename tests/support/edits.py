"""Random edits as people make them, for tests: each is made against the show as it is."""

import random
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction

from showcaller.editing import Change, SetFields, apply
from showcaller.editing.cues import add_cue, copy_cues, move_cue, move_cue_to, remove_cue, renumber
from showcaller.editing.running_order import (
    add_item,
    make_alternate,
    move_item,
    remove_item,
    set_out,
    split_item,
)
from showcaller.model import Show, Song


def _item(show: Show, rng: random.Random) -> str:
    return rng.choice(show.items).id


def _cue(show: Show, rng: random.Random) -> tuple[str, str]:
    full = [item for item in show.items if item.cues]
    item = rng.choice(full)
    return item.id, rng.choice(item.cues).id


def _place(show: Show, rng: random.Random, item_id: str) -> tuple[dict[str, object], Fraction]:
    item = next(i for i in show.items if i.id == item_id)
    if isinstance(item, Song) and item.tempo and rng.random() < 0.6:
        return {"at": "bar", "bar": rng.randint(1, 20), "beat": rng.choice([1, 2, 2.5, "4/3"])}, Fraction(9)
    at_s = Fraction(rng.randint(0, int(item.length_s * 10)), 10)
    return {"at": "time", "seconds": f"{at_s.numerator}/{at_s.denominator}"}, at_s


def _add(show: Show, rng: random.Random) -> Change:
    item = _item(show, rng)
    anchor, at_s = _place(show, rng, item)
    return add_cue(show, item, rng.choice(show.departments).id, anchor, at_s)[0]


def _fields(show: Show, rng: random.Random) -> Change:
    item, cue = _cue(show, rng)
    fields = rng.choice(
        [
            {"label": "späte Möwe"},
            {"standby_s": 4.6},
            {"warning_s": "1/3"},
            {"notes": "watch\nthe drummer"},
            {"look": None},
            {"messages": []},
        ]
    )
    return SetFields(at=("items", item, "cues", cue), fields=fields)


def _whole(show: Show, rng: random.Random) -> Change:
    return SetFields(at=(), fields=rng.choice([{"name": "Another"}, {"curfew": None}, {"curfew": "22:45"}]))


def _moved(show: Show, rng: random.Random) -> Change:
    item, cue = _cue(show, rng)
    return move_cue(show, cue, _place(show, rng, item)[0])


EDITS: list[Callable[[Show, random.Random], Change]] = [
    _add,
    _add,
    _fields,
    _whole,
    _moved,
    lambda s, r: move_cue_to(s, _cue(s, r)[1], _item(s, r)),
    lambda s, r: copy_cues(s, [_cue(s, r)[1]], _item(s, r), r.randint(0, 8))[0],
    lambda s, r: remove_cue(s, _cue(s, r)[1]),
    lambda s, r: renumber(
        s, r.choice(s.departments).id, Decimal(1), Decimal(50), Decimal(r.randint(1, 90)), Decimal(1)
    ),
    lambda s, r: add_item(s, r.choice(["song", "talk"]), "Neue Möwe", r.randint(0, len(s.items)))[0],
    lambda s, r: move_item(s, _item(s, r), r.choice([-3, -1, 1, 2])),
    lambda s, r: remove_item(s, _item(s, r)),
    lambda s, r: set_out(s, _item(s, r), r.random() < 0.5),
    lambda s, r: make_alternate(s, _item(s, r), _item(s, r)),
    lambda s, r: split_item(s, _item(s, r), Fraction(r.randint(1, 30)))[0],
]


def random_edit(show: Show, rng: random.Random) -> tuple[Show, Change, Change]:
    """(the changed show, the change, its inverse) of one edit that could be made."""
    while True:
        try:
            change = rng.choice(EDITS)(show, rng)
            changed, inverse = apply(show, change)
        except (ValueError, IndexError):  # refused in a sentence, or nothing there to choose from
            continue
        return changed, change, inverse
