"""What the book shows of an item, worked out once when the item is chosen. Pure."""

from fractions import Fraction
from functools import lru_cache

from showcaller.calling.wording import percent, plural, span
from showcaller.model import (
    Department,
    Show,
    Song,
)
from showcaller.model.base import ById
from showcaller.timing.calls.sheet import CallSheet
from showcaller.timing.plan import PlannedItem
from showcaller.timing.tempo import TempoMap
from showcaller.values import Struct


class Mark(Struct, frozen=True):
    """A cue on its lane: where its go is and where its standby begins, in seconds into the item."""

    cue: int
    lane: int
    number: str
    at_s: float
    standby_s: float | None
    automatic: bool
    firm: bool


class Spoken(Struct, frozen=True):
    """A stretch in which the caller speaks."""

    starts_s: float
    ends_s: float
    go: bool
    collides: bool = False


class Words(Struct, frozen=True):
    """A line of the lyrics: from when until when there is room for it, and its words with their seconds."""

    text: str
    starts_s: float
    until_s: float
    words: tuple[tuple[float, str], ...]


class StripView(Struct, frozen=True):
    """An item drawn: its bars (number and second), sections, lanes, marks, what the caller speaks, what
    is sung."""

    title: str
    facts: str
    length_s: float
    bars: tuple[tuple[int, float], ...]
    sections: tuple[tuple[str, float, float], ...]
    tempo: tuple[tuple[float, float], ...]
    lanes: tuple[Department, ...]
    marks: tuple[Mark, ...]
    spoken: tuple[Spoken, ...]
    collisions: tuple[str, ...]
    lyrics: tuple[Words, ...] = ()


def strip_view(show: Show, planned: PlannedItem, sheet: CallSheet) -> StripView:
    """The strip of an item."""
    item = planned.item
    length_s = float(item.length_s)
    lane = {d.id: n for n, d in enumerate(show.departments)}
    begins = {k: float(line.starts_s) for line in sheet.lines if line.what == "standby" for k in line.cues}
    marks = tuple(
        Mark(
            k,
            lane[c.cue.department],
            str(c.cue.number),
            float(c.at_s),
            begins.get(k),
            c.automatic,
            c.firm,
        )
        for k, c in enumerate(planned.cues)
    )
    crowded = {k for c in sheet.collisions for k in c.cues}
    spoken = tuple(
        Spoken(float(x.starts_s), float(x.lands_s), x.what == "go", bool(crowded & set(x.cues)))
        for x in sheet.lines
    )
    return StripView(
        item.name,
        _facts(planned, sheet),
        length_s,
        _bars(planned),
        _sections(planned),
        _tempo(planned),
        show.departments,
        marks,
        spoken,
        (*(p.sentence for p in planned.problems), *(c.sentence for c in sheet.collisions)),
        _lyrics(planned),
    )


def _lyrics(planned: PlannedItem) -> tuple[Words, ...]:
    sung = planned.lyrics
    until = [*(float(line.begins_s) for line in sung[1:]), float(planned.item.length_s)]
    return tuple(
        Words(
            line.line.text,
            float(line.begins_s),
            end,
            tuple(zip(map(float, line.words_s), line.line.words, strict=True)),
        )
        for line, end in zip(sung, until, strict=False)
    )


def _facts(planned: PlannedItem, sheet: CallSheet) -> str:
    item = planned.item
    parts = [span(item.length_s)]
    if isinstance(item, Song) and planned.tempo is not None:
        tempos = [float(m.bpm) for m in item.tempo]
        low, high = min(tempos), max(tempos)
        parts.append(f"{low:g} bpm" if low == high else f"{low:g} to {high:g} bpm")
        opening = [] if any(m.bar == 1 for m in item.meters) else ["4/4"]
        parts.append(", ".join(dict.fromkeys([*opening, *(m.meter for m in item.meters)])))
        parts.append(plural(_last_bar(planned), "bar"))
    elif isinstance(item, Song):
        parts.append("no tempo (by eye)")
    else:
        parts.append(item.kind)
    parts.append(plural(len(planned.cues), "cue"))
    parts.append(f"caller speaking {percent(float(sheet.load))} of the time")
    return " · ".join(parts)


def _last_bar(planned: PlannedItem) -> int:
    position = planned.bar_at(Fraction(planned.item.length_s))
    return max(1, position[0] - 1 if position and position[1] == 1 else position[0] if position else 1)


def _bars(planned: PlannedItem) -> tuple[tuple[int, float], ...]:
    item = planned.item
    if planned.tempo is None or not isinstance(item, Song):
        return ()
    return _bar_lines(ById(planned.tempo), item.downbeat_s, _last_bar(planned))


@lru_cache(maxsize=256)
def _bar_lines(tempo: ById, downbeat_s: Fraction, last: int) -> tuple[tuple[int, float], ...]:
    """Every bar's second; remembered, since moving a cue does not move the bars."""
    bars: TempoMap = tempo.part
    return tuple(enumerate(bars.bar_starts_s(last, downbeat_s), start=1))


def _sections(planned: PlannedItem) -> tuple[tuple[str, float, float], ...]:
    item = planned.item
    if planned.tempo is None or not isinstance(item, Song) or not item.sections:
        return ()
    starts = [float(item.downbeat_s + planned.tempo.seconds(s.bar)) for s in item.sections]
    ends = [*starts[1:], float(item.length_s)]
    return tuple((s.name, a, b) for s, a, b in zip(item.sections, starts, ends, strict=True))


def _tempo(planned: PlannedItem) -> tuple[tuple[float, float], ...]:
    """(second, bpm) through the song, for its curve; empty where the tempo does not change."""
    item = planned.item
    if planned.tempo is None or not isinstance(item, Song) or len({m.bpm for m in item.tempo}) < 2:
        return ()
    count = 240
    step = item.length_s / count
    return tuple(
        (float(step * n), float(planned.tempo.bpm(step * n - item.downbeat_s))) for n in range(count + 1)
    )
