"""Tour files from elsewhere, looked through by a real child before anything of them is taken in."""

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from small_shows import document, item

from showcaller.archive import TourError
from showcaller.archive.elsewhere import look_through
from showcaller.archive.tour import Tour
from showcaller.model import parse_show
from showcaller.run.codec import event_from, input_from
from showcaller.run.runlog import Record


@pytest.fixture
def tour(tmp_path: Path) -> Path:
    path = tmp_path / "a.tour"
    with Tour.create(path, "A") as made:
        for n in range(3):
            made.add_edition(parse_show(json.dumps(document([item("a", 60 + n, [])]))))
    return path


def test_a_sound_tour_is_looked_through_with_progress_and_is_as_it_was(tour: Path) -> None:
    before, steps = tour.read_bytes(), []
    look_through(tour, lambda *step: steps.append(step))
    assert tour.read_bytes() == before
    assert any("a.tour" in what for what, _, _ in steps)


def test_damaged_pages_are_found_out_in_a_sentence(tour: Path) -> None:
    raw = bytearray(tour.read_bytes())
    for at in range(4096, len(raw), 4096):
        raw[at : at + 64] = b"\xff" * 64
    tour.write_bytes(raw)
    with pytest.raises(TourError, match=r"a\.tour is damaged") as refused:
        look_through(tour)
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("text", ["{", '{"format": 1}', "x" * 1000, '{"a": 1, "a": 2}'])
def test_an_edition_that_is_no_show_is_named(tour: Path, text: str) -> None:
    with closing(sqlite3.connect(tour)) as file, file:
        file.execute("UPDATE editions SET document = ? WHERE number = 2", (text,))
    with pytest.raises(TourError, match=r"edition 2 of a\.tour"):
        look_through(tour)


def test_stopping_and_what_is_no_file_are_sentences(tour: Path, tmp_path: Path) -> None:
    with pytest.raises(TourError, match="was stopped; nothing was changed"):
        look_through(tour, stop=lambda: True)
    with pytest.raises(TourError, match="is a folder"):
        look_through(tmp_path)


def test_a_number_where_an_edition_belongs_is_a_sentence(tour: Path) -> None:
    """Found by fuzzing: SQLite keeps any kind of value in any column that promises nothing."""
    with closing(sqlite3.connect(tour)) as file, file:
        file.execute("UPDATE editions SET document = x'37' WHERE number = 2")
    with Tour.open(tour) as opened, pytest.raises(TourError, match="edition 2 is no text"):
        opened.show_of(2)


@pytest.mark.parametrize(
    ("table", "column", "value"),
    [
        ("records", "input", '{"kind" "start"}'),
        ("records", "input", "7"),
        ("records", "input", b"\xff"),
        ("records", "wall_ns", "soon"),
        ("events", "body", '{"kind":'),
        ("events", "body", "{},{}"),
        ("events", "body", '["kind"]'),
        ("events", "body", '{"kind":"answered","departments":3,"cues":[]}'),
        ("events", "body", "[" * 100_000),
    ],
)
def test_a_run_whose_log_is_damaged_in_the_tour_is_a_sentence(
    tour: Path, table: str, column: str, value: str | bytes
) -> None:
    """Found by fuzzing: the texts in which records lie are whatever a damaged file holds."""
    answered = event_from({"kind": "answered", "departments": [], "cues": []})
    records = [Record(1, 1, 1, input_from({"kind": "start"}), (answered,))]
    with Tour.open(tour) as opened:
        run = opened.add_run(opened.editions()[0], records, run_id="r")
        assert opened.records(run) == records
    with closing(sqlite3.connect(tour)) as file, file:
        file.execute(f"UPDATE {table} SET {column} = ? WHERE seq = 1", (value,))
    with Tour.open(tour) as opened, pytest.raises(TourError, match="damaged") as refused:
        opened.records(opened.runs()[0])
    assert "\n" not in str(refused.value)
