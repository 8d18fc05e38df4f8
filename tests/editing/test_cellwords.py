"""Words in other people's spreadsheets: nothing is carried out, nothing stops the export, all comes back."""

import csv
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_shows import document, item, show

from showcaller.editing.cellwords import as_written, harmless, without_controls
from showcaller.editing.exporting.tables import running_order_sheet, write_csv, write_ods, write_xlsx
from showcaller.editing.importing.cells import read_tables
from showcaller.model import parse_show

LIVE = [
    "=1+1",
    '=HYPERLINK("http://x","y")',
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "'=1+1",
    "''=1",
    "＝1",
]


@pytest.mark.parametrize("text", LIVE)
def test_what_could_be_a_formula_begins_with_a_quote_in_csv(tmp_path, text):
    made = show([item("a", 60, [], notes=text.strip() or text)])
    path = tmp_path / "x.csv"
    write_csv(running_order_sheet(made), path)
    with path.open(encoding="utf-8-sig", newline="") as file:
        cells = [cell for row in csv.reader(file) for cell in row]
    assert not [c for c in cells if c[:1] in tuple("=+-@\t\r")]
    assert read_tables(path)[0].rows[1][-1] == text.strip()


@pytest.mark.parametrize("number", ["-3", "+4.5", "-0,5", "12", "4:36", "-0:05"])
def test_numbers_stay_numbers(number):
    assert harmless(number) == number


@given(st.text())
def test_it_can_always_be_undone(text):
    written = harmless(text)
    assert as_written(written) == text or written == text


@given(st.text().map(lambda t: "=" + t))
def test_a_formula_is_never_let_through_and_comes_back(text):
    assert harmless(text).startswith("'")
    assert as_written(harmless(text)) == text


@pytest.mark.parametrize("end", [".xlsx", ".ods", ".csv"])
def test_control_characters_in_a_name_stop_no_export(tmp_path, end):
    data = document([item("a", 60, [], notes="one\x0btwo\x00\x1b[31m\uffff")])
    data["items"][0]["name"] = "Bell\x07 song"
    made = parse_show(json.dumps(data))
    path = tmp_path / f"x{end}"
    if end == ".csv":
        data["items"][0]["notes"] = "one"
        write_csv(running_order_sheet(parse_show(json.dumps(data))), path)
    else:
        (write_xlsx if end == ".xlsx" else write_ods)([running_order_sheet(made)], path)
    names = [cell for row in read_tables(path)[0].rows for cell in row if isinstance(cell, str)]
    assert any(name.startswith("Bell") and name.endswith(" song") for name in names)


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_what_is_left_is_what_xml_can_hold(text):
    """XML 1.0, section 2.2: tab, line feed, return, and from space up, without FFFE and FFFF."""
    for c in without_controls(text):
        assert c in "\t\n\r" or " " <= c <= "\ufffd" or c >= "\U00010000"


def test_lines_and_spaces_survive_ods(tmp_path: Path):
    notes = "one\ntwo  spaces\n\tthree"
    write_ods([running_order_sheet(show([item("a", 60, [], notes=notes)]))], tmp_path / "x.ods")
    assert read_tables(tmp_path / "x.ods")[0].rows[1][-1] == notes
