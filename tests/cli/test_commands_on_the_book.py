"""The command line on the book: a new show filled from a spreadsheet, written out, compared, looked over."""

import json
import subprocess

import pytest
from devices import program
from small_shows import document, item
from typer.testing import CliRunner

from showcaller.cli.every import app
from showcaller.model import read_show, show_text
from showcaller.resources import sample

SAMPLE = str(sample("breakwater.json"))


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


def test_a_new_show_is_filled_from_a_spreadsheet_only_when_told_to(tmp_path):
    path, sheet = tmp_path / "harbour-lights.json", tmp_path / "order.csv"
    assert run("new", path).exit_code == 0
    assert read_show(path).name == "Harbour lights"
    assert "there already" in run("new", path).stderr
    sheet.write_text("Song,Length\nLow Water,5:10\nBad,4.36\n")
    before = path.read_bytes()
    done = run("import", path, sheet)
    assert "row 3, column B: 'Bad': 4.36 may be minutes or seconds; 4:00 until you know" in done.stdout
    assert "Nothing was changed" in done.stdout
    assert path.read_bytes() == before
    assert run("import", path, sheet, "--write").exit_code == 0
    assert [i.name for i in read_show(path).items] == ["Low Water", "Bad"]


@pytest.mark.parametrize("ending", ["pdf", "xlsx", "ods", "csv", "ics"])
def test_every_export_is_written(tmp_path, ending):
    path = tmp_path / f"out.{ending}"
    done = run("export", SAMPLE, path)
    assert done.exit_code == 0, done.stderr
    assert path.stat().st_size > 300


def test_a_department_gets_its_own_cue_sheet(tmp_path):
    path = tmp_path / "spots.pdf"
    assert run("export", SAMPLE, path, "--department", "spots").exit_code == 0
    text = subprocess.run([program("pdftotext"), str(path), "-"], capture_output=True, text=True, check=True)
    assert "Spots" in text.stdout
    assert "Video" not in text.stdout


def test_a_song_goes_out_as_midi_and_as_a_timeline_and_needs_its_name(tmp_path):
    assert run("export", SAMPLE, tmp_path / "t.mid", "--item", "tideline").exit_code == 0
    assert (tmp_path / "t.mid").read_bytes().startswith(b"MThd")
    assert run("export", SAMPLE, tmp_path / "t.otio", "--item", "tideline").exit_code == 0
    assert "--item" in run("export", SAMPLE, tmp_path / "u.mid").stderr
    assert "there is no item 'nobody'" in run("export", SAMPLE, tmp_path / "u.mid", "--item", "nobody").stderr
    assert "does not end in" in run("export", SAMPLE, tmp_path / "u.doc").stderr


def test_two_shows_are_compared_as_a_note_to_the_crew(tmp_path):
    new = tmp_path / "new.json"
    show = json.loads(show_text(read_show(sample("breakwater.json"))))
    show["items"][4]["length_s"] += 30
    new.write_text(json.dumps(show))
    done = run("compare", SAMPLE, new)
    assert done.stdout.splitlines()[0] == "1 changed; the show is 0:30 longer."
    assert "Tideline is 7:00 (was 6:30; it is 0:30 longer)" in done.stdout


def test_the_check_says_what_is_wrong_and_ends_with_one(tmp_path):
    path = tmp_path / "show.json"
    path.write_text(json.dumps(document([item("a", 60, [], reference="gone.wav")])))
    done = run("ready", path)
    assert done.exit_code == 1
    assert "WRONG  media: no file gone.wav." in done.stdout
    assert "this machine: " in done.stdout
    assert "not a safety system" in done.stderr
