"""Where a cue lands that is put or dragged by hand: on a beat where there are beats, else on a tenth."""

from fractions import Fraction
from typing import Any

from showcaller.model import (
    AfterAnchor,
    BarAnchor,
    Song,
    TimeAnchor,
    TimecodeAnchor,
    VisualAnchor,
    WordAnchor,
)
from showcaller.model.quantities import to_json
from showcaller.timing.lyrics import word_instant
from showcaller.timing.plan import PlannedCue, PlannedItem

TENTH = Fraction(1, 10)


def anchor_near(planned: PlannedItem, at_s: float, step: Fraction = Fraction(1)) -> dict[str, Any]:
    """The anchor for a new cue near ``at_s`` seconds into the item, on a grid of ``step`` beats or tenths."""
    at = _inside(planned, at_s)
    if planned.tempo is None or not isinstance(planned.item, Song) or at < planned.item.downbeat_s:
        return {"at": "time", "seconds": to_json(_rounded(at, TENTH))}
    bar, beat = _beat_near(planned, at, step)
    return {"at": "bar", "bar": bar, "beat": to_json(beat)}


def moved_anchor(
    planned: PlannedItem, cue: PlannedCue, at_s: float, step: Fraction = Fraction(1)
) -> dict[str, Any]:
    """The cue's anchor moved to near ``at_s``, of the same kind where that can be: a follow-on keeps its
    leader and changes its delay, one seen by eye changes only when it is expected, one on a word goes to the
    word that is sung nearest.
    """
    anchor = cue.cue.anchor
    at = _inside(planned, at_s)
    match anchor:
        case BarAnchor():
            return anchor_near(planned, at_s, step)
        case TimeAnchor() | TimecodeAnchor():
            return {"at": "time", "seconds": to_json(_rounded(at, TENTH))}
        case VisualAnchor():
            return {"at": "visual", "sees": anchor.sees, "expect_s": to_json(_rounded(at, TENTH))}
        case WordAnchor():
            words = _words(planned)
            return words[min(range(len(words)), key=lambda n: abs(words[n][0] - at))][1]
        case AfterAnchor():
            leader = planned.cues[cue.follows].at_s if cue.follows is not None else Fraction(0)
            delay = max(Fraction(0), _rounded(at - leader, TENTH))
            return {"at": "after", "cue": anchor.cue, "delay_s": to_json(delay)}


def nudged_anchor(planned: PlannedItem, cue: PlannedCue, beats: int) -> dict[str, Any]:
    """The cue's anchor some beats later (earlier if negative), or so many words or tenths where there are
    none."""
    if isinstance(cue.cue.anchor, BarAnchor) and planned.tempo is not None:
        bar, beat = cue.cue.anchor.bar, cue.cue.anchor.beat + beats
        while beat < 1 and bar > 1:
            bar -= 1
            beat += planned.tempo.beats_in_bar(bar)
        while beat >= planned.tempo.beats_in_bar(bar) + 1:
            beat -= planned.tempo.beats_in_bar(bar)
            bar += 1
        return {"at": "bar", "bar": bar, "beat": to_json(max(Fraction(1), beat))}
    anchor = cue.cue.anchor
    if isinstance(anchor, WordAnchor):
        words = [word for _, word in _words(planned)]
        now = words.index({"at": "word", "line": anchor.line, "word": anchor.word})
        return words[max(0, min(len(words) - 1, now + beats))]
    return moved_anchor(planned, cue, float(cue.at_s + beats * TENTH))


def _words(planned: PlannedItem) -> list[tuple[Fraction, dict[str, Any]]]:
    """(its instant, the anchor on it) of every word that is sung."""
    return [
        (at_s, {"at": "word", "line": sung.line.id, "word": n})
        for sung in planned.lyrics
        for n, at_s in enumerate(sung.words_s, 1)
    ]


def falls_at(planned: PlannedItem, anchor: dict[str, Any]) -> Fraction:
    """The second of the item at which a bar, a time or a word falls, or about which something is seen; its
    start for every other anchor."""
    if anchor["at"] == "bar" and planned.tempo is not None and isinstance(planned.item, Song):
        beat = Fraction(str(anchor.get("beat", 1)))
        return planned.item.downbeat_s + planned.tempo.seconds(int(str(anchor["bar"])), beat)
    if anchor["at"] == "time":
        return Fraction(str(anchor["seconds"]))
    if anchor["at"] == "visual":
        return Fraction(str(anchor.get("expect_s") or 0))
    if anchor["at"] == "word":
        return word_instant(planned.lyrics, anchor["line"], anchor["word"]) or Fraction(0)
    return Fraction(0)


def _inside(planned: PlannedItem, at_s: float) -> Fraction:
    return min(max(Fraction(round(at_s * 1000), 1000), Fraction(0)), planned.item.length_s)


def _rounded(value: Fraction, step: Fraction) -> Fraction:
    return round(value / step) * step


def _beat_near(planned: PlannedItem, at: Fraction, step: Fraction) -> tuple[int, Fraction]:
    assert planned.tempo is not None
    assert isinstance(planned.item, Song)
    bar, beat = planned.tempo.position(at - planned.item.downbeat_s)
    beats = planned.tempo.beats_in_bar(bar)
    beat = 1 + _rounded(Fraction(beat) - 1, min(step, Fraction(beats)))
    return (bar + 1, Fraction(1)) if beat >= beats + 1 else (bar, beat)
