"""Numbers as the desk writes them. Text is made here and nowhere else."""

from datetime import datetime, tzinfo
from fractions import Fraction

from showcaller.model.clockwords import m_ss
from showcaller.timing.wording import go_words

Number = float | Fraction
MINUS = "−"


def span(seconds: Number) -> str:
    """A length: ``4:36``, ``1:14:32``; whole seconds, rounded down, a minus sign if negative."""
    whole = int(abs(float(seconds)))
    sign = MINUS if seconds < 0 and whole else ""
    return f"{sign}{m_ss(whole)}"


def drift(seconds: Number) -> str:
    """A difference: ``+0:48``, ``−1:02``, ``0:00``."""
    whole = round(float(seconds))
    return f"+{span(whole)}" if whole > 0 else span(whole)


def lateness(seconds: Number) -> str:
    """How late a go was: ``+0.2 s``, ``−0.6 s``, ``on time`` within a twentieth of a second."""
    late_s = float(seconds)
    if abs(late_s) < 0.05:
        return "on time"
    if abs(late_s) >= 60:
        return drift(late_s)
    return f"{'+' if late_s > 0 else MINUS}{abs(late_s):.1f} s"


def seconds_moved(seconds: Number) -> str:
    """By how much a clock was moved: ``+0.32 s``, ``−1.20 s``."""
    moved_s = float(seconds)
    return f"{'+' if moved_s >= 0 else MINUS}{abs(moved_s):.2f} s"


def day_time(wall_ns: int, zone: tzinfo) -> str:
    """Time of day in a time zone, ``21:14:32``."""
    return datetime.fromtimestamp(wall_ns / 1e9, zone).strftime("%H:%M:%S")


def percent(share: float) -> str:
    """``97 %``; near the ends ``> 99 %`` and ``< 1 %``, since nothing about a show is certain."""
    if share > 0.995:
        return "> 99 %"
    return "< 1 %" if share < 0.005 else f"{round(share * 100)} %"


def plural(count: int, one: str, many: str | None = None) -> str:
    """``1 cue``, ``2 cues``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def said_aloud(text: str) -> str:
    """A call line as it is shown: the *go* set off, as it is in the caller's breath."""
    head, comma, last = text.rpartition(", ")
    return f"{head} — {last}" if comma and last in go_words() else text
