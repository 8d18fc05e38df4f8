"""One stretch of speech against the lines that could be said there: which it was, and how sure that is."""

from collections.abc import Mapping, Sequence
from math import exp
from pathlib import Path
from typing import Any

from pocketsphinx import Config, Decoder, get_model_path

from showcaller.hearing.activity import HZ, PAD_S, SpeechStretch, pcm
from showcaller.hearing.spoken import free_grammar, lines_grammar, mistaken
from showcaller.values import Struct

FRAME_S = 0.01
"""The recogniser's clock."""
GO = "go"
GO_ENDS_LATE_S = 0.013
"""By how much later than it does the recogniser has a line end (``benchmarks/bench_said.py``)."""


class Recognised(Struct, frozen=True):
    """The words of a line, from ``begins_s`` to ``ends_s`` of the file; ``confidence`` is 0 to 1."""

    words: tuple[str, ...]
    begins_s: float
    ends_s: float
    confidence: float


class Recogniser:
    """Three listeners: for the lines that are near, for any line of the departments, for any sounds."""

    def __init__(self, departments: Sequence[str]) -> None:
        model = Path(get_model_path()) / "en-us"
        common: dict[str, Any] = {
            "hmm": str(model / "en-us"), "dict": str(model / "cmudict-en-us.dict"), "lm": None,
            "loglevel": "FATAL",
        }  # fmt: skip
        self._near = Decoder(Config(**common))
        self._free = Decoder(Config(**common))
        known = [d for d in departments if all(self.knows(w) for w in d.lower().split())]
        self._free.add_jsgf_string("free", free_grammar(known or ["lights"]))
        self._free.activate_search("free")
        sounds = {"allphone": str(model / "en-us-phone.lm.bin"), "lw": 2.0, "beam": 1e-10, "pbeam": 1e-10}
        self._sounds = Decoder(Config(**common, **sounds))

    def knows(self, word: str) -> bool:
        """Whether the dictionary has a word."""
        return self._near.lookup_word(word) is not None

    def recognise(self, stretch: SpeechStretch, lines: Mapping[tuple[str, ...], float]) -> Recognised | None:
        """The line that was said, if it was one of ``lines`` and no other line or talk is as near. Each has
        how far the stretch is from where it should be, s: what comes when it was to come needs to be heard
        less well."""
        known = {line: apart_s for line, apart_s in lines.items() if all(self.knows(w) for w in line)}
        if not known or stretch.ends_s - stretch.begins_s < _LEAST_S:
            return None
        wrong = [other for line in known for other in mistaken(line)]
        weights = {line: likely(apart_s) for line, apart_s in known.items()}
        self._near.add_jsgf_string("lines", lines_grammar(weights, wrong))
        self._near.activate_search("lines")
        first = self._near_words(stretch)
        if first is None:
            return None
        # Music, or others, before and behind would count as much as the line: once more, the line alone.
        piece = _piece(stretch, first[1], first[2])
        again = first if piece is stretch else self._near_words(piece)
        if again is None or again[0] != first[0] or again[0] not in known:
            return None
        return self._judged(piece, known[again[0]], *again)

    def _near_words(self, stretch: SpeechStretch) -> tuple[tuple[str, ...], float, float, float] | None:
        """(words, begin and end in s of the file, how near) of the nearest line."""
        best = _heard(self._near, pcm(stretch.samples))
        words = [] if best is None else [s for s in self._near.seg() if not s.word.startswith(("<", "["))]
        if best is None or not words:
            return None
        return (
            tuple(_plain(s.word) for s in words),
            stretch.from_s + words[0].start_frame * FRAME_S,
            stretch.from_s + (words[-1].end_frame + 1) * FRAME_S,
            best,
        )

    def _judged(
        self,
        stretch: SpeechStretch,
        apart_s: float,
        words: tuple[str, ...],
        begins_s: float,
        ends_s: float,
        best: float,
    ) -> Recognised | None:
        sound = pcm(stretch.samples)
        frames = max(1, round(len(stretch.samples) / HZ / FRAME_S))
        talk = _heard(self._sounds, sound)
        over_talk = _nearer(best, talk, frames)
        if over_talk < _TALK_LEAST:  # whatever it is, it is no line: the slowest listener need not hear it
            return None
        other = _heard(self._free, sound)
        confidence = _confidence(_nearer(best, other, frames), over_talk, apart_s)
        return Recognised(words, begins_s, ends_s - GO_ENDS_LATE_S, confidence)


def _piece(stretch: SpeechStretch, begins_s: float, ends_s: float) -> SpeechStretch:
    """The stretch without what lies before and behind the words, where that is much."""
    low_s, high_s = begins_s - PAD_S, ends_s + PAD_S
    over_s = stretch.from_s + len(stretch.samples) / HZ
    if low_s - stretch.from_s < _MUCH_BESIDE_S and over_s - high_s < _MUCH_BESIDE_S:
        return stretch
    first = max(0, round((low_s - stretch.from_s) * HZ))
    last = max(first + 1, round((high_s - stretch.from_s) * HZ))
    return SpeechStretch(begins_s, ends_s, stretch.from_s + first / HZ, stretch.samples[first:last])


_MUCH_BESIDE_S = 0.5
_LEAST_S = 0.35
_SCALE = 1e5
_BEYOND = 70.0
"""No line was ever so much nearer than what another listener made of it: that one lost its way."""
_TALK_LEAST = -60.0
THERE_S, AWAY_S = 3.0, 12.0
"""What comes within the first of its time is there when it was to be; after the second it is anywhere."""
_THERE, _AWAY = 16.0, -8.0


def likely(apart_s: float) -> float:
    """How likely a line is said so far from its time, 0 to 1: at a line's time its neighbours are less so."""
    return max(0.02, exp(-((apart_s / THERE_S) ** 2) / 2))


def _nearer(best: float, other: float | None, frames: int) -> float:
    """How much nearer a line is than what another listener made of the sound; one that could make nothing of
    it says nothing for the line."""
    over = 0.0 if other is None else (best - other) / frames * _SCALE
    return 0.0 if over > _BEYOND else over


def _confidence(over_other: float, over_talk: float, apart_s: float) -> float:
    """From how much nearer the line is than any other line, and than any talk, and whether it comes when it
    was to come: fitted by hand on ``benchmarks/bench_said.py``."""
    late = min(1.0, max(0.0, (apart_s - THERE_S) / (AWAY_S - THERE_S)))
    there = _THERE + late * (_AWAY - _THERE)
    return 1 / (1 + exp(-(over_other + 0.6 * over_talk - 26.0 + there) / 4.0))


def _heard(decoder: Decoder, sound: bytes) -> float | None:
    """How near what a listener may hear comes to the sound; None if it hears nothing of it."""
    decoder.start_utt()
    decoder.process_raw(sound, full_utt=True)
    decoder.end_utt()
    found = decoder.hyp()
    return None if found is None or not found.hypstr else float(found.best_score)


def _plain(word: str) -> str:
    return word.partition("(")[0]
