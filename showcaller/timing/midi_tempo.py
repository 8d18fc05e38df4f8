"""A song's tempo map, meters and sections from the bytes of a Standard MIDI File (SMF 1.1).

Tempo, time signature and marker events are taken from every track. Without a tempo event a file runs at 120
quarter notes a minute, without a time signature in 4/4, as the format says.
"""

from collections.abc import Iterable, Iterator
from fractions import Fraction
from io import BytesIO
from pathlib import Path
from typing import Any

import mido

from showcaller.model.tempo import MeterMark, Section, TempoMark
from showcaller.outside import Refused, Within, look_at_file
from showcaller.timing.tempo import TempoMap
from showcaller.values import Struct

MOST_BYTES = 4_000_000
"""A tempo map of hours is some kilobytes."""

_LAST_BAR = 9999


class MidiTempo(Struct, frozen=True):
    """What a MIDI file says about a song's time: as written in a show document, marks in order."""

    tempo: tuple[TempoMark, ...]
    meters: tuple[MeterMark, ...]
    sections: tuple[Section, ...]

    def fields(self) -> dict[str, list[dict[str, Any]]]:
        """As the fields of a song in a show document."""
        return {
            name: [mark.model_dump(mode="json", exclude_defaults=True) for mark in getattr(self, name)]
            for name in ("tempo", "meters", "sections")
        }


class Syllable(Struct, frozen=True):
    """A lyric event: its text as it stands in the file, and where it is: in quarters from the start, as bar
    and beat, and in seconds, all by the file's own tempo."""

    text: str
    quarter: Fraction
    bar: int
    beat: Fraction
    seconds: Fraction


def read_outside(within: Within, path: str) -> dict[str, list[dict[str, Any]]]:
    """A file's ``tempo``, ``meters`` and ``sections`` as in a show document; for :mod:`showcaller.outside`.

    Raises:
        Refused: it cannot be read.
    """
    where = Path(path)
    look_at_file(where, MOST_BYTES)
    within.tell(f"reading {where.name}", 0, 0)
    try:
        return read_midi_tempo(where.read_bytes()).fields()
    except (ValueError, OSError) as error:
        raise Refused(f"{where.name}: {error}") from None


def read_midi_tempo(data: bytes) -> MidiTempo:
    """The tempo map in the bytes of a MIDI file of format 0 or 1.

    A time signature in the middle of a bar ends that bar there, as a bar with a meter of its own. A marker
    names the section from the bar line nearest to it; of two at one bar line the later counts.

    Raises:
        ValueError: not a MIDI file, cut short, of format 2, with SMPTE division, or with a tempo or meter
            that a show document cannot hold; one sentence that says so.
    """
    header, tracks = _chunks(data)
    return _tempo_of(_division(header), _events(header, tracks))


def read_midi_syllables(data: bytes) -> tuple[Syllable, ...]:
    """The lyric events (meta event 05) of the track that has most of them; none where no track has any.

    Raises:
        ValueError: as :func:`read_midi_tempo`.
    """
    header, chunks = _chunks(data)
    division = _division(header)
    tracks = _tracks(header, chunks)
    sung = max(
        ([event for event in _timed(track) if event[1].type == "lyrics"] for track in tracks),
        key=len,
        default=[],
    )
    if not sung:
        return ()
    read = _tempo_of(division, (event for track in tracks for event in _timed(track)))
    tempo = TempoMap(read.tempo, read.meters)
    found = []
    for ticks, message in sung:
        quarter = Fraction(ticks, division)
        seconds = tempo.seconds_at_quarter(quarter)
        bar, beat = TempoMap((TempoMark(bar=1, bpm=60),), read.meters).position(quarter)
        found.append(Syllable(_decoded(message.text), quarter, _bar(bar), beat, seconds))
    return tuple(found)


def _tempo_of(division: int, found: Iterator[tuple[int, Any]]) -> MidiTempo:
    events = sorted(found, key=lambda event: event[0])
    changes = {0: (4, 4)}
    tempos = {0: 500_000}
    markers: list[tuple[int, str]] = []
    for ticks, message in events:
        if message.type == "set_tempo":
            tempos[ticks] = message.tempo
        elif message.type == "time_signature":
            changes[ticks] = (message.numerator, message.denominator)
        elif message.type == "marker" and message.text.strip():
            markers.append((ticks, _text(message.text)))
    meters = _meters(changes, division)
    # At 60 quarters a minute seconds are quarters, so the map turns places in quarters into bars and beats.
    bars = TempoMap((TempoMark(bar=1, bpm=60),), meters)

    def place(ticks: int) -> tuple[int, Fraction]:
        return bars.position(Fraction(ticks, division))

    tempo = tuple(_tempo_mark(*place(ticks), value) for ticks, value in tempos.items())
    sections: dict[int, str] = {}
    for ticks, text in markers:
        bar, beat = place(ticks)
        late = beat - 1 >= Fraction(bars.beats_in_bar(bar), 2)
        sections[_bar(bar + late)] = text
    return MidiTempo(tempo, meters, tuple(Section(name=text, bar=bar) for bar, text in sections.items()))


def _chunks(data: bytes) -> tuple[bytes, list[bytes]]:
    """The header's content, and that of each track; other chunks are skipped, as SMF 1.1 asks for
    ("your programs should expect alien chunks and treat them as if they weren't there").
    """
    if data[:4] != b"MThd":
        raise ValueError("this is not a MIDI file: it does not begin with MThd; give a .mid file")
    at, tracks = 0, []
    while at + 8 <= len(data):
        end = at + 8 + int.from_bytes(data[at + 4 : at + 8], "big")
        if data[at : at + 4] == b"MTrk":
            tracks.append(data[at + 8 : end])
        at = end
    header = data[8 : 8 + int.from_bytes(data[4:8], "big")]
    if at > len(data) or len(header) < 6 or len(tracks) < int.from_bytes(header[2:4], "big"):
        raise ValueError("this MIDI file is cut short; copy it again")
    return header, tracks[: int.from_bytes(header[2:4], "big")]


def _division(header: bytes) -> int:
    """Ticks per quarter note."""
    file_format = int.from_bytes(header[:2], "big")
    if file_format > 1:
        raise ValueError(
            f"this MIDI file is of format {file_format}, whose tracks share no time; save it as format 0 or 1"
        )
    division = int.from_bytes(header[4:6], "big")
    if division & 0x8000:
        raise ValueError(
            "this MIDI file counts in SMPTE frames, not beats; save it with ticks per quarter note"
        )
    if division == 0:
        raise ValueError("this MIDI file has 0 ticks per quarter note; save it again with 480, say")
    return division


def _events(header: bytes, tracks: list[bytes]) -> Iterator[tuple[int, Any]]:
    """(ticks from the start, message) of every track."""
    for track in _tracks(header, tracks):
        yield from _timed(track)


def _timed(track: Iterable[Any]) -> Iterator[tuple[int, Any]]:
    ticks = 0
    for message in track:
        ticks += message.time
        yield ticks, message


def _tracks(header: bytes, tracks: list[bytes]) -> list[Any]:
    counted = header[:2] + len(tracks).to_bytes(2, "big") + header[4:6]
    parts = [b"MThd" + len(counted).to_bytes(4, "big") + counted]
    parts += [b"MTrk" + len(track).to_bytes(4, "big") + track for track in tracks]
    try:
        return list(mido.MidiFile(file=BytesIO(b"".join(parts))).tracks)
    except Exception as error:  # mido raises kinds of its own, as for a key signature that is none
        reason = str(error) or "a track ends too early"
        raise ValueError(f"this MIDI file is damaged ({reason}); save it again") from None


def _meters(changes: dict[int, tuple[int, int]], division: int) -> tuple[MeterMark, ...]:
    """Meter marks at bar lines from time signatures at ticks, which are in order."""
    marks: dict[int, str] = {}
    bar, start, meter = 1, Fraction(0), (4, 4)
    for ticks, change in changes.items():
        length = Fraction(4 * meter[0], meter[1])
        whole, rest = divmod(Fraction(ticks, division) - start, length)
        bar += int(whole)
        if rest:
            # In quarters; as a meter over a power of two, at least over the beat's own.
            below = max(meter[1], 4 * rest.denominator)
            marks[_bar(bar)] = _meter(int(rest * below / 4), below, bar)
            bar += 1
        start, meter = Fraction(ticks, division), change
        marks[_bar(bar)] = _meter(*meter, bar)
    return tuple(MeterMark(bar=bar, meter=text) for bar, text in sorted(marks.items()))


def _meter(beats: int, unit: int, bar: int) -> str:
    if not 1 <= beats <= 64 or unit not in (1, 2, 4, 8, 16, 32, 64):
        raise ValueError(
            f"this MIDI file has a bar of {beats}/{unit} at bar {bar}; "
            "give meters from 1 to 64 beats over 1 to 64"
        )
    return f"{beats}/{unit}"


def _tempo_mark(bar: int, beat: Fraction, microseconds: int) -> TempoMark:
    if not 150_000 <= microseconds <= 6_000_000:
        bpm = f"{60_000_000 / microseconds:.0f}" if microseconds else "endless"
        raise ValueError(
            f"this MIDI file has {bpm} quarter notes a minute at bar {bar}; give tempos from 10 to 400"
        )
    return TempoMark(bar=_bar(bar), beat=beat, bpm=Fraction(60_000_000, microseconds))


def _bar(bar: int) -> int:
    if bar > _LAST_BAR:
        raise ValueError(f"this MIDI file goes on past bar {_LAST_BAR}; shorten it")
    return bar


def _text(raw: str) -> str:
    """Marker text."""
    return _decoded(raw).strip()[:400]


def _decoded(raw: str) -> str:
    """An event's text; files hold UTF-8 as often as Latin-1, as which mido reads them."""
    try:
        return raw.encode("latin1").decode("utf-8")
    except UnicodeError:
        return raw
