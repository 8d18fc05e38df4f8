"""A tour copied, backed up and brought back from the command line."""

import re

import pytest
from small_shows import document, item
from typer.testing import CliRunner

from showcaller.archive.tour import Tour
from showcaller.cli.every import app
from showcaller.model import Show


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


@pytest.fixture
def tour(tmp_path):
    path = tmp_path / "a.tour"
    with Tour.create(path, "Small") as made:
        made.freeze(Show.model_validate(document([item("first", 60, [])])), "after previews")
    return path


@pytest.mark.system
def test_a_tour_goes_to_a_server_and_back(tour, postgres, tmp_path):
    address = postgres()
    there = run("tour", "copy", tour, address)
    assert there.exit_code == 0, there.stderr
    assert "1 edition, 0 runs, 0 records and 0 events" in there.stdout
    back = run("tour", "copy", address, tmp_path / "b.tour")
    digests = [re.search("SHA-256 ([0-9a-f]{64})", text.stdout)[1] for text in (there, back)]
    assert digests[0] == digests[1]
    again = run("tour", "copy", tour, address)
    assert (again.exit_code, "is a tour already; open it instead" in again.stderr) == (2, True)
    assert run("tour", "editions", address).stdout.strip().endswith("after previews")


def test_a_backup_and_what_it_brings_back(tour, tmp_path):
    kept = tmp_path / "kept.tour"
    assert run("tour", "backup", tour, kept).exit_code == 0
    assert "never takes another's place" in run("tour", "backup", tour, kept).stderr
    done = run("tour", "restore", kept, tour)
    assert done.exit_code == 0
    assert "What stood there is kept as" in done.stdout
    assert run("tour", "backup", tmp_path / "none.tour", kept).exit_code == 2
