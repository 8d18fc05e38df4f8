"""Running orders from spreadsheets as people leave them: what is understood, what is said, what changes."""

import csv
import time
from datetime import date, timedelta
from datetime import time as clock
from fractions import Fraction

import openpyxl
import pytest
from small_shows import item, show, two_songs

from showcaller.editing import apply
from showcaller.editing.importing.cells import Table, TableError, read_tables
from showcaller.editing.importing.running_order import read_running_order
from showcaller.editing.importing.values import length_of_cell
from showcaller.editing.lengths import CellError


def table(*rows):
    return Table("Sheet1", tuple(tuple(row) for row in rows))


def start():
    return show([{"kind": "song", "id": "new-song", "name": "New song", "length_s": 240}])


def test_a_sheet_with_a_title_above_its_headings_becomes_the_running_order():
    found = read_running_order(
        start(),
        table(
            ("Harbour Lights tour, draft 3",),
            (),
            ("#", "Song", "BPM", "Duration", "Remarks"),
            (1, "Low Water", 92, "5:10", "count-in"),
            (2, "Talk: the ferry", None, "1:30", None),
            (3, "Walk to the jetty", None, 80, None),
            (None, None, None, None, None),
            (4, "Iron Gulls", 124.5, clock(0, 4, 36), None),
        ),
    )
    changed, _ = apply(start(), found.change)
    assert [(i.kind, i.name, i.length_s) for i in changed.items] == [
        ("song", "Low Water", 310),
        ("talk", "Talk: the ferry", 90),
        ("walk-on", "Walk to the jetty", 80),
        ("song", "Iron Gulls", 276),
    ]
    assert changed.items[0].tempo[0].bpm == 92
    assert changed.items[3].tempo[0].bpm == Fraction(249, 2)
    assert changed.items[0].notes == "count-in"
    assert found.summary.startswith("4 items, 12:36 in all: 4 new, 0 changed")
    assert not found.remarks
    assert ("B", "Song", "name") in found.columns


def test_what_is_wrong_is_said_by_row_and_column_and_the_rest_is_understood():
    found = read_running_order(
        start(),
        table(
            ("Song", "Length", "Tempo"),
            ("A", "4.36", None),
            ("B", date(2026, 4, 5), None),
            ("C", "long", 120),
            (None, "3:00", None),
            ("D", None, None),
            ("E", "3:10", "quick"),
            ("F", "3:20", 120),
            ("F", "3:30", None),
            ("G", -3, None),
        ),
    )
    assert [str(r) for r in found.remarks] == [
        "row 5, column A: has no name, though B is filled; the row is not imported",
        "row 2, column B: 'A': 4.36 may be minutes or seconds; 4:00 until you know",
        "row 3, column B: 'B': 2026-04-05 is a date; 4:00 until you know",
        "row 4, column B: 'C': 'long' is not a length; 4:00 until you know",
        "row 6, column B: 'D' has no length; 4:00 until you know",
        "row 7, column C: 'E': tempo: 'quick' is not a tempo; give 124, or a bar and a tempo: 33 132; "
        "the tempo is ignored",
        "row 10, column B: 'G': -3 is not a length; 4:00 until you know",
    ], "what is wrong comes first"
    assert [r.wrong for r in found.remarks] == [True, *[False] * 6]
    assert [w[0] for w in found.rows] == ["A", "B", "C", "D", "E", "F", "F", "G"], "a name may come twice"
    assert found.summary.endswith("; 1 row stays out")


def test_importing_again_takes_no_item_out_where_its_row_cannot_be_read_in_full():
    before = two_songs()
    names = [i.name for i in before.items]
    sheet = table(
        ("name", "length", "kind"), ("Second", "2:00", "quick"), ("First", 4.36, None), ("X", 5, "?")
    )
    found = read_running_order(before, sheet)
    changed, inverse = apply(before, found.change)
    assert [i.name for i in changed.items][:2] == ["Second", "First"]
    second = changed.items[0]
    assert (second.id, second.kind, second.cues) == (before.items[1].id, "song", before.items[1].cues)
    assert second.length_s == 120
    assert second.doubts[0].startswith("kind: 'quick' is no kind of item here")
    assert changed.items[1].length_s == before.items[0].length_s, "the length put right by hand stays"
    assert not any(i.out for i in changed.items[:2])
    assert str(found.remarks[0]).startswith("row 2, column C: 'Second': 'quick' is no kind of item here")
    of_first = next(str(r) for r in found.remarks if "'First'" in str(r))
    assert "'First': 4.36 may be minutes or seconds; " in of_first
    assert of_first.endswith("stays until you know")
    assert "stay out" not in found.summary
    assert {i.name for i in changed.items} == {*names, "X"}
    assert apply(changed, inverse)[0] == before


def test_what_goes_out_tonight_is_named():
    before = show([item(name, 60, []) for name in ("a", "b", "c", "d", "e", "f")])
    found = read_running_order(
        before,
        table(
            ("name", "length"),
            ("A", "1:00"),
        ),
    )
    assert found.summary.endswith("5 not in the file stay, cut tonight (B, C, D and 2 more)")
    found = read_running_order(before, table(("name",), *[(i.name,) for i in before.items[:-1]]))
    assert found.summary.endswith("1 not in the file stays, cut tonight (F)")


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [
        ("20 min", 1200),
        ("4 min", 240),
        ("90 sec", 90),
        ("1 h 20", 4800),
        ("1h20", 4800),
        ("1 h 20 min 5 s", 4805),
        ("2 hours", 7200),
        ("4 min 36", 276),
        ("4:36 min", 276),
        ("1:20 h", 4800),
        ("4,5 min.", 270),
        ("12 s", 12),
        ("4'36\"", 276),
        ("4′", 240),
        ("276,5", Fraction(553, 2)),
    ],
)
def test_lengths_with_their_units_are_clear(cell, seconds):
    assert length_of_cell(cell) == (seconds, "")


@pytest.mark.parametrize(
    "cell", ["4.36 min", "4,36", "20", "about 4", "4 min 99", "min", "1.2.3", "²", 12, 4.36]
)
def test_lengths_that_may_mean_two_things_are_not_guessed(cell):
    with pytest.raises(CellError):
        length_of_cell(cell)


@pytest.mark.parametrize(
    "row",
    [
        ("TOTAL", "8:10"),
        ("Gesamt:", None),
        ("Summe", "\x00formula"),
        ("Total of the first half", "8:10"),
        (None, "8:11"),
    ],
)
def test_the_sum_at_the_foot_is_no_item_and_not_wrong(row):
    sheet = table(("name", "length"), ("Low Water", "5:10"), ("Iron Gulls", "3:00"), (None, None), row)
    found = read_running_order(start(), sheet)
    said = f"'{row[0]}'" if row[0] else "this"
    (remark,) = found.remarks
    words = f"row 5: {said} is the sum of the others and is not imported"
    assert str(remark).startswith(words)
    assert (str(remark) == words) == (row[1] != "\x00formula"), "what has no value cannot be compared"
    assert not found.remarks[0].wrong
    assert found.summary.startswith("2 items, 8:10 in all")


def test_a_song_that_only_begins_like_a_sum_is_a_song():
    sheet = table(("name", "length"), ("Low Water", "5:10"), ("Total Calm", "3:00"), ("Summer Gale", "8:10"))
    assert [w[0] for w in read_running_order(start(), sheet).rows] == [
        "Low Water",
        "Total Calm",
        "Summer Gale",
    ]


def test_minutes_a_spreadsheet_kept_as_hours_are_said_once(tmp_path):
    path = tmp_path / "order.xlsx"
    book = openpyxl.Workbook()
    book.active.append(["Song", "Length"])
    for n, length in enumerate((clock(2, 10), clock(4, 36), timedelta(hours=25), clock(3, 0))):
        book.active.append([f"Song {n}", length])
    book.active.append(["Bad", "4.36"])
    book.save(path)
    found = read_running_order(start(), read_tables(path)[0])
    assert [w[2] for w in found.rows] == ["2:10", "4:36", "25:00", "3:00", "4:00"]
    assert [str(r) for r in found.remarks] == [
        "row 6, column B: 'Bad': 4.36 may be minutes or seconds; 4:00 until you know",
        "column B: 2:10 was kept as hours and minutes; taken for 2 min 10 s, and so are 3 more",
    ]


def test_items_that_are_known_are_changed_and_those_that_are_missing_stay_out_tonight():
    before = two_songs()
    found = read_running_order(before, table(("name", "length"), ("New one", "3:00"), ("First", "1:10")))
    changed, inverse = apply(before, found.change)
    assert [i.name for i in changed.items[:2]] == ["New one", "First"]
    assert changed.items[1].length_s == 70
    assert changed.items[1].cues == before.items[0].cues
    assert [i.out for i in changed.items] == [False, False, *[True] * (len(changed.items) - 2)]
    assert apply(changed, inverse)[0] == before


def test_a_time_a_spreadsheet_took_for_hours_is_minutes_and_said():
    seconds, doubt = length_of_cell(clock(4, 36))
    assert seconds == 276
    assert doubt == "4:36"
    assert length_of_cell(clock(0, 4, 36)) == (276, "")
    assert length_of_cell("4'36\"")[0] == 276
    assert length_of_cell("4 min 36 s")[0] == 276
    with pytest.raises(CellError, match="formula without a value"):
        length_of_cell("\x00formula")


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "latin-1", "utf-16"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_csv_in_any_usual_writing(tmp_path, encoding, delimiter):
    path = tmp_path / "order.csv"
    with path.open("w", encoding=encoding, newline="") as file:
        writer = csv.writer(file, delimiter=delimiter)
        writer.writerows([["Song", "Length"], ["Späte Möwen", "4:36"], ['He said "go", twice', "1:00"]])
    (read,) = read_tables(path)
    assert [row[0] for row in read.rows[1:]] == ["Späte Möwen", 'He said "go", twice']
    assert bool(read.remark) is (encoding == "latin-1")


def test_xlsx_with_merged_cells_formulas_and_dates(tmp_path):
    path = tmp_path / "order.xlsx"
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Kind", "Song", "Length"])
    sheet.append(["song", "A", "4:36"])
    sheet.append([None, "B", "=C2"])
    sheet.append([None, "C", date(2026, 4, 5)])
    sheet.append(["talk", "D", 45])
    sheet.merge_cells("A2:A4")
    book.save(path)
    (read,) = read_tables(path)
    found = read_running_order(start(), read)
    assert [w[:2] for w in found.rows] == [("A", "song"), ("B", "song"), ("C", "song"), ("D", "talk")]
    said = [str(r) for r in found.remarks]
    assert said[0] == "row 3, column C: 'B': holds a formula without a value; 4:00 until you know"
    assert said[1] == "row 4, column C: 'C': 2026-04-05 is a date; 4:00 until you know"


def test_ten_thousand_rows_are_read_and_nothing_changes_until_it_is_said(tmp_path):
    path = tmp_path / "long.csv"
    rows = "".join(f"Song {n},{3 + n % 4}:{n % 60:02d}\n" for n in range(10_000))
    path.write_text(f"Song,Length\n{rows}")
    before = start()
    begun = time.monotonic()
    found = read_running_order(before, read_tables(path)[0])
    assert len(found.rows) == 10_000
    assert time.monotonic() - begun < 20
    assert len(before.items) == 1


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("x.csv", b"", "x.csv is empty"),
        ("x.csv", b"PK\x03\x04rest", "not text but a packed file"),
        ("x.xlsx", b"not a zip", "cannot be opened as XLSX"),
        ("x.ods", b"not a zip", "cannot be opened as ODS"),
        ("x.doc", b"", "not a spreadsheet that can be read"),
        ("x.csv", b"a\x00b", "bytes that are not text"),
    ],
)
def test_a_file_that_is_no_table_is_one_sentence(tmp_path, name, content, sentence):
    path = tmp_path / name
    path.write_bytes(content)
    with pytest.raises(TableError, match=sentence) as refused:
        read_tables(path)
    assert "\n" not in str(refused.value)


def test_a_sheet_without_names_says_what_to_write():
    with pytest.raises(TableError, match="no column headed 'name'"):
        read_running_order(start(), table(("colour", "size"), ("red", 3)))


def test_an_empty_name_for_an_item_that_exists_cannot_remove_it():
    before = show([item("a", 60, [])])
    found = read_running_order(before, table(("id", "name", "length"), ("a", "", "1:00")))
    assert found.change is None
    assert found.remarks[0].row == 2
