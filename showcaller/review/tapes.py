"""Reading recordings to find where a run lies in them: by timecode, songs, another recording's sound."""

from collections.abc import Callable, Iterable, Sequence
from datetime import tzinfo
from fractions import Fraction
from pathlib import Path

import numpy as np

from showcaller.archive import Recording
from showcaller.model import Song
from showcaller.review.aligning import Alignment, Samples, SoundSearch, by_timecode, code_in
from showcaller.review.errors import ReviewError
from showcaller.review.report import RunReport
from showcaller.review.tape_clock import TapeClock, clock_of
from showcaller.review.tape_fit import MOST_PPM, Fitted, Matched, fitted
from showcaller.review.timeline import NS
from showcaller.run.runlog import Record
from showcaller.screen.clips import read_sound, sound_length_s
from showcaller.timing.timecode import frame_number, label, rate_named, wrapped
from showcaller.values import Struct

SOUND_HZ = 8_000
HEARD_S = 20.0
"""How much of a sound is looked for, seconds."""
STRETCH_S = 240
"""How much of a recording is listened to at once, seconds."""
CODE_HZ, CODE_S = 48_000, 8.0
"""How a recording's sound is looked at for timecode: samples a second, and how many seconds of it."""
PLACES = 9
"""Places that are compared over the length of a recording: more than two, so that one found wrongly shows."""
_QUIET = 1e-4
"""Mean level under which there is nothing to compare."""
_SPARE_S = 1.0
STOPPED = "stopped; the recording is where it was"

Heard = Callable[[float, float], bool]
"""Told how many seconds of how many were listened to; False stops."""


def _go_on(_done: float, _of: float) -> bool:
    return True


def by_its_code(
    path: Path, own: str | None, has_sound: bool, rate: str, records: Sequence[Record], zone: tzinfo
) -> Alignment:
    """By the file's own timecode, which says where it begins; or by linear timecode on its sound, which also
    says how fast its clock runs.

    Raises:
        ReviewError: it carries none, or none that fits.
        ClipError: its sound cannot be read.
    """
    if own is not None:
        return by_timecode(own, rate, records, zone)
    codes = list(_codes(path, rate)) if has_sound else []
    if not codes:
        raise ReviewError("this file carries no timecode; align it by one tap, or by sound")
    fps = rate_named(rate).fps
    first_at_s, first_code_s = codes[0]
    begins = wrapped(round((first_code_s - Fraction(first_at_s)) * fps), rate)
    found = by_timecode(label(begins, rate), rate, records, zone)
    begins_s = frame_number(label(begins, rate), rate) / fps
    matched = [
        Matched(found.zero_ns + round((code_s - begins_s) * NS), float(at_s)) for at_s, code_s in codes
    ]
    line = fitted(matched, 1 / CODE_HZ)
    return _said(line, found.words)


def _codes(path: Path, rate: str) -> Iterable[tuple[float, Fraction]]:
    """(seconds into the file, seconds of the code) at places over its length, the first at its beginning."""
    length_s = sound_length_s(path)
    last_s = max(0.0, length_s - CODE_S)
    for n in range(PLACES if last_s > 60 else 1):
        at_s = last_s * n / (PLACES - 1)
        found = code_in(read_sound(path, CODE_HZ, at_s, CODE_S), rate, CODE_HZ)
        if found is not None:
            yield at_s + found[0], found[1]
        elif n == 0:
            return


class _Sought(Struct, frozen=True):
    """A sound to look for: what the run's clock showed at its first sample."""

    sound: Samples
    run_ns: int


def by_songs(report: RunReport, path: Path, folder: Path | None, heard: Heard = _go_on) -> Alignment:
    """By the songs that were played and have a reference.

    Args:
        folder: where the songs' references are named from.

    Raises:
        ReviewError: no song has one, or none stands out.
        ClipError: a file cannot be read.
    """
    starts = {m.item: m.t_ns for m in report.moments if m.kind == "item"}

    def sought() -> Iterable[_Sought]:
        for item in report.plan.show.items:
            if isinstance(item, Song) and item.reference is not None and item.id in starts:
                name = Path(item.reference)
                file = name if name.is_absolute() or folder is None else folder / name
                yield _Sought(
                    read_sound(file, SOUND_HZ, float(item.reference_at_s), HEARD_S), starts[item.id]
                )

    songs = list(sought())
    if not songs:
        raise ReviewError(
            "no song of this show has a reference to compare with; give one in the Book, or align by one tap"
        )
    return _found(path, songs, "aligned by sound", heard)


def by_the_best(path: Path, recordings: Iterable[Recording], heard: Heard = _go_on) -> Alignment:
    """By the sound of that of the run's other recordings which is known best: one whose clock was measured,
    else one that was aligned by more than its first frame.

    Raises:
        ReviewError: there is no other, or nothing that both have stands out.
        ClipError: a file cannot be read.
    """
    others = [r for r in recordings if Path(r.path) != path]
    if not others:
        raise ReviewError("there is no other recording to compare with; align this one by timecode or sound")
    best = min(others, key=lambda r: (r.drift_error_ppm is None, r.how == "by hand"))
    return by_another(path, Path(best.path), clock_of(best), heard)


def by_another(path: Path, other: Path, clock: TapeClock, heard: Heard = _go_on) -> Alignment:
    """By the sound of another recording of the run, whose ``clock`` is known: places over its whole length.

    Raises:
        ReviewError: nothing that both have stands out.
        ClipError: a file cannot be read.
    """
    length_s = sound_length_s(other)
    if length_s < HEARD_S:
        raise ReviewError(f"{other.name} is too short to compare with; align this one by one tap")
    span_s = length_s - HEARD_S
    order = sorted(range(PLACES), key=lambda n: abs(n - PLACES // 2))  # from the middle, where all still run

    def sought() -> Iterable[_Sought]:
        for n in order:
            at_s = span_s * n / (PLACES - 1)
            sound = read_sound(other, SOUND_HZ, at_s, HEARD_S)
            if float(np.abs(sound).mean()) > _QUIET:
                yield _Sought(sound, clock.run_ns(at_s))

    return _found(path, sought(), f"aligned by the sound of {other.name}", heard)


def _found(path: Path, sought: Iterable[_Sought], words: str, heard: Heard) -> Alignment:
    """The first is looked for everywhere, the others where they have to be."""
    length_s = sound_length_s(path)
    matched: list[Matched] = []
    why: ReviewError | None = None
    for one in sought:
        try:
            if matched:
                near = matched[0]
                apart_s = (one.run_ns - near.run_ns) / NS
                spare_s = _SPARE_S + abs(apart_s) * MOST_PPM * 1e-6
                at_s = _near(path, one.sound, near.file_s + apart_s, spare_s, length_s)
            else:
                at_s = _anywhere(path, one.sound, length_s, heard)
        except ReviewError as error:
            why = error
            if str(error) == STOPPED:
                raise
            continue
        if at_s is not None:
            matched.append(Matched(one.run_ns, at_s))
    if not matched:
        raise why or ReviewError("the recording has too little sound to compare; align it by one tap")
    return _said(fitted(matched, 1 / SOUND_HZ), words)


def _anywhere(path: Path, sound: Samples, length_s: float, heard: Heard) -> float:
    search = SoundSearch(sound, SOUND_HZ)
    for first_s in range(0, int(length_s) + 1, STRETCH_S):
        if not heard(first_s, length_s):
            raise ReviewError(STOPPED)
        stretch = read_sound(path, SOUND_HZ, float(first_s), STRETCH_S + HEARD_S)
        search.look(stretch, first_s * SOUND_HZ)
    return search.place()[0]


def _near(path: Path, sound: Samples, about_s: float, spare_s: float, length_s: float) -> float | None:
    """Where a sound is that has to be near a place; None where the recording does not have that place."""
    begin_s = about_s - spare_s
    if begin_s < 0 or about_s + HEARD_S + spare_s > length_s:
        return None
    first = round(begin_s * SOUND_HZ)
    search = SoundSearch(sound, SOUND_HZ)
    search.look(read_sound(path, SOUND_HZ, first / SOUND_HZ, HEARD_S + 2 * spare_s), first)
    return search.place()[0]


def _said(line: Fitted, words: str) -> Alignment:
    said = f"{words}; it {line.words}, put right" if line.words else words
    return Alignment(line.clock.zero_ns, said, line.clock.drift_ppm, line.error_ppm)
