"""Running orders from spreadsheets as people leave them: what is understood, what is said, what changes."""

import csv
import time
from datetime import date
from datetime import time as clock
from fractions import Fraction

import openpyxl
import pytest
from small_shows import item, show, two_songs

from showcaller.editing import apply
from showcaller.editing.importing.cells import Table, TableError, read_tables
from showcaller.editing.importing.running_order import read_running_order
from showcaller.editing.importing.values import CellError, length_of_cell


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
    said = [str(r) for r in found.remarks if r.wrong]
    assert said[0] == "row 2, column B: 4.36 may be minutes or seconds; write 4:36, or seconds from 30 up"
    assert said[1].startswith("row 3, column B: 2026-04-05 is a date")
    assert said[2] == "row 4, column B: 'long' is not a length; write 4:36"
    assert said[3].startswith("row 5, column A: has no name, though B is filled")
    assert said[4].startswith("row 7, column C: tempo: 'quick' is not a tempo")
    assert said[5] == "row 10, column B: -3 is not a length; write 4:36"
    assert [str(r) for r in found.remarks if not r.wrong] == [
        "row 6, column B: 'D' has no length; 4:00 until you know"
    ]
    assert [w[0] for w in found.rows] == ["D", "F", "F"], "a name may come twice"


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
    assert "taken for 4:36 minutes" in doubt
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
    assert [w[:2] for w in found.rows] == [("A", "song"), ("D", "talk")]
    said = [str(r) for r in found.remarks]
    assert said[0].startswith("row 3, column C: holds a formula without a value")
    assert said[1].startswith("row 4, column C: 2026-04-05 is a date")


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
