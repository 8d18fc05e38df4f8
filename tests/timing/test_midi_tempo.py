"""Tempo maps read from MIDI files, against mido and pretty_midi, and refusals."""

import io
import random
import struct
from fractions import Fraction
from itertools import pairwise

import mido
import pretty_midi
import pytest

from showcaller.model import MeterMark, Section, TempoMark
from showcaller.timing.midi_tempo import read_midi_tempo
from showcaller.timing.tempo import TempoMap

# The example file of format 0 printed in the Standard MIDI Files 1.1 specification.
SMF_EXAMPLE = bytes.fromhex(
    "4D546864000000060000000100604D54726B0000003B00FF58040402180800FF510307A12000C00500C12E00C24600"
    "923060003C3060914340609 04C2081408230 40003C400081434000804C4000FF2F00".replace(" ", "")
)


def saved(*tracks, division=480, file_type=1):
    raw = io.BytesIO()
    mido.MidiFile(type=file_type, ticks_per_beat=division, tracks=[mido.MidiTrack(t) for t in tracks]).save(
        file=raw
    )
    return raw.getvalue()


def meta(name, time, **fields):
    return mido.MetaMessage(name, time=time, **fields)


def test_the_specifications_own_example():
    read = read_midi_tempo(SMF_EXAMPLE)
    assert read.tempo == (TempoMark(bar=1, bpm=120),)
    assert read.meters == (MeterMark(bar=1, meter="4/4"),)
    assert read.sections == ()


@pytest.mark.parametrize("seed", range(15))
def test_random_files_agree_with_mido_and_pretty_midi(seed):
    pick = random.Random(seed)
    division = pick.choice((24, 96, 480, 960))
    track = [meta("set_tempo", 0, tempo=pick.randrange(300_000, 900_000))]
    for _ in range(60):
        time = pick.randrange(0, 8 * division)
        track.append(meta("set_tempo", time, tempo=pick.randrange(200_000, 1_500_000)))
        if pick.random() < 0.2:
            below = pick.choice((2, 4, 8))
            track.append(meta("time_signature", division, numerator=pick.randint(2, 7), denominator=below))
    # Changes fall anywhere, so keep to bars that a meter can still write down.
    on_grid = division // 4
    for message in track:
        message.time = message.time // on_grid * on_grid
    end = sum(m.time for m in track)
    notes = [
        mido.Message("note_on", note=60, velocity=9, time=end),
        mido.Message("note_off", note=60, time=division),
    ]
    data = saved(track, notes, division=division)
    read = read_midi_tempo(data)
    ours = TempoMap(read.tempo, read.meters)
    theirs = pretty_midi.PrettyMIDI(io.BytesIO(data))
    for ticks in (pick.randrange(end) for _ in range(100)):
        seconds = ours.seconds_at_quarter(Fraction(ticks, division))
        assert float(seconds) == pytest.approx(theirs.tick_to_time(ticks), abs=1e-3)
    length = float(ours.seconds_at_quarter(Fraction(end + division, division)))
    assert length == pytest.approx(mido.MidiFile(file=io.BytesIO(data)).length, abs=1e-3)
    places = []
    for change in theirs.time_signature_changes:
        # A little later than the change, so that rounding does not leave it in the bar before.
        bar, beat = ours.position(Fraction(change.time) + Fraction(1, 10**4))
        assert beat < 1 + Fraction(1, 10)
        places.append((bar, f"{change.numerator}/{change.denominator}"))
    written = {mark.bar: mark.meter for mark in read.meters}
    for (bar, meter), (following, _) in pairwise([*places, (10**6, "")]):
        if following > bar + 1:  # else the bar may be cut short, and have a meter of its own
            assert written[bar] == meter


def test_sections_come_from_markers_at_the_nearest_bar_line():
    data = saved([
        meta("marker", 0, text="Intro"),
        meta("marker", 4 * 4 * 480 - 10, text="Verse "),
        meta("marker", 500, text="  "),
        meta("marker", 4 * 8 * 480, text="Größe".encode().decode("latin1")),
    ])  # fmt: skip
    assert read_midi_tempo(data).sections == (
        Section(name="Intro", bar=1),
        Section(name="Verse", bar=5),
        Section(name="Größe", bar=13),
    )


def test_a_late_first_tempo_follows_the_formats_120():
    data = saved([meta("set_tempo", 4 * 480, tempo=1_000_000)])
    assert read_midi_tempo(data).tempo == (TempoMark(bar=1, bpm=120), TempoMark(bar=2, bpm=60))


def test_a_meter_change_in_mid_bar_ends_the_bar_there():
    data = saved([meta("time_signature", 480 * 3, numerator=3, denominator=4)])
    assert read_midi_tempo(data).meters == (MeterMark(bar=1, meter="3/4"), MeterMark(bar=2, meter="3/4"))
    data = saved([meta("time_signature", 480 * 5 + 240, numerator=6, denominator=8)])
    assert read_midi_tempo(data).meters == (
        MeterMark(bar=1, meter="4/4"),
        MeterMark(bar=2, meter="3/8"),
        MeterMark(bar=3, meter="6/8"),
    )


def test_every_shortened_file_is_refused():
    for end in range(len(SMF_EXAMPLE)):
        with pytest.raises(ValueError, match=r"^this (is not a MIDI file|MIDI file is (cut short|damaged))"):
            read_midi_tempo(SMF_EXAMPLE[:end])


def header(file_format=0, division=96):
    return b"MThd" + struct.pack(">IHHh", 6, file_format, 1, division) + SMF_EXAMPLE[14:]


@pytest.mark.parametrize(
    ("data", "sentence"),
    [
        (b"RIFF1234", "this is not a MIDI file: it does not begin with MThd; give a .mid file"),
        (
            header(file_format=2),
            "this MIDI file is of format 2, whose tracks share no time; save it as format 0 or 1",
        ),
        (
            header(division=-0x18D8),
            "this MIDI file counts in SMPTE frames, not beats; save it with ticks per quarter note",
        ),
        (header(division=0), "this MIDI file has 0 ticks per quarter note; save it again with 480, say"),
        (
            saved([meta("set_tempo", 1920, tempo=100_000)]),
            "this MIDI file has 600 quarter notes a minute at bar 2; give tempos from 10 to 400",
        ),
        (
            saved([meta("time_signature", 0, numerator=99, denominator=4)]),
            "this MIDI file has a bar of 99/4 at bar 1; give meters from 1 to 64 beats over 1 to 64",
        ),
        (
            saved([meta("time_signature", 1, numerator=4, denominator=4)]),
            "this MIDI file has a bar of 1/1920 at bar 1; give meters from 1 to 64 beats over 1 to 64",
        ),
        (
            saved([meta("marker", 10_000 * 4 * 480, text="Far")]),
            "this MIDI file goes on past bar 9999; shorten it",
        ),
    ],
)
def test_what_cannot_be_used_is_refused_in_one_sentence(data, sentence):
    with pytest.raises(ValueError) as refused:  # noqa: PT011
        read_midi_tempo(data)
    assert str(refused.value) == sentence


def test_noise_is_refused_and_never_crashes():
    pick = random.Random(5)
    refusals = []
    for _ in range(400):
        data = bytearray(SMF_EXAMPLE)
        for _ in range(pick.randint(1, 4)):
            data[pick.randrange(len(data))] = pick.randrange(256)
        try:
            read_midi_tempo(bytes(data))
        except ValueError as refused:
            refusals.append(str(refused))
    assert len(refusals) > 50
    assert all(sentence.startswith("this ") for sentence in refusals)
