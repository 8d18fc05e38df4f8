"""Changes of the running order: add, move, split, take out for tonight, alternates, remove."""

from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from showcaller.editing.changes import Change, ChangeError, Move, Put, SetFields, Take, Together, stored
from showcaller.editing.cues import item_at
from showcaller.editing.naming import free_id, item_ids
from showcaller.model import AfterAnchor, BarAnchor, Item, LyricLine, Show, Song, WordAnchor
from showcaller.model.base import kept_with_part
from showcaller.model.quantities import format_number, to_json
from showcaller.timing.plan import compile_item
from showcaller.timing.tempo import TempoMap

KINDS = ("song", "talk", "walk-on", "changeover", "interval")
USUAL_LENGTH_S = {"song": 240, "talk": 60, "walk-on": 60, "changeover": 300, "interval": 1200}
"""What a new item lasts until somebody says otherwise (common practice, no source)."""


def add_item(
    show: Show,
    kind: str,
    name: str,
    index: int,
    length_s: Fraction | None = None,
    more: Mapping[str, Any] = MappingProxyType({}),
) -> tuple[Change, str]:
    """(the change, the new item's id) of a new item before the one at ``index``; ``more`` are further fields
    of it, as a document has them."""
    if kind not in KINDS:
        raise ChangeError(f"'{kind}' is not a kind of item; there are {', '.join(KINDS)}")
    new = free_id(name, item_ids(show))
    length = USUAL_LENGTH_S[kind] if length_s is None else to_json(length_s)
    part: dict[str, Any] = {"kind": kind, "id": new, "name": name, "length_s": length, **more}
    return Put(at=("items",), index=index, part=part), new


def move_item(show: Show, item_id: str, by: int) -> Change:
    """Move an item up (negative) or down the running order."""
    index = place_of(show, item_id)
    to = max(0, min(len(show.items) - 1, index + by))
    if to == index:
        raise ChangeError(f"{show.items[index].name} is {'first' if by < 0 else 'last'} already")
    return Move(at=("items",), key=item_id, index=to)


def remove_item(show: Show, item_id: str) -> Change:
    """Take an item out of the book, with its cues; its alternates stand alone."""
    item = item_at(show, item_id)
    if len(show.items) == 1:
        raise ChangeError(f"{item.name} is the only item; a show needs one")
    freed = [
        SetFields(at=("items", one.id), fields={"instead_of": None})
        for one in show.items
        if one.instead_of == item_id
    ]
    return Together(changes=(*freed, Take(at=("items",), key=item_id)))


def set_out(show: Show, item_id: str, out: bool) -> Change:
    """Leave an item out tonight, or put it back in; of an item and its alternates one at most is in."""
    item = item_at(show, item_id)
    changes: list[Change] = [SetFields(at=("items", item_id), fields={"out": out})]
    if not out:
        changes += [
            SetFields(at=("items", one.id), fields={"out": True})
            for one in alternates(show, item)
            if not one.out
        ]
    return changes[0] if len(changes) == 1 else Together(changes=tuple(changes))


def make_alternate(show: Show, item_id: str, of: str) -> Change:
    """Let an item stand in for another: it is out until it is chosen."""
    item, other = item_at(show, item_id), item_at(show, of)
    head = other.instead_of or other.id
    if head == item.id:
        raise ChangeError(f"{item.name} cannot stand in for itself")
    if any(one.instead_of == item.id for one in show.items):
        raise ChangeError(f"{item.name} has alternates of its own; free them first")
    return SetFields(at=("items", item_id), fields={"instead_of": head, "out": True})


def alternates(show: Show, item: Item) -> tuple[Item, ...]:
    """The other items of its group: one of them and it is played."""
    head = item.instead_of or item.id
    return tuple(one for one in show.items if one.id != item.id and head in (one.id, one.instead_of))


def split_item(show: Show, item_id: str, at_s: Fraction) -> tuple[Change, str]:
    """(the change, the second part's id) of an item cut in two at ``at_s``; a song with tempo at a bar line.

    Raises:
        ChangeError: not inside the item, in a change of tempo, or a cue would follow one of the other part.
    """
    item = item_at(show, item_id)
    if not 0 < at_s < item.length_s:
        raise ChangeError(f"{format_number(at_s)} s is not inside {item.name}; split between its ends")
    bar = _bar_line(item, at_s) if isinstance(item, Song) and item.tempo else None
    new = free_id(item.name, item_ids(show))
    planned = {p.cue.id: p.at_s for p in compile_item(item, show.timecode_rate).cues}
    stay = [c for c in item.cues if planned[c.id] < at_s]
    go = [c for c in item.cues if planned[c.id] >= at_s]
    for cue in go + stay:
        if isinstance(cue.anchor, AfterAnchor):
            leader = planned.get(cue.anchor.cue)
            if leader is not None and (leader < at_s) != (planned[cue.id] < at_s):
                raise ChangeError(
                    f"'{cue.label}' follows a cue on the other side; split elsewhere or free it"
                )
    second: dict[str, Any] = {
        "kind": item.kind, "id": new, "name": f"{item.name}, part 2",
        "length_s": to_json(item.length_s - at_s), "cuttable": item.cuttable,
        "cues": [_later(c, planned[c.id], at_s, bar) for c in go],
    }  # fmt: skip
    first: dict[str, Any] = {
        "length_s": to_json(at_s), "shortest_s": None, "longest_s": None, "cues": [stored(c) for c in stay],
    }  # fmt: skip
    if bar is not None:
        assert isinstance(item, Song)
        tempo = TempoMap(item.tempo, item.meters)
        second |= _tempo_from(item, bar, tempo)
        first["sections"] = [stored(s) for s in item.sections if s.bar < bar]
    if isinstance(item, Song) and item.lyrics:
        sung = compile_item(item, show.timecode_rate).lyrics
        later = {one.line.id for one in sung if one.begins_s >= at_s}
        second["lyrics"] = [_line_later(x, at_s, bar) for x in item.lyrics if x.id in later]
        first["lyrics"] = [stored(x) for x in item.lyrics if x.id not in later]
        for cue, data in zip(go, second["cues"], strict=True):
            if isinstance(cue.anchor, WordAnchor) and cue.anchor.line not in later:
                data["anchor"] = {"at": "time", "seconds": to_json(planned[cue.id] - at_s)}
    index = place_of(show, item_id)
    return (
        Together(
            changes=(
                SetFields(at=("items", item_id), fields=first),
                Put(at=("items",), index=index + 1, part=second),
            )
        ),
        new,
    )


def _bar_line(song: Song, at_s: Fraction) -> int:
    tempo = TempoMap(song.tempo, song.meters)
    bar, beat = tempo.position(at_s - song.downbeat_s)
    if beat != 1 or bar < 2:
        near = max(2, bar)
        raise ChangeError(f"a song is split on the first beat of a bar; the nearest is bar {near}")
    marks = sorted(song.tempo, key=lambda m: (m.bar, m.beat))
    before = [m for m in marks if (m.bar, m.beat) < (bar, 1)]
    if before and before[-1].ramp and any((m.bar, m.beat) > (bar, 1) for m in marks):
        raise ChangeError(f"the tempo is changing at bar {bar}; split where it is steady")
    return bar


def _tempo_from(song: Song, bar: int, tempo: TempoMap) -> dict[str, Any]:
    """Tempo, meters and sections counted from ``bar`` as bar 1."""
    at_s = tempo.seconds(bar)
    marks = [stored(m) | {"bar": m.bar - bar + 1} for m in song.tempo if m.bar >= bar]
    if not any(m.bar == bar and m.beat == 1 for m in song.tempo):
        marks.insert(0, {"bar": 1, "bpm": to_json(Fraction(tempo.bpm(at_s)))})
    meters = [m for m in song.meters if m.bar <= bar]
    later = [{"bar": m.bar - bar + 1, "meter": m.meter} for m in song.meters if m.bar > bar]
    sections = [s for s in song.sections if s.bar <= bar]
    first = [{"name": sections[-1].name, "bar": 1}] if sections else []
    return {
        "tempo": marks,
        "meters": ([{"bar": 1, "meter": meters[-1].meter}] if meters else []) + later,
        "sections": first + [stored(s) | {"bar": s.bar - bar + 1} for s in song.sections if s.bar > bar],
    }


def _later(cue: Any, planned_s: Fraction, at_s: Fraction, bar: int | None) -> dict[str, Any]:
    """A cue as it is in the second part; by timecode no more, since that part has no code of its own."""
    data = stored(cue)
    anchor = cue.anchor
    if isinstance(anchor, BarAnchor) and bar is not None:
        data["anchor"] = stored(anchor) | {"bar": anchor.bar - bar + 1}
    elif anchor.at in ("time", "timecode"):
        data["anchor"] = {"at": "time", "seconds": to_json(planned_s - at_s)}
    elif anchor.at == "visual" and anchor.expect_s is not None:
        data["anchor"] = stored(anchor) | {"expect_s": to_json(max(Fraction(0), anchor.expect_s - at_s))}
    return data


def _line_later(line: LyricLine, at_s: Fraction, bar: int | None) -> dict[str, Any]:
    """A line of the lyrics as it is in the second part."""
    data = stored(line)
    if line.bar is not None and bar is not None:
        return data | {"bar": line.bar - bar + 1}
    return data | ({} if line.seconds is None else {"seconds": to_json(line.seconds - at_s)})


def place_of(show: Show, item_id: str) -> int:
    """Where an item is in the running order, from 0."""
    there = item_at(show, item_id)
    return next(n for n, item in enumerate(show.items) if item is there)


@kept_with_part
def tonight_s(show: Show) -> Fraction:
    """Planned length of what is in tonight, seconds."""
    return sum((item.length_s for item in show.items if not item.out), Fraction(0))
