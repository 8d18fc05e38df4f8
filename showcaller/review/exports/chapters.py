"""WebVTT (W3C): a run's items as chapters of its recording, and its cues and notes as a second track."""

from collections.abc import Sequence

from showcaller.review.moments import Moment
from showcaller.review.report import RunReport
from showcaller.review.tape_clock import TapeClock

SHOWN_S = 4.0
"""How long a cue or a note stands, unless the next comes sooner."""


def chapters(report: RunReport, clock: TapeClock | None = None) -> str:
    """Items as chapters. Times are seconds into the recording with this clock; without one, from the start of
    the first item."""
    items = [m for m in report.moments if m.kind == "item"]
    return _file(report, items, clock, lambda m: m.name, until_next=True)


def cue_track(report: RunReport, clock: TapeClock | None = None) -> str:
    """Cues, looks, notes and faults as text over the picture."""
    shown = [m for m in report.moments if m.kind != "item"]
    return _file(report, shown, clock, lambda m: f"{m.name}: {m.words}" if m.words else m.name)


def _file(report: RunReport, found, clock, words, until_next: bool = False) -> str:  # type: ignore[no-untyped-def]
    clock = TapeClock(_begun(report)) if clock is None else clock
    end_s = float(clock.file_s(_begun(report) + report.fall.actual_length_ns))
    together = _together(found, clock)
    lines = ["WEBVTT", "", f"NOTE {_plain(report.title)}", ""]
    for n, (at_s, mine) in enumerate(together):
        after_s = together[n + 1][0] if n + 1 < len(together) else max(end_s, at_s + 0.001)
        until_s = after_s if until_next else min(after_s, at_s + SHOWN_S)
        if until_s <= max(at_s, 0.0):
            continue
        lines += [str(n + 1), f"{_stamp(max(at_s, 0.0))} --> {_stamp(until_s)}"]
        lines += [_plain(words(m)) for m in mine] + [""]
    return "\n".join(lines)


def _together(found: Sequence[Moment], clock: TapeClock) -> list[tuple[float, list[Moment]]]:
    """Moments of one millisecond are one cue: a chapter of no length would be none."""
    groups: list[tuple[float, list[Moment]]] = []
    for moment in found:
        at_s = round(float(clock.file_s(moment.t_ns)), 3)
        if groups and groups[-1][0] == at_s:
            groups[-1][1].append(moment)
        else:
            groups.append((at_s, [moment]))
    return groups


def _begun(report: RunReport) -> int:
    return next(m.t_ns for m in report.moments if m.kind == "item")


def _stamp(seconds: float) -> str:
    whole_ms = round(seconds * 1000)
    rest, ms = divmod(whole_ms, 1000)
    minutes, s = divmod(rest, 60)
    hours, m = divmod(minutes, 60)
    return f"{hours:02}:{m:02}:{s:02}.{ms:03}"


def _plain(words: str) -> str:
    """Cue text: markup's own signs escaped, one line, and never the arrow that separates times."""
    one = " ".join(words.split())
    return one.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
