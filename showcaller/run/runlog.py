"""A run as it is recorded: an append-only log of records, each an input and what came of it.

The same records are written to the journal, published to the desks and kept in the tour. ``input`` alone is
enough to replay the run through the state machine; ``events`` say in plain facts what happened.

Events are small dictionaries. ``kind`` is one of :data:`EVENT_KINDS`; times ending in ``_s`` are seconds into
the item, rounded to the microsecond.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

RUNLOG_VERSION = 1

RECORD_BEGINNING = b'{"seq":'
"""What every record begins with, as bytes."""

EVENT_KINDS: Mapping[str, str] = {
    "run_started": "show, digest (sha256 of the show document), muted, caller, simulated (seed or null)",
    "item_started": "item, at_s (where its clock began; not 0 if picked up midway), planned_start_s",
    "item_ended": "item, length_s (on its own clock, so without holds), planned_s",
    "item_skipped": "item",
    "said": "what (warning, standby), item, line, cues",
    "answered": "departments, cues",
    "fired": "item, cue, go (or null), planned_s, actual_s, by (go, itself, hand)",
    "unanswered": "departments, cues (a go was given without their answer)",
    "wrong": "item, go, cues (the caller says this go was a wrong one)",
    "resent": "cues (their messages once more; nothing was fired)",
    "unplanned_started": "name",
    "unplanned_ended": "name, length_s",
    "walk": "item, step, at_s (null while the walk-on is not on)",
    "handed_over": "from_caller, to_caller",
    "skipped": "item, cue, why",
    "missed": "item, cue, planned_s, late_s (or null), why",
    "taken_back": "item, cues",
    "held": "reason, item, at_s",
    "hold_reason": "reason (given after the hold began)",
    "resumed": "held_s, reason",
    "jumped": "from_item, to_item, cue (or null)",
    "note": "text, to, item, at_s, bar, beat, cue, about (injury, near miss, damage; else empty)",
    "look": (
        "item, cue (or null if by hand), at_s, look, by, beats, over_s, ease, layers (from the back, as "
        "composed: all that is not as usual)"
    ),
    "fault": "panels ([column, row], from 1), what, mended, words, item, at_s, bar",
    "cleared": "clearance, ok, value (or null), by",
    "overridden": "clearance, reason, by",
    "refused": "command, why",
    "muted": "outlet (or null for all), muted",
    "sent": "outlet, cue, late_ms (after the instant it was due), messages",
    "failed": "outlet, cue, why",
    "outlet": "outlet, state (open, closed), why; back again also away_s, attempts, unsent (messages)",
    "remote": "what (empty: a packet that asks for nothing), source, why (null if it was done)",
    "recovered": "gap_s, last_cues (fired just before; look whether they arrived)",
    "gap": "missing (records of the log that are nowhere; 0 if that cannot be told), why",
    "doubtful": "cues (fired, and not known to have left)",
    "settled": "cue, sent (whether its messages left after all, or it was left)",
    "journal": "state (behind, kept, damaged, written anew, mended), why",
    "stalled": "for_s, why (nothing of this engine ran for so long)",
    "wall_clock": "shift_s (the time of day was set by so much; nothing fires by it)",
    "timecode": (
        "what (locked, freewheeling, holding, reversing, moved, followed, stands, asks, by hand, taken, "
        "ignored, on, off), code (hh:mm:ss:ff or null), shift_s (of the item's clock, or null), words"
    ),
    "timecode_port": "state (open, closed, refused), why",
    "resynced": "item, bar, beat, shift_s, at_s (before it)",
    "run_ended": "why, show_s",
}


INCIDENTS = ("injury", "near miss", "damage")
"""What a note may be about. Each is looked at before any figure of how long something took."""


@dataclass(frozen=True, slots=True)
class Record:
    """One step of a run.

    ``seq`` counts from 1 without gaps; ``t_ns`` is monotonic and decides; ``wall_ns`` is Unix time, for
    people.
    """

    seq: int
    t_ns: int
    wall_ns: int
    input: Mapping[str, Any]
    events: tuple[Mapping[str, Any], ...] = ()

    def to_bytes(self) -> bytes:
        """Compact UTF-8 JSON."""
        body = {"seq": self.seq, "t": self.t_ns, "wall": self.wall_ns, "in": self.input, "ev": self.events}
        return json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode()

    @classmethod
    def from_bytes(cls, data: bytes | str) -> "Record":
        """The record in ``data``; raises ValueError when it is not one."""
        body = json.loads(data)
        try:
            return cls(body["seq"], body["t"], body["wall"], body["in"], tuple(body["ev"]))
        except (KeyError, TypeError) as error:
            raise ValueError(f"not a run record: {error}") from None
