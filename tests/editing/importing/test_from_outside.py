"""Files that were made to do harm, or are merely broken: read by a real child process, each one sentence."""

import json
import os
import socket
import time
import zipfile
from pathlib import Path

import openpyxl
import opentimelineio as otio
import pytest
from mido import MetaMessage, MidiFile, MidiTrack
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table as OdfTable
from odf.table import TableCell, TableRow
from odf.text import P
from small_shows import item, show

from showcaller.editing import apply
from showcaller.editing.importing import FileError
from showcaller.editing.importing.cells import read_tables
from showcaller.editing.importing.taking_in import understand_outside
from showcaller.outside import Limits, Stopped


@pytest.fixture
def book():
    return show([item("one", 120, [], tempo=[{"bar": 1, "bpm": 120}])])


def refused(book, path, limits: Limits | None = None) -> str:
    with pytest.raises(FileError) as error:
        understand_outside(book, path, "one", limits=limits or Limits())
    words = str(error.value)
    assert "\n" not in words
    assert "Traceback" not in words
    return words


def sheet_with(path: Path, cell: str = "", merge: str = "") -> Path:
    """A running order of three songs, and one thing more."""
    made = openpyxl.Workbook()
    for row in (("Song", "Length"), ("Low Water", "5:10"), ("Iron Gulls", "4:36"), ("Slack Tide", "3:00")):
        made.active.append(row)
    if cell:
        made.active[cell] = "far"
    made.save(path)
    if merge:  # the library that writes it would make every cell of it
        with zipfile.ZipFile(path) as archive:
            parts = {n: archive.read(n) for n in archive.namelist()}
        name = "xl/worksheets/sheet1.xml"
        merged = f'<mergeCells count="1"><mergeCell ref="{merge}"/></mergeCells>'.encode()
        parts[name] = parts[name].replace(b"</sheetData>", b"</sheetData>" + merged)
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            for n, data in parts.items():
                archive.writestr(n, data)
    return path


@pytest.mark.parametrize(
    ("cell", "merge"), [("XFD1048576", ""), ("", "C1:XFD1048576"), ("", "B2:B1048576"), ("A1048576", "")]
)
def test_a_far_cell_and_a_huge_merge_cost_nothing_and_the_rest_is_taken(book, tmp_path, cell, merge):
    path = sheet_with(tmp_path / "x.xlsx", cell, merge)
    (found,) = understand_outside(book, path, "one")
    changed, _ = apply(book, found.change)
    assert [i.name for i in changed.items][:2] == ["Low Water", "Iron Gulls"]


def test_a_million_rows_of_csv_are_not_waited_for(book, tmp_path):
    path = tmp_path / "long.csv"
    path.write_bytes(b"Song,Length\r\n" + b"Low Water,5:10\r\n" * 1_000_000)
    begun = time.monotonic()
    (table,) = read_tables(path)
    assert (len(table.rows), table.remark) == (20_000, "only the first 20000 rows are read")
    assert time.monotonic() - begun < 20  # a loaded machine; it takes a tenth of a second


def test_a_file_beyond_the_limit_is_said_with_it_and_not_read(book, tmp_path):
    path = tmp_path / "big.csv"
    with path.open("wb") as file:
        file.truncate(100_000_000)
    assert refused(book, path) == "big.csv is 100 MB; files up to 64 MB are read"


def test_too_many_cells_are_said_with_the_limit(book, tmp_path):
    path = tmp_path / "wide.csv"
    path.write_text("a,b,c\n" * 5_000)
    words = refused(book, path, Limits(cells=10_000))
    assert "more than 10,000 cells, which is the limit" in words


def test_a_packed_file_that_would_unpack_to_gigabytes_is_refused(book, tmp_path):
    path = tmp_path / "bomb.xlsx"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/sharedStrings.xml", b" " * 300_000_000)
    assert "would unpack to 300 MB in 1 parts; 256 MB and 2,000 parts are the limit" in refused(book, path)


def test_a_packed_file_that_promises_more_than_it_holds_is_refused(book, tmp_path):
    """Found by fuzzing: a part's packed size, as long as the list of contents says (APPNOTE 4.3.12)."""
    path = sheet_with(tmp_path / "x.xlsx")
    data = bytearray(path.read_bytes())
    at = data.index(b"PK\x01\x02")
    data[at + 20 : at + 24] = (0xF000_0000).to_bytes(4, "little")
    path.write_bytes(data)
    words = refused(book, path)
    assert words == "x.xlsx holds less than its own list of contents says; save it again"


def test_entities_that_grow_are_refused(book, tmp_path):
    path = tmp_path / "laughs.ods"
    entities = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 10))
    text = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY l0 "ha">{entities}]><x>&l9;</x>'
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", text)
    assert "laughs.ods cannot be opened as ODS" in refused(book, path)


@pytest.mark.parametrize("kind", ["xlsx", "ods"])
def test_a_cut_or_flipped_archive_is_a_sentence(book, tmp_path, kind):
    whole = sheet_with(tmp_path / "whole.xlsx").read_bytes()
    if kind == "ods":
        document = OpenDocumentSpreadsheet()
        document.save(str(tmp_path / "whole.ods"))
        whole = (tmp_path / "whole.ods").read_bytes()
    for n, data in enumerate((whole[: len(whole) // 2], whole[:200] + b"\xff" * 400 + whole[600:])):
        path = tmp_path / f"{n}.{kind}"
        path.write_bytes(data)
        assert f"cannot be opened as {kind.upper()}" in refused(book, path)


def ods_with(path: Path, **attributes: str) -> Path:
    """A valid file, then one attribute of its only cell spoilt."""
    document = OpenDocumentSpreadsheet()
    table, row = OdfTable(name="x"), TableRow()
    cell = TableCell(valuetype="float", value="1")
    cell.addElement(P(text="1"))
    row.addElement(cell)
    table.addElement(row)
    document.spreadsheet.addElement(table)
    document.save(str(path))
    with zipfile.ZipFile(path) as archive:
        parts = {n: archive.read(n) for n in archive.namelist()}
    for was, is_now in attributes.items():
        parts["content.xml"] = parts["content.xml"].replace(was.encode(), is_now.encode())
    with zipfile.ZipFile(path, "w") as archive:
        for n, data in parts.items():
            archive.writestr(n, data)
    return path


@pytest.mark.parametrize(
    "spoilt",
    [
        {'office:value="1"': 'office:value="one"'},
        {'office:value="1"': 'office:value="1" table:number-columns-repeated="many"'},
        {'office:value-type="float"': 'office:value-type="date"'},
    ],
)
def test_a_cell_that_is_not_what_it_says_is_a_sentence(book, tmp_path, spoilt):
    assert "cannot be opened as ODS" in refused(book, ods_with(tmp_path / "x.ods", **spoilt))


TIME = {"OTIO_SCHEMA": "RationalTime.1", "rate": 24.0, "value": 1.0}


@pytest.mark.parametrize(
    "document",
    [
        {"OTIO_SCHEMA": "Marker.1", "marked_range": {"OTIO_SCHEMA": "TimeRange.2"}},
        {"OTIO_SCHEMA": "Marker.0", "marked_range": {"OTIO_SCHEMA": "TimeRange.0"}},
        TIME | {"marked_range": {"OTIO_SCHEMA": "TimeRange.2"}},
        TIME | {"children": [{"markers": [{"OTIO_SCHEMA": "Marker.2"}]}]},
        {"OTIO_SCHEMA": "Marker.1", "marked_range": {"OTIO_SCHEMA": "Gap.1"}},
        {"OTIO_SCHEMA": "Marker.0", "marked_range": {"a": {"OTIO_SCHEMA": "RationacTime.1"}}},
    ],
)
def test_times_that_end_the_library_do_not_reach_it(book, tmp_path, document):
    """Found by fuzzing, made small: each of these alone ends OpenTimelineIO's own reader (SIGSEGV)."""
    path = tmp_path / "deadly.otio"
    path.write_text(json.dumps(document))
    assert refused(book, path).startswith(("a time in this timeline is no ", "a marker in this timeline is "))


def test_a_marker_of_the_version_before_is_read(book, tmp_path):
    """As the library itself reads it: its place was called "range" (its schema's first version)."""
    path = timeline(tmp_path, {"Marker.2": "Marker.1", '"marked_range"': '"range"'})
    (found,) = understand_outside(book, path, "one")
    changed, _ = apply(book, found.change)
    assert [s.name for s in changed.items[0].sections] == ["Verse"]


def test_a_timeline_of_an_old_version_with_a_broken_marker_is_a_sentence(book):
    """Found by fuzzing."""
    words = refused(book, Path(__file__).parent / "damaged" / "deadly.otio")
    assert words == "a marker in this timeline is of no version that there was; write it again"


@pytest.mark.parametrize(
    "made",
    [
        otio.opentime.RationalTime(1, 24),
        otio.opentime.TimeRange(otio.opentime.RationalTime(1, 24), otio.opentime.RationalTime(2, 24)),
        otio.opentime.TimeTransform(otio.opentime.RationalTime(1, 24), 2.0, 24.0),
    ],
)
def test_every_kind_of_time_the_library_writes_may_stand_in_a_timeline(book, tmp_path, made):
    path = timeline(tmp_path, {})
    read = otio.adapters.read_from_file(str(path), "otio_json")
    read.metadata["x"] = made
    otio.adapters.write_to_file(read, str(path), "otio_json")
    (found,) = understand_outside(book, path, "one")
    changed, _ = apply(book, found.change)
    assert [s.name for s in changed.items[0].sections] == ["Verse"]


def test_a_timeline_nested_without_end_does_not_even_reach_the_library(book, tmp_path):
    """Objects in objects overrun the stack of the library's own JSON reader."""
    path = tmp_path / "deep.otio"
    path.write_text('{"OTIO_SCHEMA": "Timeline.1", "metadata": ' + '{"a":' * 1_000_000)
    assert refused(book, path) == "this is not an OpenTimelineIO file: it is nested too deeply"


def test_a_timeline_of_more_objects_than_there_is_room_for_is_said_with_the_limit(book, tmp_path):
    """The library's own words for it were std::bad_alloc."""
    path = tmp_path / "many.otio"
    path.write_text("[" + "{}," * 5_000_000 + "{}]")
    assert refused(book, path) == "reading many.otio needs more than 480 MB of memory, which is the limit"


def test_a_nameless_name_twice_in_a_timeline_is_a_sentence(book, tmp_path):
    """Found by fuzzing: the complaint itself was empty."""
    path = tmp_path / "x.otio"
    path.write_text('{"":1,"":2}')
    assert "this is not an OpenTimelineIO file" in refused(book, path)


def timeline(tmp_path: Path, spoil: dict[str, str]) -> Path:
    made = otio.schema.Timeline(name="x")
    track = otio.schema.Track(name="v", kind=otio.schema.TrackKind.Video)
    gap = otio.schema.Gap(duration=otio.opentime.RationalTime(100, 24))
    at = otio.opentime.TimeRange(otio.opentime.RationalTime(10, 24), otio.opentime.RationalTime(0, 24))
    gap.markers.append(otio.schema.Marker(name="Verse", marked_range=at))
    track.append(gap)
    made.tracks.append(track)
    text = otio.adapters.write_to_string(made, "otio_json")
    for was, is_now in spoil.items():
        assert was in text
        text = text.replace(was, is_now)
    path = tmp_path / "x.otio"
    path.write_text(text)
    return path


@pytest.mark.parametrize(
    "spoil",
    [
        {'"rate": 24.0': '"rate": NaN'},
        {'"rate": 24.0': '"rate": 0'},
        {'"rate": 24.0': '"rate": Infinity'},
        {'"value": 10.0': '"value": NaN'},
        {'"value": 10.0': '"value": 1e300'},
        {'"Gap.1"': '"Timeline.1"'},
        {'"Track.1"': '"Marker.2"'},
        {'"TimeRange.1"': '"Gap.1"'},
        {'"OTIO_SCHEMA": "Stack.1"': '"OTIO_SCHEMA": null'},
    ],
)
def test_a_timeline_of_nonsense_is_a_sentence(book, tmp_path, spoil):
    assert refused(book, timeline(tmp_path, spoil))


def test_a_sound_timeline_is_understood_outside_too(book, tmp_path):
    (found,) = understand_outside(book, timeline(tmp_path, {}), "one")
    changed, _ = apply(book, found.change)
    assert [s.name for s in changed.items[0].sections] == ["Verse"]


def test_a_key_signature_that_is_none_is_a_sentence(book, tmp_path):
    made = MidiFile()
    track = MidiTrack([MetaMessage("key_signature", key="C"), MetaMessage("end_of_track")])
    made.tracks.append(track)
    path = tmp_path / "x.mid"
    made.save(path)
    data = path.read_bytes()
    path.write_bytes(data.replace(b"\xff\x59\x02\x00\x00", b"\xff\x59\x02\x63\x07"))
    assert "this MIDI file is damaged" in refused(book, path)


@pytest.mark.skipif(os.name == "nt", reason="there are no such files there")
@pytest.mark.parametrize("end", ["xlsx", "ods", "csv", "mid", "otio"])
def test_what_is_no_ordinary_file_is_refused_at_once(book, tmp_path, end):
    pipe, sock, folder = (tmp_path / f"{n}.{end}" for n in ("pipe", "sock", "folder"))
    os.mkfifo(pipe)
    with socket.socket(socket.AF_UNIX) as listening:
        listening.bind(str(sock))
        folder.mkdir()
        device = tmp_path / f"device.{end}"
        device.symlink_to("/dev/zero")
        assert refused(book, pipe) == f"pipe.{end} is a named pipe, not a file; name a file"
        assert "is a socket" in refused(book, sock)
        assert "is a folder" in refused(book, folder)
        assert "is a device" in refused(book, device)


def test_stopping_leaves_everything_as_it_was(book, tmp_path):
    path = sheet_with(tmp_path / "x.xlsx")
    with pytest.raises(Stopped):
        understand_outside(book, path, "one", stop=lambda: True)


def test_lines_in_a_cell_stay_lines(tmp_path):
    """OpenDocument writes each as a paragraph (part 3, 19.2), spaces in a row as ``text:s`` (6.1.3)."""
    path = ods_with(
        tmp_path / "x.ods",
        **{
            'office:value-type="float" office:value="1"': 'office:value-type="string"',
            "<text:p>1</text:p>": (
                '<text:p>one</text:p><text:p>t<text:s text:c="2"/>wo<text:line-break/>3</text:p>'
            ),
        },
    )
    (table,) = read_tables(path)
    assert table.rows == (("one\nt  wo\n3",),)


def test_100_mb_of_json_is_refused_by_its_size(book, tmp_path):
    path = tmp_path / "big.otio"
    with path.open("w") as file:
        json.dump({"metadata": "x" * 100_000_000}, file)
    assert refused(book, path) == "big.otio is 100 MB; files up to 16 MB are read"
