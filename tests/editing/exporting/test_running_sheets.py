"""A running sheet for each position: what it does and nothing else, on a page, with what is new marked."""

import subprocess
from pathlib import Path

from devices import program
from small_shows import cue, item, show

from showcaller.editing import Move, SetFields, apply
from showcaller.editing.exporting.running_sheets import MARK, positions, running_sheets, tasks
from showcaller.model import read_show

SAMPLE = read_show(Path(__file__).parents[3] / "sample_shows" / "breakwater.json")


def pages(pdf, folder):
    path = folder / "x.pdf"
    path.write_bytes(pdf)
    done = subprocess.run(
        [program("pdftotext"), "-layout", str(path), "-"], capture_output=True, check=True, text=True
    )
    return [page for page in done.stdout.split("\f") if page.strip()]


def walking():
    clearances = [{"kind": "yes", "id": "lane", "name": "Lane clear", "position": "Crowd safety"}]
    legs = [{"name": "Lane", "length_m": 20, "clearances": ["lane"], "radio": "4"}]
    people = [{"name": "Tam", "task": "leads with the torch"}]
    routes = [{"id": "r", "name": "Way", "legs": legs, "people": people}]
    walk = {"kind": "walk-on", "id": "w", "name": "Walk", "length_s": 60, "route": "r"}
    songs = [
        item("one", 300, [cue("a", "1", 0, label="Wash"), cue("v", "1", 9, "video", label="Faces")]),
        item("two", 200, [cue("b", "2", 5, label="Cut", needs=["lane"])]),
    ]
    return show([walk, *songs], routes=routes, clearances=clearances)


def test_each_position_has_its_own_tasks_and_nobody_elses(tmp_path):
    made = walking()
    assert positions(made) == ("Lights", "Video", "Crowd safety", "Tam")
    read = pages(running_sheets(made, "edition 2", "Thu 26 Nov 2026 14:33"), tmp_path)
    assert len(read) == 4
    lights, video, crowd, tam = (" ".join(page.split()) for page in read)
    assert "Wash" in lights
    assert "Cut" in lights
    assert "Faces" not in lights
    assert "Faces" in video
    assert "before Lane give clearance Lane clear, radio 4" in crowd
    assert "before Lights 2 give clearance Lane clear" in crowd
    assert "leads with the torch" in tam
    for page in (lights, video, crowd, tam):
        assert "20:00:00 Walk 1:00" in page
        assert "20:01:00 One 5:00" in page
        assert "first issue" in page
        assert "printed Thu 26 Nov 2026 14:33" in page


def test_what_is_otherwise_since_the_last_issue_is_marked_and_nothing_else(tmp_path):
    before = walking()
    after, _ = apply(before, SetFields(at=("items", "one", "cues", "a"), fields={"label": "Blue wash"}))
    after, _ = apply(after, SetFields(at=("items", "two"), fields={"length_s": 230}))
    read = pages(running_sheets(after, "edition 3", "now", before), tmp_path)
    marked = [line.split(MARK)[1].split()[0:2] for page in read for line in page.splitlines() if MARK in line]
    assert "first issue" not in "".join(read)
    assert [words for words in marked if words != ["new", "or"]] == [
        ["1", "0:00"], *[["20:06:00", "Two"]] * 1, *[["20:06:00", "Two"]] * 3,
    ]  # fmt: skip


def test_an_item_that_is_played_at_another_place_is_marked_and_says_so(tmp_path):
    before = walking()
    first, last = before.items[0], before.items[-1]
    after, _ = apply(before, Move(at=("items",), key=last.id, index=0))
    (page, *_) = pages(running_sheets(after, "edition 3", "now", before), tmp_path)
    moved = [line for line in page.splitlines() if "moved in the order" in line]
    assert len(moved) == 1
    assert last.name in moved[0]
    assert MARK in moved[0]
    assert first.name not in moved[0]


def test_every_position_of_the_sample_has_one_page_but_who_has_more_than_it_holds(tmp_path):
    read = pages(running_sheets(SAMPLE, "edition 14", "now"), tmp_path)
    more = [name for name in positions(SAMPLE) if sum(len(tasks(SAMPLE, i, name)) for i in SAMPLE.items) > 70]
    assert more == ["Lights", "Video"]
    assert len(read) == len(positions(SAMPLE)) + len(more)
    for page in read:
        assert set(positions(SAMPLE)) & {line.strip() for line in page.splitlines()}, "whose sheet it is"
    for one in SAMPLE.all_cues():
        if one.department == "spots" and one.label:
            assert one.label.split()[0] in "".join(read)
