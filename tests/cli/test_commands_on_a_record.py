"""The command line runs a show without a window and says afterwards where the time went."""

import csv
import io
import json
import sqlite3
from contextlib import closing
from fractions import Fraction

import pytest
from burned import make_recording
from small_shows import cue, document, follow, item
from typer.testing import CliRunner

from showcaller.archive.tour import Tour
from showcaller.cli.every import app


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


@pytest.fixture(scope="module")
def tour(tmp_path_factory):
    """A tour with one run of a small show, called by the simulated caller at the real engine."""
    folder = tmp_path_factory.mktemp("tour")
    cues = [cue("a", "1", 0), cue("b", "2", 20), follow("c", "3", "b", 2)]
    path = folder / "small.json"
    path.write_text(json.dumps(document([item("first", 60, cues), item("second", 30, [cue("d", "4", 0)])])))
    done = run("run", path, "--headless", "--speed", 60, "--seed", 4)
    assert done.exit_code == 0, done.stderr
    assert done.stdout.startswith("Show 1, simulated: ended")
    return folder / "small.tour"


def test_every_run_is_a_sentence(tour):
    done = run("drift", tour)
    assert done.exit_code == 0
    assert done.stdout.count("\n") == 1


def test_one_run_in_full_for_people_for_scripts_and_for_spreadsheets(tour):
    text = run("drift", tour, "--run", 1).stdout
    assert "simulated caller: " in text
    assert "total" in text
    whole = json.loads(run("drift", tour, "--json").stdout)
    assert whole
    rows = list(csv.DictReader(io.StringIO(run("drift", tour, "--csv").stdout)))
    assert [(r["cue"], r["status"]) for r in rows] == [
        ("a", "go"), ("b", "go"), ("c", "automatic"), ("d", "go"),
    ]  # fmt: skip


def test_a_run_that_is_not_there_a_file_that_is_no_tour_and_one_from_the_future_are_sentences(tour, tmp_path):
    assert "nothing numbered 9 in small.tour; its last are 1" in run("drift", tour, "--run", 9).stderr
    (tmp_path / "x.tour").write_text("hello")
    assert run("drift", tmp_path / "x.tour").exit_code == 2
    newer = tmp_path / "newer.tour"
    newer.write_bytes(tour.read_bytes())
    with closing(sqlite3.connect(newer)) as connection, connection:
        connection.execute("UPDATE alembic_version SET version_num = '9999'")
    connection.close()
    before = newer.read_bytes()
    done = run("drift", newer)
    assert done.exit_code == 2
    assert "newer" in done.stderr
    assert newer.read_bytes() == before


def test_without_a_screen_the_desk_says_so(tour, monkeypatch):
    monkeypatch.setenv("QT_QPA_PLATFORM", "offscreen")
    done = run("desk", tour.with_suffix(".json"))
    assert (done.exit_code, "There is no screen here" in done.stderr) == (2, True)


def test_reports_are_written_in_every_format_by_name(tour, tmp_path):
    names = ["pdf", "html", "xlsx", "csv", "json", "vtt", "cues", "otio", "edl"]
    wanted = [x for name in names for x in ("--export", name)]
    done = run("drift", tour, "--last", *wanted, "--to", tmp_path / "out")
    assert done.exit_code == 0, done.stderr
    assert len(list((tmp_path / "out").iterdir())) == len(names)
    one = run("drift", tour, "--run", 1, "--export", "vtt", "--to", tmp_path / "a.vtt")
    assert one.exit_code == 0
    assert (tmp_path / "a.vtt").read_text().startswith("WEBVTT")
    assert "there is no format 'doc'; there are pdf" in run("drift", tour, "--export", "doc").stderr
    lost = run("drift", tour, "--export", "json", "--to", tmp_path / "none" / "a.json")
    assert (lost.exit_code, lost.stderr.strip().count("\n")) == (2, 0)


def test_the_tour_says_incidents_before_anything_else(tour):
    text = run("drift", tour, "--tour-view").stdout
    assert text.startswith("Incidents of the tour: 0 injury, 0 near miss, 0 damage")
    whole = json.loads(run("drift", tour, "--tour-view", "--json").stdout)
    assert whole["drifters"] == [], "a simulated run teaches nothing until somebody puts it into the charts"
    with Tour.open(tour) as opened:
        opened.add_remark(opened.runs()[0], 0, "in", kind="counted")
    whole = json.loads(run("drift", tour, "--tour-view", "--json").stdout)
    assert [d["runs"] for d in whole["drifters"]] == [1, 1]


def test_a_recording_is_kept_with_its_run_and_the_markers_count_from_it(tour, tmp_path):
    video = make_recording(tmp_path / "a.mov", 30, Fraction(25))
    done = run("drift", tour, "--last", "--recording", video, "--align", "12.5")
    assert (done.exit_code, "aligned by one tap" in done.stdout) == (0, True), done.stderr
    assert run("drift", tour, "--last", "--export", "vtt", "--to", tmp_path / "b.vtt").exit_code == 0
    assert "00:00:12.500 --> " in (tmp_path / "b.vtt").read_text()
    assert "carries no timecode" in run("drift", tour, "--last", "--recording", video).stderr
    assert "not 'ish'" in run("drift", tour, "--last", "--recording", video, "--align", "ish").stderr
    assert "there is no" in run("drift", tour, "--last", "--recording", tmp_path / "none.mov").stderr
