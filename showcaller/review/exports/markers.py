"""Markers for an editor: OpenTimelineIO, and CMX 3600 EDL with locators; written by OpenTimelineIO itself."""

from datetime import datetime
from fractions import Fraction
from pathlib import Path

import opentimelineio as otio

from showcaller.review.moments import Moment
from showcaller.review.report import RunReport
from showcaller.review.tape_clock import TapeClock
from showcaller.timing.timecode import frame_number, rate_named

_COLOURS = {
    "cue": "GREEN",
    "look": "CYAN",
    "note": "YELLOW",
    "incident": "RED",
    "fault": "RED",
    "item": "BLUE",
    "page": "MAGENTA",
}


def timeline(
    report: RunReport, clock: TapeClock | None, path: str | None, timecode: str | None
) -> otio.schema.Timeline:
    """One clip as long as the run with a marker at every moment.

    Args:
        clock: the recorder's; None for the start of the show.
        path: the recording, if there is one.
        timecode: that of its first frame; the time of day where it carries none.
    """
    rate = rate_named(report.plan.show.timecode_rate)
    fps = float(rate.fps)
    begun_ns = next(m.t_ns for m in report.moments if m.kind == "item")
    clock = TapeClock(begun_ns) if clock is None else clock
    length = max(1, _frames(clock, begun_ns + report.fall.actual_length_ns, rate.fps))
    start = _start_frame(report, clock.zero_ns, timecode)
    whole = otio.opentime.TimeRange(_time(start, fps), _time(length, fps))
    media: otio.core.MediaReference = otio.schema.MissingReference()
    if path:
        media = otio.schema.ExternalReference(
            target_url=Path(path).absolute().as_uri(), available_range=whole
        )
    name = Path(path).stem if path else f"run-{report.run.number}"
    clip = otio.schema.Clip(name=name, media_reference=media, source_range=whole)
    for moment in report.moments:
        at = _frames(clock, moment.t_ns, rate.fps)
        if 0 <= at < length:
            clip.markers.append(_marker(moment, start + at, fps))
    track = otio.schema.Track(name="V1", kind=otio.schema.TrackKind.Video, children=[clip])
    made = otio.schema.Timeline(name=report.title, global_start_time=_time(start, fps))
    made.metadata["showcaller"] = {"rate": rate.name}
    made.tracks.append(track)
    return made


def otio_text(found: otio.schema.Timeline) -> str:
    """As ``.otio``."""
    return str(otio.adapters.write_to_string(found, adapter_name="otio_json"))


def edl_text(found: otio.schema.Timeline) -> str:
    """As a CMX 3600 edit list; the moments are its ``LOC`` lines.

    Its FCM line says how the codes count. What the names in it hold says nothing: a ``;`` may stand in any.
    """
    rate = rate_named(str(found.metadata["showcaller"]["rate"]))
    plain = found.deepcopy()
    # At 29.97 the library takes every code to drop frames. The frames' own numbers at the rate of the labels
    # (30) give the same labels and no doubt; a rate that does drop keeps its true one.
    fps = float(rate.fps) if rate.dropped else float(rate.labels)
    plain.name = _line(plain.name)
    plain.global_start_time = _time(round(plain.global_start_time.value), fps)
    for clip in plain.find_clips():
        # A reel name has eight characters, and none of them a space.
        clip.metadata["cmx_3600"] = {"reel": "".join(c for c in clip.name.upper() if c.isalnum())[:8] or "AX"}
        clip.name = _line(clip.name)
        clip.source_range = _relabelled(clip.source_range, fps)
        clip.media_reference.available_range = None
        for marker in clip.markers:
            marker.marked_range = _relabelled(marker.marked_range, fps)
    text = str(otio.adapters.write_to_string(plain, adapter_name="cmx_3600", rate=fps))
    head, *lines = text.splitlines()
    if rate.dropped:
        # In locators some readers know only colons; the first semicolon is in the code, which comes first.
        lines = [line.replace(";", ":", 1) if line.startswith("* LOC:") else line for line in lines]
    return "\n".join([head, f"FCM: {'DROP FRAME' if rate.dropped else 'NON-DROP FRAME'}", *lines]) + "\n"


def _line(words: str) -> str:
    """Words that cannot end a line of the list."""
    return " ".join("".join(c if c.isprintable() else " " for c in words).split())


def _relabelled(span: otio.opentime.TimeRange, fps: float) -> otio.opentime.TimeRange:
    """The same frames at another rate."""
    return otio.opentime.TimeRange(
        _time(round(span.start_time.value), fps), _time(round(span.duration.value), fps)
    )


def _marker(moment: Moment, at: int, fps: float) -> otio.schema.Marker:
    words = f"{moment.name}: {moment.words}" if moment.words else moment.name
    return otio.schema.Marker(
        name=_line(words),
        marked_range=otio.opentime.TimeRange(_time(at, fps), _time(0, fps)),
        color=_COLOURS[moment.kind],
        metadata={
            "showcaller": {
                "kind": moment.kind, "item": moment.item, "cue": moment.cue, "department": moment.department,
                "t_ns": str(moment.t_ns),
            }
        },
    )  # fmt: skip


def _time(frames: int, fps: float) -> otio.opentime.RationalTime:
    return otio.opentime.RationalTime(frames, fps)


def _frames(clock: TapeClock, t_ns: int, fps: Fraction) -> int:
    return int(clock.file_s(t_ns) * fps // 1)


def _start_frame(report: RunReport, zero_ns: int, timecode: str | None) -> int:
    """The number in the day of the first frame: its own code, or the time of day it was."""
    rate = report.plan.show.timecode_rate
    if timecode is not None:
        return frame_number(timecode, rate)
    at = datetime.fromtimestamp(report.wall_ns(zero_ns) / 1e9, report.zone)
    seconds = Fraction(at.hour * 3600 + at.minute * 60 + at.second) + Fraction(at.microsecond, 10**6)
    return int(seconds * rate_named(rate).fps // 1)
