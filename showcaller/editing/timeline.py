"""A song's sections and cues as markers of an OpenTimelineIO timeline, and sections back from one."""

import json
from fractions import Fraction
from typing import Any

import opentimelineio as otio

from showcaller.editing.placing import cue_name
from showcaller.model import Show, Song
from showcaller.model.quantities import LONGEST_S
from showcaller.model.strictjson import loads
from showcaller.timing.plan import compile_item
from showcaller.timing.timecode import rate_named

RATE = 1000.0
"""Milliseconds: sections need not fall on frames."""


_PARTS_OF_TIMES: dict[str, dict[str, str | None]] = {
    "RationalTime": {"rate": None, "value": None},
    "TimeRange": {"duration": "RationalTime", "start_time": "RationalTime"},
    "TimeTransform": {"offset": "RationalTime", "rate": None, "scale": None},
}
"""The parts of each kind of time: numbers, or times themselves."""


class TimelineError(ValueError):
    """A timeline that cannot be used; one sentence."""


def song_timeline(show: Show, song: Song) -> str:
    """OpenTimelineIO JSON: a gap as long as the song, with a marker for each section and each cue."""
    planned = compile_item(song, show.timecode_rate)
    gap = otio.schema.Gap(duration=_time(song.length_s))
    if planned.tempo is not None and song.sections:
        starts = [song.downbeat_s + planned.tempo.seconds(s.bar) for s in song.sections]
        ends = [*starts[1:], song.length_s]
        for section, start, end in zip(song.sections, starts, ends, strict=True):
            gap.markers.append(_marker(section.name, start, max(Fraction(0), end - start), "section"))
    for cue in planned.cues:
        gap.markers.append(
            _marker(f"{cue_name(show, cue.cue)} {cue.cue.label}", cue.at_s, Fraction(0), "cue")
        )
    track = otio.schema.Track(name=song.name, kind=otio.schema.TrackKind.Video)
    track.append(gap)
    timeline = otio.schema.Timeline(name=song.name)
    timeline.tracks.append(track)
    timeline.metadata["showcaller"] = {"item": song.id, "rate": rate_named(show.timecode_rate).name}
    return str(otio.adapters.write_to_string(timeline, "otio_json"))


def sections_of(text: str, song: Song) -> list[dict[str, Any]]:
    """Sections for a song with tempo: from a timeline's section markers, else its markers, else its clips.

    Each begins at the bar line nearest to it.

    Raises:
        TimelineError: not a timeline, nothing in it to name a section, or the song has no bars.
    """
    try:
        # The library's own reader of JSON can be made to overrun its stack; what Python has read cannot.
        document = loads(text)
        _look_at_times(document)
        timeline = otio.adapters.read_from_string(json.dumps(document), "otio_json")
    except (TimelineError, MemoryError):  # how much there may be is said by who set the limit
        raise
    except RecursionError:
        raise TimelineError("this is not an OpenTimelineIO file: it is nested too deeply") from None
    except Exception as error:  # the library raises many kinds of its own
        raise TimelineError(f"this is not an OpenTimelineIO file ({_first_line(error)})") from None
    if not isinstance(timeline, otio.schema.Timeline):
        raise TimelineError("this file holds no timeline; write one out of the editing program")
    tempo = compile_item(song, "25").tempo
    if tempo is None:
        raise TimelineError(f"{song.name} has no tempo, so no bars for sections; give it one first")
    found: dict[int, str] = {}
    try:
        named = _named(timeline)
    except MemoryError:
        raise
    except Exception as error:  # a rate that is no number, a range without one: the library's own kinds too
        why = _first_line(error)
        raise TimelineError(f"a time in this timeline makes no sense ({why}); write it again") from None
    for name, at_s in named:
        if at_s > LONGEST_S:
            raise TimelineError(f"'{name}' is {float(at_s):.3g} s in, more than a week; is its rate right?")
        bar, beat = tempo.position(max(Fraction(0), at_s - song.downbeat_s))
        found[bar + 1 if beat - 1 > tempo.beats_in_bar(bar) / 2 else bar] = name
    if not found:
        raise TimelineError("there is no marker and no named clip in this timeline")
    return [{"name": name, "bar": bar} for bar, name in sorted(found.items())]


def _look_at_times(document: Any) -> None:
    """Times are as OpenTimelineIO has them (its serialized data, "opentime"), and so are markers' places: any
    other ends the library.

    Raises:
        TimelineError: one is of another version, lacks a part, or holds something else.
    """
    left = [document]
    while left:
        value = left.pop()
        if isinstance(value, list):
            left += value
        if not isinstance(value, dict):
            continue
        left += value.values()
        schema = value.get("OTIO_SCHEMA")
        kind, _, version = schema.partition(".") if isinstance(schema, str) else ("", "", "")
        if kind == "Marker" and version != "2" and "marked_range" in value:  # it was "range" before
            raise TimelineError("a marker in this timeline is of no version that there was; write it again")
        if kind not in _PARTS_OF_TIMES:
            continue
        parts = _PARTS_OF_TIMES[kind]
        if version != "1" or value.keys() - {"OTIO_SCHEMA"} != parts.keys():
            raise TimelineError(f"a time in this timeline is no {kind} of version 1; write it again")
        for name, wanted in parts.items():
            part = value[name]
            number = isinstance(part, int | float) and not isinstance(part, bool)
            of = part.get("OTIO_SCHEMA") if isinstance(part, dict) else None
            if not (number if wanted is None else of == f"{wanted}.1"):
                raise TimelineError(f"a time in this timeline has no usable '{name}'; write it again")


def _first_line(error: Exception) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0]


def _named(timeline: Any) -> list[tuple[str, Fraction]]:
    markers: list[tuple[str, Fraction, str]] = []
    clips: list[tuple[str, Fraction]] = []
    for track in timeline.tracks:
        for child in track:
            if isinstance(child, otio.schema.Transition):
                continue
            start = track.range_of_child(child).start_time
            if isinstance(child, otio.schema.Clip) and child.name:
                clips.append((child.name, _seconds(start)))
            trimmed = child.trimmed_range().start_time
            for marker in child.markers:
                at = start + marker.marked_range.start_time - trimmed
                kind = marker.metadata.get("showcaller", {}).get("is", "")
                markers.append((marker.name, _seconds(at), kind))
        markers += [(m.name, _seconds(m.marked_range.start_time), "") for m in track.markers]
    sections = [m for m in markers if m[2] == "section"] or [m for m in markers if m[2] != "cue"]
    return sorted(((n, s) for n, s, _ in sections if n), key=lambda m: m[1]) or clips


def _time(seconds: Fraction) -> Any:
    return otio.opentime.RationalTime(float(round(seconds * int(RATE))), RATE)


def _seconds(time: Any) -> Fraction:
    return Fraction(time.value).limit_denominator(10**6) / Fraction(time.rate).limit_denominator(10**6)


def _marker(name: str, at_s: Fraction, length_s: Fraction, what: str) -> Any:
    marked = otio.opentime.TimeRange(_time(at_s), _time(length_s))
    return otio.schema.Marker(name=name, marked_range=marked, metadata={"showcaller": {"is": what}})
