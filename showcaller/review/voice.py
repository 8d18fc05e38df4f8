"""The caller's voice beside the keys: what was said, when, and where each second of a late cue arose. Pure.

*Said* is the end of a line's last word as it was heard, *given* the key, *done* the desk's word.
"""

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import pairwise
from statistics import median

from showcaller.archive.values import Remark
from showcaller.hearing import SURE
from showcaller.review.clock_path import Stretch
from showcaller.review.learned import Offer
from showcaller.review.strip import run_ns_at
from showcaller.review.tables import CueRow
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.runlog import Record
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.calls.sheet import CallLine
from showcaller.timing.plan import Plan, PlannedItem
from showcaller.timing.speech import word_count
from showcaller.values import Struct

FEWEST_LINES = 12
"""Fewer lines teach no rate of speaking (common practice, no source)."""
_BREATHS, _BREATH_S = 5, 1.5
"""So many pauses, each shorter than this, are breaths between two lines."""
_WORTH_WPM = 8


class ShowLine(Struct, frozen=True):
    """A line of the plan and about when it was said, or was to be, on the run's clock."""

    id: str
    what: str
    text: str
    cues: tuple[str, ...]
    t_ns: int


class LineHeard(Struct, frozen=True):
    """A line as it was heard, on the run's clock; ``sure`` is 0 to 1, and 1 where a person has said so."""

    line: str
    begins_ns: int
    ends_ns: int
    sure: float = SURE


class SecondsArose(Struct, frozen=True):
    """Where the seconds of a go arose; together they are how late it was, and with the department how late it
    happened. None where an instant is not known."""

    voice_s: float | None
    finger_s: float | None
    network_s: float
    department_s: float | None

    @property
    def words(self) -> str:
        """``voice +0.41, key +0.12, desk +0.20 s``."""
        parts = [("voice", self.voice_s), ("key", self.finger_s), ("desk", self.department_s)]
        if self.network_s >= 0.05:
            parts.insert(2, ("network", self.network_s))
        told = ", ".join(f"{name} {s:+.2f}" for name, s in parts if s is not None)
        return f"{told} s".replace("-", "−") if told else ""


def show_lines(plan: Plan, path: Sequence[Stretch], records: Sequence[Record]) -> tuple[ShowLine, ...]:
    """Every line of the items that were played: at its key where it was keyed, else where it was planned."""
    keyed = _keyed(records)
    begun = {
        e.item: r.t_ns - round(e.at_s * NS)
        for r in records
        for e in r.events
        if isinstance(e, ev.ItemStarted)
    }
    found = []
    for i, (planned, sheet) in enumerate(zip(plan.items, compile_show_calls(plan), strict=True)):
        if planned.item.id not in begun:
            continue
        for line in (*sheet.lines, *sheet.unsaid):
            ident = line_id(planned, line)
            t_ns = keyed.get(ident)
            if t_ns is None:
                t_ns = run_ns_at(path, i, float(line.lands_s)) if line.lands_s > 0 else None
            if t_ns is None:
                t_ns = begun[planned.item.id] + round(line.lands_s * NS)
            cues = tuple(planned.cues[k].cue.id for k in line.cues)
            found.append(ShowLine(ident, line.what, line.text, cues, t_ns))
    return tuple(sorted(found, key=lambda one: one.t_ns))


def line_id(planned: PlannedItem, line: CallLine) -> str:
    """What a line goes by in the log: a go by its go."""
    return line.id if line.go is None else planned.goes[line.go].id


def _keyed(records: Iterable[Record]) -> Mapping[str, int]:
    """Line → when its key was pressed last."""
    found: dict[str, int] = {}
    for record in records:
        if isinstance(record.input, c.Go) and any(
            not isinstance(e, ev.CommandRefused) for e in record.events
        ):
            found[record.input.go] = record.t_ns
        for event in record.events:
            if isinstance(event, ev.LineSaid):
                found[event.line] = record.t_ns
    return found


def heard_text(heard: Iterable[LineHeard]) -> str:
    """As it is kept in the tour, beside the run's remarks."""
    return json.dumps([[h.line, h.begins_ns, h.ends_ns, round(h.sure, 3)] for h in heard])


def heard_in(remarks: Iterable[Remark]) -> tuple[LineHeard, ...]:
    """What was heard of a run, as it was kept last; nothing of what cannot be read."""
    kept = [r.text for r in remarks if r.kind == "heard"]
    if not kept:
        return ()
    try:
        return tuple(LineHeard(str(i), int(a), int(b), float(s)) for i, a, b, s in json.loads(kept[-1]))
    except (ValueError, TypeError):
        return ()


def latenesses(
    records: Sequence[Record], rows: Iterable[CueRow], heard: Iterable[LineHeard], sure: float = SURE
) -> dict[tuple[str, float], SecondsArose]:
    """(cue, its instant in the item) → where its seconds arose, for gos that were heard or told of."""
    said = {h.line: h.ends_ns for h in heard if h.sure >= sure}
    late_ms = {e.cue: e.late_ms for r in records for e in r.events if isinstance(e, ev.MessagesSent)}
    given: dict[tuple[str, float], tuple[str, int]] = {
        (e.cue, e.actual_s): (e.go, r.t_ns)
        for r in records
        for e in r.events
        if isinstance(e, ev.Fired) and e.go is not None
    }
    found = {}
    for row in rows:
        if row.status != "go" or row.actual_s is None or (row.cue, row.actual_s) not in given:
            continue
        go, t_ns = given[row.cue, row.actual_s]
        finger_s = (t_ns - said[go]) / NS if go in said else None
        voice_s = None if finger_s is None or row.late_s is None or not row.firm else row.late_s - finger_s
        if finger_s is None and row.done_s is None:
            continue
        network_s = max(0.0, late_ms.get(row.cue, 0.0) / 1000)
        department_s = None if row.done_s is None else row.done_s - network_s
        found[row.cue, row.actual_s] = SecondsArose(voice_s, finger_s, network_s, department_s)
    return found


def not_keyed(
    lines: Iterable[ShowLine], records: Sequence[Record], heard: Iterable[LineHeard], sure: float = SURE
) -> tuple[tuple[ShowLine, ...], tuple[ShowLine, ...]]:
    """(standbys and warnings that were spoken and not keyed, those that were keyed and not heard)."""
    keyed, said = _keyed(records), {h.line for h in heard if h.sure >= sure}
    calls = [line for line in lines if line.what != "go"]
    spoken = tuple(x for x in calls if x.id in said and x.id not in keyed)
    silent = tuple(x for x in calls if x.id in keyed and x.id not in said)
    return spoken, silent


def speaking_offers(
    plan: Plan, lines: Iterable[ShowLine], heard: Sequence[LineHeard], sure: float = SURE
) -> tuple[Offer, ...]:
    """The caller's own rate, and breath between two lines, to be taken into the book; never by themselves."""
    texts, speaking = {x.id: x.text for x in lines}, plan.show.speaking
    mine = sorted((h for h in heard if h.sure >= sure and h.line in texts), key=lambda h: h.begins_ns)
    rates = [
        60 * word_count(texts[h.line], speaking.wording.language) / ((h.ends_ns - h.begins_ns) / NS)
        for h in mine
        if h.ends_ns > h.begins_ns
    ]
    found = []
    if len(rates) >= FEWEST_LINES:
        rate = max(60, min(300, round(median(rates))))
        if abs(rate - speaking.words_per_minute) >= _WORTH_WPM:
            words = f"You speak {rate} words a minute; the plan has {speaking.words_per_minute}."
            detail = f"the middle of {len(rates)} lines heard in the headset track"
            found.append(
                Offer(
                    "speaking rate",
                    words,
                    detail,
                    f"{len(rates)} lines",
                    ("speaking",),
                    {"words_per_minute": rate},
                )
            )
    pauses = [(b.begins_ns - a.ends_ns) / NS for a, b in pairwise(mine)]
    breaths = [p for p in pauses if 0.05 < p < _BREATH_S]
    if len(breaths) >= _BREATHS:
        breath_s = round(median(breaths), 2)
        if abs(breath_s - float(speaking.breath_s)) >= 0.1:
            words = (
                f"You breathe {breath_s:g} s between two lines; the plan has {float(speaking.breath_s):g} s."
            )
            detail = f"the middle of {len(breaths)} pauses"
            found.append(
                Offer(
                    "breath", words, detail, f"{len(breaths)} pauses", ("speaking",), {"breath_s": breath_s}
                )
            )
    return tuple(found)
