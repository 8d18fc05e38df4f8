"""The tempo map against mido's and pretty_midi's arithmetic, and against numerical integration."""

import io
import random
from fractions import Fraction

import mido
import pretty_midi
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize

from showcaller.model import MeterMark, TempoMark
from showcaller.timing.tempo import TempoMap

DIVISION = 480


def random_tempos(seed):
    """Ticks and microseconds of many tempo changes, as a MIDI file holds them."""
    pick = random.Random(seed)
    ticks = sorted({0, *(pick.randrange(1, 400 * DIVISION) for _ in range(pick.randint(1, 120)))})
    return [(at, pick.randrange(200_000, 1_500_000)) for at in ticks]


def midi_file(tempos, end):
    track = mido.MidiTrack()
    at = 0
    for ticks, value in tempos:
        track.append(mido.MetaMessage("set_tempo", tempo=value, time=ticks - at))
        at = ticks
    track.append(mido.Message("note_on", note=60, velocity=64, time=end - at))
    track.append(mido.Message("note_off", note=60, velocity=64, time=DIVISION))
    return mido.MidiFile(type=1, ticks_per_beat=DIVISION, tracks=[track])


def our_map(tempos):
    """In 4/4, so that a tick is bar ticks // 1920, beat by the quarter."""
    marks = []
    for ticks, value in tempos:
        bar, rest = divmod(ticks, 4 * DIVISION)
        marks.append(
            TempoMark(bar=bar + 1, beat=1 + Fraction(rest, DIVISION), bpm=Fraction(60_000_000, value))
        )
    return TempoMap(tuple(marks))


@pytest.mark.parametrize("seed", range(20))
def test_many_tempo_changes_agree_with_mido_and_pretty_midi(seed):
    tempos = random_tempos(seed)
    end = 420 * DIVISION
    file = midi_file(tempos, end)
    raw = io.BytesIO()
    file.save(file=raw)
    theirs = pretty_midi.PrettyMIDI(io.BytesIO(raw.getvalue()))
    ours = our_map(tempos)
    pick = random.Random(seed)
    for ticks in (pick.randrange(end) for _ in range(200)):
        seconds = ours.seconds_at_quarter(Fraction(ticks, DIVISION))
        assert float(seconds) == pytest.approx(theirs.tick_to_time(ticks), abs=1e-3)
    note = sum(message.time for message in file if message.type != "note_off")
    assert float(ours.seconds_at_quarter(Fraction(end, DIVISION))) == pytest.approx(note, abs=1e-3)


def test_sixteen_beats_then_sixteen_slower():
    # Computed with mido and pretty_midi: 16 beats at 500,000 µs, then 16 at 666,667.
    ours = TempoMap(
        (TempoMark(bar=1, bpm=120), TempoMark(bar=5, bpm=Fraction(60_000_000, 666_667))),
    )
    assert ours.seconds(5) == 8
    assert float(ours.seconds(9)) == pytest.approx(18.666672, abs=1e-9)


@pytest.mark.parametrize(("start", "end", "bars"), [(60, 120, 4), (140, 70, 8), (92, 93, 1), (40, 200, 16)])
def test_a_ramp_agrees_with_numerical_integration(start, end, bars):
    ours = TempoMap((TempoMark(bar=1, bpm=start, ramp=True), TempoMark(bar=1 + bars, bpm=end)))
    quarters = 4 * bars

    def gone(seconds, whole):
        """Quarters gone by: the integral of a tempo that rises evenly in time over ``whole`` seconds."""
        return integrate.quad(lambda t: (start + (end - start) * t / whole) / 60, 0, seconds)[0]

    whole = optimize.brentq(lambda t: gone(t, t) - quarters, 0.1, 1000, xtol=1e-12)
    assert float(ours.seconds(1 + bars)) == pytest.approx(whole, abs=1e-6)
    for bar in range(1, bars + 1):
        for beat in (Fraction(1), Fraction(5, 2), Fraction(4)):
            wanted = 4 * (bar - 1) + float(beat) - 1
            at = optimize.brentq(lambda t, q=wanted: gone(t, whole) - q, 0, whole, xtol=1e-12)
            assert float(ours.seconds(bar, beat)) == pytest.approx(at, abs=1e-6)
            assert float(ours.bpm(ours.seconds(bar, beat))) == pytest.approx(
                start + (end - start) * at / whole, abs=1e-6
            )


METERS = ["4/4", "3/4", "7/8", "5/4", "6/8", "2/2", "1/16"]
maps = st.builds(
    lambda tempo, meters: TempoMap(
        tuple(TempoMark(bar=bar, beat=beat, bpm=bpm, ramp=ramp) for bar, beat, bpm, ramp in tempo),
        tuple(MeterMark(bar=bar, meter=meter) for bar, meter in meters),
    ),
    st.lists(
        st.tuples(
            st.integers(1, 40),
            st.sampled_from([Fraction(1), Fraction(3, 2)]),
            st.fractions(10, 400, max_denominator=1000),
            st.booleans(),
        ),
        min_size=1,
        max_size=8,
    ),
    st.lists(st.tuples(st.integers(1, 40), st.sampled_from(METERS)), max_size=5),
)


@given(maps, st.fractions(-50, 400, max_denominator=10**6))
def test_a_position_found_from_seconds_lies_at_those_seconds(tempo, seconds):
    bar, beat = tempo.position(seconds)
    assert 1 <= beat < tempo.beats_in_bar(bar) + 1
    # A ramp's position is a root rounded to a billionth.
    assert abs(tempo.seconds(bar, beat) - seconds) < Fraction(1, 10**6)


@given(maps, st.integers(1, 60), st.fractions(0, 1, max_denominator=97))
def test_seconds_found_from_a_position_lead_back_to_it(tempo, bar, part):
    beat = 1 + part * tempo.beats_in_bar(bar)
    quarter = tempo.quarters(bar, beat)
    assert abs(tempo.quarter_at(tempo.seconds(bar, beat)) - quarter) < Fraction(1, 10**5)


@given(maps, st.fractions(-20, 300, max_denominator=1000), st.fractions(0, 300, max_denominator=1000))
def test_time_never_runs_backwards(tempo, quarter, more):
    assert tempo.seconds_at_quarter(quarter + more) >= tempo.seconds_at_quarter(quarter)


def test_no_tempo_mark_is_refused():
    with pytest.raises(ValueError, match="a tempo map needs at least one tempo mark"):
        TempoMap(())
