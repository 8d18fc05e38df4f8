"""Timecode in a few words, for the caller. Pure."""

from typing import Literal

from showcaller.calling.wording import lateness
from showcaller.run.compiled import NS
from showcaller.run.following import timecode_label, verdict
from showcaller.run.runbook import RunBook

Said = tuple[str, Literal["text", "quiet", "caution", "missed"]]
"""Words and their tone."""


def source_words(book: RunBook, now_ns: int) -> Said | None:
    """How timecode comes in; None for a show without it."""
    state = book.state
    if book.compiled.timecode is None:
        return None
    if state.phase == "idle":
        return "not open", "quiet"
    port, why = book.timecode_port
    timecode = timecode_label(book.compiled, state, now_ns)
    if timecode is not None and state.timecode.mode == "locked":
        return f"{timecode[:8]} locked", "quiet"  # the frames would only flicker
    if timecode is not None and state.timecode.mode == "freewheeling":
        return f"{timecode[:8]} freewheeling {_since_s(book, now_ns):.0f} s", "caution"
    if port != "open":
        return why or "not open yet", "missed"
    return {"reversing": "runs backwards", "holding": "lost"}.get(state.timecode.mode, "none yet"), "quiet"


def song_words(book: RunBook, now_ns: int) -> Said | None:
    """What timecode does to the clock of the song that is on; None while it does nothing."""
    state = book.state
    if book.compiled.timecode is None or state.clock_ns is None or state.phase == "ended":
        return None
    if state.lead == "asks":
        clock_ns = verdict(book.compiled, state, now_ns).clock_ns
        shown_ns = state.item_ns(now_ns)
        if clock_ns is None or shown_ns is None:
            return "timecode has jumped", "caution"
        off_s = (now_ns - clock_ns - shown_ns) / NS
        return f"timecode {lateness(off_s)}: follow?", "caution"
    if state.lead == "stands":
        return "timecode lost: stopped", "missed"
    if state.lead == "timecode" and state.timecode.mode == "freewheeling":
        return f"freewheeling {_since_s(book, now_ns):.0f} s", "caution"
    return ("on timecode", "text") if state.lead == "timecode" else None


def _since_s(book: RunBook, now_ns: int) -> float:
    return max(0.0, (now_ns - book.timecode_since_ns) / NS)
