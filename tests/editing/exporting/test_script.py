"""The call script and cue sheets on paper: every word is there, read by pdftotext, and no item is broken."""

import re
import subprocess
from pathlib import Path

import pytest
from devices import program
from small_shows import cue, item, show, tight_show

from showcaller.editing.exporting.script import call_script, cue_sheets
from showcaller.model import read_show
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

SAMPLE = read_show(Path(__file__).parents[3] / "sample_shows" / "breakwater.json")


def pages(pdf: bytes, folder: Path, *how: str) -> list[str]:
    """The text of each page, by poppler's pdftotext (``-raw``: cell by cell, across columns)."""
    path = folder / "x.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        [program("pdftotext"), *how, str(path), "-"], capture_output=True, check=True, text=True
    )
    return [" ".join(page.split()) for page in done.stdout.split("\f") if page.strip()]


def test_every_word_that_is_said_is_in_the_script(tmp_path):
    read = pages(call_script(SAMPLE, "edition 14"), tmp_path)
    whole = " ".join(read)
    sheets = compile_show_calls(compile_plan(SAMPLE))
    for line in (line for sheet in sheets for line in sheet.lines):
        assert " ".join(line.text.split()[-4:]) in whole, line.text
    assert all("edition 14" in page and "Breakwater: call script" in page for page in read)
    assert f"page 1 of {len(read)}" in read[0]
    assert "Local codes and licensed people decide." in whole


def test_no_item_of_the_sample_is_broken_over_two_pages(tmp_path):
    read = pages(call_script(SAMPLE, "edition 14"), tmp_path)
    plan = compile_plan(SAMPLE)
    for n, (planned, sheet) in enumerate(zip(plan.items, compile_show_calls(plan), strict=True)):
        on = [page for page in read if f"{n + 1} {planned.item.name}" in page]
        assert len(on) == 1, planned.item.name
        last = sheet.lines[-1].text.split()
        assert " ".join(last[-3:]) in on[0], planned.item.name


def test_an_item_too_long_for_any_page_goes_on_on_the_next(tmp_path):
    cues = [cue(f"c{n}", str(n + 1), 10 * n + 5) for n in range(120)]
    read = pages(call_script(show([item("long", 1300, cues)]), "edition 1"), tmp_path)
    assert len(read) > 2
    assert "Lights 120, go" in read[-1]


def test_a_departments_sheet_has_its_cues_and_no_others(tmp_path):
    spots = next(d for d in SAMPLE.departments if d.name == "Spots")
    read = " ".join(pages(cue_sheets(SAMPLE, "edition 14", [spots.id]), tmp_path))
    for one in SAMPLE.all_cues():
        if one.department == spots.id:
            assert " ".join(one.label.split()[:3]) in read
    assert "Lights" not in read


@pytest.mark.parametrize("name", ["Späte Möwen", "Œuvre", "Łódź & <b>", "Ñandú"])
def test_accents_and_signs_are_printed(tmp_path, name):
    made = show([item("a", 60, [cue("a1", "1", 3, label=name)]) | {"name": name}])
    assert name in pages(call_script(made, "édition 1"), tmp_path)[0]


def test_a_go_that_cannot_be_said_in_time_is_on_the_page_and_marked(tmp_path):
    (read,) = pages(call_script(tight_show(), "edition 1"), tmp_path)
    instants = [read.index(f"{name}, go") for name in ("Lights 1.5", "Lights 2")]
    marked = "Lights 1.5, go (cannot be called in time: see above)"
    assert marked in read
    # The sentence stands above, the go in the order it is due.
    assert read.index("‘Lights 1.5, go’ comes 0.5 s after") < read.index(marked)
    assert read.index("Video 1, go", read.index("Standby")) < read.index(marked)
    assert instants[0] < read.rindex("Lights 2, go")


def test_each_go_says_what_its_cues_do_and_what_is_looked_for(tmp_path):
    sees = {"at": "visual", "sees": "she lifts the lamp", "expect_s": 40}
    cues = [
        cue("a", "1", 20, label="Harbour wash"),
        cue("b", "2", sees, label="Lamp <glow>"),
        cue("c", "3", 60, label="Gulls"),
        cue("v", "9", 60, "video", label="Horizon"),
    ]
    (read,) = pages(call_script(show([item("a", 90, cues)]), "edition 1"), tmp_path)
    assert "Lights 1, go Harbour wash" in read
    assert "Lights 2, go when she lifts the lamp · Lamp <glow>" in read
    assert "Lights 3, Video 9, go Lights 3 Gulls; Video 9 Horizon" in read


def test_every_label_of_the_sample_is_in_its_script(tmp_path):
    whole = " ".join(pages(call_script(SAMPLE, "edition 14"), tmp_path, "-raw"))
    for planned in compile_plan(SAMPLE).items:
        for one in planned.cues:
            assert one.cue.label in whole


def test_a_sections_heading_stands_before_the_go_on_its_downbeat(tmp_path):
    cues = [cue("a", "1", 0), cue("b", "2", {"at": "bar", "bar": 9}), cue("d", "4", {"at": "bar", "bar": 17})]
    song = item(
        "song", 120, cues, tempo=[{"bar": 1, "bpm": 120}],
        sections=[{"name": "Verse", "bar": 1}, {"name": "Chorus", "bar": 9}, {"name": "Bridge", "bar": 17}],
    )  # fmt: skip
    text = " ".join(pages(call_script(show([song]), "edition 1"), tmp_path, "-raw"))
    order = [
        "Verse, bar 1",
        "Lights 1, go",
        "Chorus, bar 9",
        "Lights 2, go",
        "Bridge, bar 17",
        "Lights 4, go",
    ]
    assert [text.index(words) for words in order] == sorted(text.index(words) for words in order)


def test_every_page_read_aloud_has_a_sheet_of_its_own_behind_the_script(tmp_path):
    read = pages(call_script(SAMPLE, "edition 14"), tmp_path)
    behind = read[-len(SAMPLE.pages) :]
    for made, sheet in zip(SAMPLE.pages, behind, strict=True):
        assert made.name in sheet
        assert f"read by {made.reader}" in sheet
        for line in made.lines:
            assert " ".join(line.says.split()) in sheet
        assert ("stand above this page" in sheet) == (made.kind in ("show stop", "weather", "evacuation"))
    wind = behind[4]
    assert "limit 9 m/s from set piece engineer's letter" in wind
    assert "over it the crane comes down" in wind


def test_a_long_page_is_written_smaller_and_an_empty_one_says_so(tmp_path):
    lines = [
        {"says": f"Line {n}: are you ready, and is everybody near you ready as well?"} for n in range(24)
    ]
    made = [
        {"id": "long", "name": "Long", "reader": "Caller", "lines": lines},
        {"id": "none", "name": "None", "reader": "Caller"},
    ]
    small = SAMPLE.changed(pages=made)
    read = pages(call_script(small, "e"), tmp_path)
    assert sum("Line 0:" in page for page in read) == sum("Line 23:" in page for page in read) == 1
    assert any("Line 0:" in page and "Line 23:" in page for page in read), "one sheet"
    assert "no lines yet" in read[-1]


def test_an_item_has_its_time_of_day_and_the_paper_when_it_was_printed(tmp_path):
    read = pages(call_script(SAMPLE, "edition 14", "Thu 26 Nov 2026 14:33"), tmp_path)
    plan = compile_plan(SAMPLE)
    assert all(len(page.split()) > 30 for page in read), "no page is blank"
    assert all("printed Thu 26 Nov 2026 14:33" in page for page in read)
    assert SAMPLE.starts_at == "20:45"
    second = next(page for page in read if f"2 {plan.items[1].item.name}" in page)
    assert plan.starts_s[1] == 320
    assert "20:50:20" in second
    late = SAMPLE.changed(starts_at="23:58")
    assert "00:03:20" in " ".join(pages(call_script(late, "x"), tmp_path)), "over midnight"


def test_a_walk_on_has_its_route_with_what_each_leg_needs_who_is_where_and_the_channel(tmp_path):
    legs = [
        {"name": "Wing stairs", "length_m": 9, "stairs": 12},
        {"name": "Lane", "length_m": 54, "clearances": ["lane"], "posted": "Ada at the gate", "radio": "4"},
    ]
    people = [{"name": "Tam", "task": "leads with the torch"}]
    routes = [{"id": "r", "name": "Crowd lane", "legs": legs, "people": people}]
    clearances = [{"kind": "yes", "id": "lane", "name": "Lane clear", "position": "Crowd safety"}]
    walk = {"kind": "walk-on", "id": "w", "name": "Walk", "length_s": 190, "route": "r"}
    made = show([walk, item("s", 60, [cue("a", "1", 0)])], routes=routes, clearances=clearances)
    (read,) = pages(call_script(made, "edition 1"), tmp_path)
    wanted = ("Crowd lane: leave by", "Tam: leads with the torch", "Lane · 54 m", "Ada at the gate · radio 4")
    for words in (*wanted, "needs Lane clear (Crowd safety)", "wait where it is not clear"):
        assert words in read, words


def test_there_is_room_for_a_pencil_at_the_right_of_the_lines_of_a_script(tmp_path):
    """By poppler's boxes of words: beside the lines to say nothing stands in the last 20 mm of the text."""
    path = tmp_path / "x.pdf"
    path.write_bytes(call_script(SAMPLE, "edition 14"))
    done = subprocess.run(
        [program("pdftotext"), "-bbox", str(path), "-"], capture_output=True, check=True, text=True
    )
    right = [
        float(x)
        for x, y, word in re.findall(r'xMax="([\d.]+)" yMax="([\d.]+)">([^<]+)<', done.stdout)
        if word in ("Standby", "go", "automatic:")
    ]
    edge = 595.3 - (16 + 20) * 72 / 25.4
    assert len(right) > 200
    assert sum(x > edge for x in right) < 0.1 * len(right), "but for an item that fits its page only so"
