"""The tempo map against mido's and pretty_midi's arithmetic, and against numerical integration."""

import io
import random
from fractions import Fraction
from itertools import pairwise

import mido
import pretty_midi
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, optimize

from showcaller.editing.exporting.midi import song_midi
from showcaller.model import MeterMark, Song, TempoMark
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


@given(maps, st.fractions(-50, 400, max_denominator=10**4), st.fractions(0, 64, max_denominator=16))
def test_bars_and_beats_counted_on_are_those_of_the_position(tempo, seconds, beats):
    bar, beat = tempo.position(seconds)
    assert tempo.bar_at(seconds) == bar
    assert tempo.after_beats(seconds, beats) == tempo.seconds(bar, beat + beats)


@given(st.fractions(20, 300, max_denominator=100), st.fractions(-50, 400, max_denominator=1000))
def test_the_short_way_through_an_even_song_leads_to_the_same_bar_and_second(bpm, seconds):
    tempo = TempoMap((TempoMark(bar=1, bpm=bpm),), (MeterMark(bar=1, meter="7/8"),))
    bar, beat = tempo.position(seconds)
    assert tempo.bar_at(seconds) == bar
    assert tempo.after_beats(seconds, Fraction(5, 2)) == tempo.seconds(bar, beat + Fraction(5, 2))


def test_no_tempo_mark_is_refused():
    with pytest.raises(ValueError, match="a tempo map needs at least one tempo mark"):
        TempoMap(())


def integrated_s(marks, bar):
    """Seconds to a bar of a 4/4 song by integrating its tempo, written down from the definition: before the
    first mark its tempo holds; a ramp changes tempo evenly in time, so b(q)² is even in quarters q."""

    def bpm(quarter):
        before = [m for m in marks if 4 * (m.bar - 1) <= quarter] or marks[:1]
        mark = before[-1]
        after = [m for m in marks if m.bar > mark.bar]
        begin = 4 * (mark.bar - 1)
        if quarter < begin or not mark.ramp or not after:
            return float(mark.bpm)
        share = (quarter - begin) / (4 * (after[0].bar - 1) - begin)
        return (float(mark.bpm) ** 2 * (1 - share) + float(after[0].bpm) ** 2 * share) ** 0.5

    corners = [4 * (m.bar - 1) for m in marks if 1 < m.bar < bar]
    places = [0, *corners, 4 * (bar - 1)]
    parts = [integrate.quad(lambda q: 60 / bpm(q), a + 1e-12, b - 1e-12)[0] for a, b in pairwise(places)]
    return sum(parts)


def test_a_ramp_whose_first_mark_is_not_at_bar_1_begins_at_its_mark():
    marks = (TempoMark(bar=5, bpm=60, ramp=True), TempoMark(bar=9, bpm=120))
    ours = TempoMap(marks)
    # 16 quarters at 60 are 16 s; 16 quarters from 60 to 120 are 120 × 16 / (60 + 120) = 10⅔ s.
    assert ours.seconds(5) == 16
    assert ours.seconds(9) == 16 + Fraction(32, 3)
    assert ours.position(Fraction(16)) == (5, 1)
    assert ours.bpm(Fraction(8)) == 60


@pytest.mark.parametrize("seed", range(30))
def test_ramps_from_anywhere_agree_with_integration(seed):
    pick = random.Random(seed)
    bars = sorted(pick.sample(range(1, 40), pick.randint(1, 6)))
    marks = [TempoMark(bar=b, bpm=pick.randint(40, 220), ramp=pick.random() < 0.6) for b in bars]
    ours = TempoMap(tuple(marks))
    for bar in (2, bars[0], *pick.sample(range(1, 50), 5)):
        assert float(ours.seconds(bar)) == pytest.approx(integrated_s(marks, bar), abs=1e-6)
        assert abs(ours.quarter_at(ours.seconds(bar)) - ours.quarters(bar)) < Fraction(1, 10**6)


@pytest.mark.parametrize("first", [1, 2, 5, 17])
def test_a_first_mark_anywhere_agrees_with_mido_and_pretty_midi(first):
    song = Song.model_validate(
        {
            "kind": "song", "id": "s", "name": "S", "length_s": 200,
            "tempo": [{"bar": first, "bpm": 75}, {"bar": first + 8, "bpm": 150}],
            "sections": [{"bar": first + 10, "name": "end"}],
        }
    )  # fmt: skip
    raw = song_midi(song)
    ticks = 4 * mido.MidiFile(file=io.BytesIO(raw)).ticks_per_beat * (first + 9)
    theirs = pretty_midi.PrettyMIDI(io.BytesIO(raw)).tick_to_time(ticks)
    spent = 0.0
    for message in mido.MidiFile(file=io.BytesIO(raw)):
        spent += message.time
        if message.type == "marker":
            break
    ours = float(TempoMap(song.tempo).seconds(first + 10))
    assert ours == pytest.approx(theirs, abs=1e-6)
    assert ours == pytest.approx(spent, abs=1e-6)


@given(
    st.lists(st.tuples(st.integers(1, 40), st.integers(40, 240), st.booleans()), min_size=1, max_size=5),
    st.lists(st.tuples(st.integers(2, 40), st.sampled_from(["3/4", "6/8", "5/4"])), max_size=3),
    st.fractions(0, 20, max_denominator=9),
)
def test_bars_all_at_once_and_remembered_start_where_each_by_itself_does(marks, changes, downbeat_s):
    tempo = tuple(TempoMark(bar=bar, bpm=bpm, ramp=ramp) for bar, bpm, ramp in marks)
    meters = tuple(MeterMark(bar=bar, meter=meter) for bar, meter in changes)
    bars = TempoMap(tempo, meters)
    starts = [float(downbeat_s + TempoMap(tempo, meters).seconds(bar)) for bar in range(1, 60)]
    assert bars.bar_starts_s(59, downbeat_s) == starts
    for _ in range(2):  # the second time from memory
        assert [float(downbeat_s + bars.seconds(bar)) for bar in range(1, 60)] == starts
