"""Cameras over a song: their shots, who is busy or free, what is said to them, what cannot be. Pure."""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from showcaller.editing import Change, ChangeError, Put, SetFields, Take
from showcaller.model import CameraShot, Show, Song, Source
from showcaller.model.clockwords import m_ss
from showcaller.screen.looks import Looks
from showcaller.timing.plan import PlannedItem
from showcaller.values import Struct

READY_S = 8.0
"""A camera is told to be ready so long before it is taken (common practice, no source)."""
SHOT_HINT = "camera, bars: shot; lens; move, such as 2, 33-48: hands; 85 mm; push in. Empty takes it out"


class CameraNow(Struct, frozen=True):
    """A camera at an instant: ``state`` is on, next, ready (it has a shot) or free."""

    number: int
    source: Source
    shot: CameraShot | None
    state: str
    words: str


class CameraCall(Struct, frozen=True):
    """A line said to a camera, s into the item; below 0 before it begins."""

    at_s: float
    text: str


def cameras_of(show: Show) -> tuple[Source, ...]:
    """The cameras, in order; their numbers are their places from 1."""
    return tuple(s for s in show.sources if s.kind == "camera")


def shots_of(planned: PlannedItem) -> tuple[CameraShot, ...]:
    """An item's shots, by when they begin."""
    shots = planned.item.shots if isinstance(planned.item, Song) else ()
    return tuple(sorted(shots, key=lambda s: (s.bar, s.until_bar)))


def span_s(planned: PlannedItem, shot: CameraShot) -> tuple[float, float]:
    """From when to when a shot is, s into the item."""
    if planned.tempo is None or not isinstance(planned.item, Song):
        return 0.0, float(planned.item.length_s)
    zero = planned.item.downbeat_s
    return (
        float(planned.tempo.seconds(shot.bar) + zero),
        float(planned.tempo.seconds(shot.until_bar + 1) + zero),
    )


def cameras_now(
    show: Show, planned: PlannedItem, looks: Looks, at_s: float, on: frozenset[str]
) -> tuple[CameraNow, ...]:
    """Every camera at an instant of an item; ``on`` are the sources seen on the wall."""
    coming = next((s for s in looks.standing if s.at_s > at_s + 1e-6), None)
    after = set() if coming is None else {layer.source for layer in coming.look.layers}
    found = []
    for number, source in enumerate(cameras_of(show), 1):
        mine = [(span_s(planned, s), s) for s in shots_of(planned) if s.camera == source.id]
        now = next((s for (start, end), s in mine if start <= at_s < end), None)
        later = next(((start, s) for (start, _), s in mine if start > at_s), None)
        shot = now or (later[1] if later is not None else None)
        if source.id in on:
            state, words = "on", "on the wall"
        elif source.id in after and coming is not None:
            state, words = "next", f"in {m_ss(max(0, round(coming.at_s - at_s)))}"
        elif now is not None:
            state, words = "ready", f"ready, to bar {now.until_bar}"
        else:
            state, words = "free", "free" if later is None else f"free until bar {later[1].bar}"
        found.append(CameraNow(number, source, shot, state, words))
    return tuple(found)


def camera_calls(show: Show, planned: PlannedItem, looks: Looks) -> tuple[CameraCall, ...]:
    """``Ready 3, hands, 85 mm`` and ``Take 3`` for every camera that comes on the wall, in order of time."""
    numbers = {c.id: n for n, c in enumerate(cameras_of(show), 1)}
    found: list[CameraCall] = []
    before: set[str] = set()
    taken_s = -READY_S
    for standing in looks.standing:
        now = {x.source for x in standing.look.layers if x.source in numbers}
        new = sorted(now - before, key=numbers.__getitem__)
        if new and standing.cue:
            ready = ", ".join(_ready_words(planned, standing.at_s, numbers[c], c) for c in new)
            found.append(CameraCall(max(taken_s, standing.at_s - READY_S), f"Ready {ready}"))
            found.append(CameraCall(standing.at_s, f"Take {' and '.join(str(numbers[c]) for c in new)}"))
            taken_s = standing.at_s
        before = now
    return tuple(found)


def _ready_words(planned: PlannedItem, at_s: float, number: int, camera: str) -> str:
    for shot in shots_of(planned):
        start, end = span_s(planned, shot)
        if shot.camera == camera and start - 1e-6 <= at_s < end:
            return ", ".join(filter(None, (f"{number}, {shot.what}", shot.lens)))
    return str(number)


def camera_conflicts(show: Show, planned: PlannedItem, looks: Looks) -> tuple[str, ...]:
    """What cannot be, a sentence each: two shots of one camera at once; a camera on the wall that has another
    song's shot, or none, while this song has shots."""
    shots, found = shots_of(planned), []
    for number, source in enumerate(cameras_of(show), 1):
        mine = [s for s in shots if s.camera == source.id]
        for first, second in ((a, b) for n, a in enumerate(mine) for b in mine[n + 1 :]):
            if second.bar <= first.until_bar:
                found.append(
                    f"camera {number} ({source.name}) has two shots at once: “{first.what}” to bar "
                    f"{first.until_bar} and “{second.what}” from bar {second.bar}; end one earlier"
                )
        spans = [span_s(planned, s) for s in mine]
        for standing in looks.standing if shots else ():
            shown = any(x.source == source.id for x in standing.look.layers)
            if shown and standing.cue and not any(a - 1e-6 <= standing.at_s < b for a, b in spans):
                bar = "" if standing.bar is None else f" at bar {standing.bar}"
                found.append(
                    f"camera {number} ({source.name}) comes on the wall{bar} with “{standing.look.name}” and "
                    "has no shot there; give it one, or change the look"
                )
    return tuple(found)


# Typed


def shot_text(show: Show, shot: CameraShot) -> str:
    """``2, 33-48: hands; 85 mm; push in``."""
    number = next((n for n, c in enumerate(cameras_of(show), 1) if c.id == shot.camera), 0)
    rest = "; ".join(filter(None, (shot.what, shot.lens or ("-" if shot.move else None), shot.move)))
    return f"{number}, {shot.bar}-{shot.until_bar}: {rest}"


def shot_change(show: Show, song: str, index: int | None, text: str) -> tuple[str, Change]:
    """What typing into a shot's line does; ``index`` is None for one more.

    Raises:
        ChangeError: it means nothing, or the item is no song with bars.
    """
    item = next((i for i in show.items if i.id == song), None)
    if not isinstance(item, Song) or not item.tempo:
        raise ChangeError("shots are of a song with bars; give it a tempo in the Book first")
    at = ("items", song, "shots")
    if not text.strip():
        if index is None:
            raise ChangeError(f"type {SHOT_HINT}")
        return f"shot of {_shot_words(show, item.shots[index].model_dump())} in {item.name} taken out", Take(
            at=at, key=index
        )
    fields = shot_from(show, text)
    words = f"shot of {_shot_words(show, fields)} in {item.name}"
    if index is None:
        return f"new {words}", Put(at=at, index=len(item.shots), part=fields)
    return words, SetFields(at=(*at, index), fields={"lens": None, "move": None, **fields})


def _shot_words(show: Show, fields: Mapping[str, Any]) -> str:
    """``Gate camera, bar 9``."""
    names = {s.id: s.name for s in show.sources}
    return f"{names.get(fields['camera'], fields['camera'])}, bar {fields['bar']}"


def shot_from(show: Show, text: str) -> dict[str, Any]:
    """The fields of a shot that was typed.

    Raises:
        ChangeError: no camera of that name or number, no bars, or no shot.
    """
    found = re.fullmatch(r"\s*(.+?),\s*(?:bars?\s*)?(\d+)\s*(?:[-–]|to)\s*(\d+)\s*:\s*(.+?)\s*", text)
    if found is None:
        raise ChangeError(f"a shot: type {SHOT_HINT}; not '{text.strip()[:40]}'")
    name, first, last, rest = found.groups()
    what, *more = [p.strip() for p in rest.split(";")]
    extra = {n: v for n, v in zip(("lens", "move"), more, strict=False) if v and v != "-"}
    if int(last) < int(first):
        raise ChangeError(f"a shot from bar {first} cannot end in bar {last}; give a later one")
    return {"camera": _camera(show, name), "bar": int(first), "until_bar": int(last), "what": what, **extra}


def _camera(show: Show, text: str) -> str:
    known: Sequence[Source] = cameras_of(show)
    word = text.strip().lower().removeprefix("camera ").strip()
    if word.isdecimal() and 1 <= int(word) <= len(known):
        return known[int(word) - 1].id
    meant = [c for c in known if word in c.name.lower()]
    if len(meant) == 1:
        return meant[0].id
    have = ", ".join(f"{n} {c.name}" for n, c in enumerate(known, 1)) or "none yet"
    raise ChangeError(f"'{text.strip()}' is not one of the cameras; there are {have}")
