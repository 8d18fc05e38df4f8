"""What is written out reads back as the same show: XLSX, ODS, CSV, MIDI, OpenTimelineIO, iCalendar."""

import io
import json
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import icalendar
import mido
import opentimelineio as otio
import pretty_midi
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_shows import document, item, show

from showcaller.editing import apply
from showcaller.editing.exporting.calendar import day_calendar
from showcaller.editing.exporting.midi import MidiExportError, song_midi
from showcaller.editing.exporting.tables import (
    all_sheets,
    write_csv,
    write_ods,
    write_xlsx,
)
from showcaller.editing.importing import FileError
from showcaller.editing.importing.cells import read_tables
from showcaller.editing.importing.files import understand
from showcaller.editing.timeline import TimelineError, sections_of, song_timeline
from showcaller.model import Song, parse_show, read_show, show_text
from showcaller.timing.midi_tempo import read_midi_tempo
from showcaller.timing.plan import compile_item

SAMPLE = read_show(Path(__file__).parents[3] / "sample_shows" / "breakwater.json")
TRACK = [s for s in SAMPLE.items if isinstance(s, Song) and s.tempo]


def emptied(full):
    """The same show with one unused item instead of all."""
    data = json.loads(show_text(full))
    data["items"] = [{"kind": "song", "id": "new-song", "name": "New song", "length_s": 240}]
    return parse_show(json.dumps(data))


def write_all(full, folder):
    sheets = all_sheets(full)
    write_xlsx(sheets, folder / "show.xlsx")
    write_ods(sheets, folder / "show.ods")
    tables = [folder / f"{n}.csv" for n in range(len(sheets))]
    for sheet, path in zip(sheets, tables, strict=True):
        write_csv(sheet, path)
    return [[folder / "show.xlsx"], [folder / "show.ods"], tables]


def taken_in(into, files):
    """The show after importing all findings, one after the other."""
    for path in files:
        count = len(understand(into, path, into.items[0].id if into.items else ""))
        for n in range(count):
            found = understand(into, path, into.items[0].id)[n]
            assert not [r for r in found.remarks if r.wrong], [str(r) for r in found.remarks][:3]
            if found.change is not None:
                into, _ = apply(into, found.change)
    return into


def same_items(one, other):
    """Items and their cues alike; a spreadsheet names no sound file and has no shot lists (these have their
    own papers)."""
    return _in_a_sheet(one) == _in_a_sheet(other)


def _in_a_sheet(show):
    items = json.loads(show_text(show))["items"]
    left_out = ("reference", "reference_at_s", "shots")
    return [{k: v for k, v in item.items() if k not in left_out} for item in items]


def test_the_sample_comes_back_the_same_from_every_spreadsheet(tmp_path):
    for files in write_all(SAMPLE, tmp_path):
        # Into the show itself nothing changes; into an empty one all of it comes.
        assert show_text(taken_in(SAMPLE, files)) == show_text(SAMPLE)


def test_an_empty_show_becomes_the_sample_from_its_own_spreadsheets(tmp_path):
    for files in write_all(SAMPLE, tmp_path):
        assert same_items(taken_in(emptied(SAMPLE), files), SAMPLE), files


_TEXT = st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1).filter(
    lambda t: t.strip() == t and "\ufeff" not in t and "\x85" not in t and "_x" not in t and len(t) < 60
)


@settings(max_examples=25, deadline=None)
@given(st.lists(_TEXT, min_size=1, max_size=4, unique_by=str.lower), st.lists(_TEXT, max_size=3))
def test_any_names_and_notes_survive_a_spreadsheet(tmp_path_factory, names, notes):
    items = [
        item(f"i{n}", 60, [], notes=notes[n % len(notes)] if notes else "") | {"name": name}
        for n, name in enumerate(names)
    ]
    full = show(items)
    folder = tmp_path_factory.mktemp("names")
    for files in write_all(full, folder):
        assert same_items(taken_in(full, files), full)


def test_a_text_that_looks_like_a_formula_stays_a_text(tmp_path):
    full = show([item("a", 60, [], notes="=1+1")])
    for files in write_all(full, tmp_path):
        assert taken_in(full, files).items[0].notes == "=1+1"
        assert read_tables(files[0])[0].rows[1][-1] == "=1+1"


def test_a_songs_midi_file_says_the_same_to_us_and_to_two_libraries():
    for song in TRACK:
        data = song_midi(song)
        steady = not any(m.ramp for m in song.tempo)
        again = read_midi_tempo(data)
        if steady:
            assert [m.bar for m in again.tempo] == [m.bar for m in sorted(song.tempo, key=lambda m: m.bar)]
        assert [(s.bar, s.name) for s in again.sections] == [(s.bar, s.name) for s in song.sections]
        ours = compile_item(song, "25").tempo
        theirs = pretty_midi.PrettyMIDI(io.BytesIO(data))
        for section in song.sections:
            ticks = round(ours.quarters(section.bar) * 960)
            # pretty_midi and mido both know when a tick is; a tempo is whole microseconds in the file.
            assert theirs.tick_to_time(ticks) == pytest.approx(float(ours.seconds(section.bar)), abs=0.02)
        assert mido.MidiFile(file=io.BytesIO(data)).type == 1
    with pytest.raises(MidiExportError, match="has no tempo"):
        song_midi(next(s for s in SAMPLE.items if isinstance(s, Song) and not s.tempo))


def test_a_timeline_written_is_read_by_the_library_and_by_us():
    for song in TRACK:
        text = song_timeline(SAMPLE, song)
        assert sections_of(text, song) == [{"name": s.name, "bar": s.bar} for s in song.sections]
        timeline = otio.adapters.read_from_string(text, "otio_json")
        assert timeline.duration().to_seconds() == pytest.approx(float(song.length_s))
        markers = timeline.tracks[0][0].markers
        assert len(markers) == len(song.sections) + len(song.cues)


def test_sections_come_from_another_programs_markers_and_clips(tmp_path):
    song = Song.model_validate(item("s", 120, [], tempo=[{"bar": 1, "bpm": 120}]))
    track = otio.schema.Track()
    for name, seconds in (("intro", 8), ("verse", 16)):
        length = otio.opentime.TimeRange(duration=otio.opentime.RationalTime(seconds * 25, 25))
        track.append(otio.schema.Clip(name=name, source_range=length))
    timeline = otio.schema.Timeline()
    timeline.tracks.append(track)
    text = otio.adapters.write_to_string(timeline, "otio_json")
    # A bar of four at 120 lasts two seconds.
    assert sections_of(text, song) == [{"name": "intro", "bar": 1}, {"name": "verse", "bar": 5}]
    with pytest.raises(TimelineError, match="not an OpenTimelineIO file"):
        sections_of("{", song)


def test_a_midi_file_that_is_cut_short_or_of_another_type_is_one_sentence(tmp_path):
    for name, data in (("cut.mid", song_midi(TRACK[0])[:40]), ("two.mid", b"MThd\0\0\0\6\0\2\0\1\0\x60")):
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(FileError, match=name) as refused:
            understand(SAMPLE, path, TRACK[0].id)
        assert "\n" not in str(refused.value)
    talk = next(i for i in SAMPLE.items if i.kind == "talk")
    with pytest.raises(FileError, match="is for a song"):
        understand(SAMPLE, path, talk.id)


def test_the_days_calendar_is_read_by_icalendar_with_times_after_midnight():
    day = [
        {"id": "doors", "name": "Doors, north; south", "kind": "doors", "starts_at": "18:30"},
        {"id": "show", "name": "Show", "kind": "show", "starts_at": "20:45", "ends_at": "22:50"},
        {
            "id": "out", "name": "Get-out", "kind": "get-out", "starts_at": "23:30", "ends_at": "03:00",
            "crew": 60, "trucks": 12, "departments": ["lights"], "notes": "Dock B",
        },
        {"id": "last", "name": "Last truck", "kind": "other", "starts_at": "03:30"},
    ]  # fmt: skip
    made = parse_show(json.dumps(document([item("a", 60, [])], day=day)))
    zone = timezone(timedelta(hours=2))
    data = day_calendar(made, date(2026, 7, 4), zone, datetime(2026, 7, 1, tzinfo=UTC))
    # RFC 5545: CRLF, lines of 75 octets at most, text escaped.
    assert data.endswith(b"END:VCALENDAR\r\n")
    assert max(len(line) for line in data.split(b"\r\n")) <= 75
    assert rb"Doors\, north\; south" in data
    events = {str(e["summary"]): e for e in icalendar.Calendar.from_ical(data).walk("VEVENT")}
    assert events["Doors, north; south"].decoded("dtstart") == datetime(2026, 7, 4, 16, 30, tzinfo=UTC)
    out = events["Get-out"]
    assert (out.decoded("dtstart"), out.decoded("dtend")) == (
        datetime(2026, 7, 4, 21, 30, tzinfo=UTC),
        datetime(2026, 7, 5, 1, 0, tzinfo=UTC),
    )
    assert events["Last truck"].decoded("dtstart") == datetime(2026, 7, 5, 1, 30, tzinfo=UTC)
    assert "crew 60" in str(out["description"])
