"""A song's tempo, meters and sections as a Standard MIDI File (SMF 1.1, format 1)."""

import io
from fractions import Fraction

import mido

from showcaller.model import Song
from showcaller.timing.tempo import TempoMap

DIVISION = 960
"""Ticks to a quarter note."""


class MidiExportError(ValueError):
    """A song that a MIDI file cannot hold; one sentence."""


def song_midi(song: Song) -> bytes:
    """The bytes of a file with the song's tempo map. A ramp is written as a tempo for every eighth of it.

    Raises:
        MidiExportError: the song has no tempo.
    """
    if not song.tempo:
        raise MidiExportError(
            f"{song.name} has no tempo, so there is nothing for a MIDI file; give it one first"
        )
    tempo = TempoMap(song.tempo, song.meters)
    events: list[tuple[int, int, mido.MetaMessage]] = []
    for meter in song.meters:
        beats, unit = (int(n) for n in meter.meter.split("/"))
        message = mido.MetaMessage("time_signature", numerator=beats, denominator=unit)
        events.append((_ticks(tempo, meter.bar, Fraction(1)), 0, message))
    marks = sorted(song.tempo, key=lambda m: (m.bar, m.beat))
    if _ticks(tempo, marks[0].bar, marks[0].beat) > 0:
        events.append((0, 1, _tempo(marks[0].bpm)))  # a file without one begins at 120
    for n, mark in enumerate(marks):
        start = _ticks(tempo, mark.bar, mark.beat)
        follower = marks[n + 1] if n + 1 < len(marks) else None
        if mark.ramp and follower is not None:
            end = _ticks(tempo, follower.bar, follower.beat)
            begin_s, end_s = tempo.seconds(mark.bar, mark.beat), tempo.seconds(follower.bar, follower.beat)
            for step in range(8):
                at_s = begin_s + (end_s - begin_s) * step / 8
                bar, beat = tempo.position(at_s)
                ticks = min(max(start, _ticks(tempo, bar, Fraction(beat))), end)
                events.append((ticks, 1, _tempo(tempo.bpm(at_s + (end_s - begin_s) / 16))))
        else:
            events.append((start, 1, _tempo(mark.bpm)))
    for section in song.sections:
        name = section.name.encode("latin-1", "replace").decode("latin-1")
        events.append((_ticks(tempo, section.bar, Fraction(1)), 2, mido.MetaMessage("marker", text=name)))
    track = mido.MidiTrack(
        [mido.MetaMessage("track_name", name=song.name.encode("latin-1", "replace").decode("latin-1"))]
    )
    before = 0
    for ticks, _, message in sorted(events, key=lambda e: e[:2]):
        track.append(message.copy(time=ticks - before))
        before = ticks
    track.append(mido.MetaMessage("end_of_track"))
    made = mido.MidiFile(type=1, ticks_per_beat=DIVISION)
    made.tracks.append(track)
    out = io.BytesIO()
    made.save(file=out)
    return out.getvalue()


def _ticks(tempo: TempoMap, bar: int, beat: Fraction) -> int:
    return round(tempo.quarters(bar, beat) * DIVISION)


def _tempo(bpm: Fraction) -> mido.MetaMessage:
    return mido.MetaMessage("set_tempo", tempo=round(Fraction(60_000_000) / bpm))
