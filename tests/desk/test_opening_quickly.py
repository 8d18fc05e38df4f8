"""What is not needed to show a large show is loaded after it."""

import subprocess
import sys
from pathlib import Path

from showcaller.archive.later import LaterTour, at_hand
from showcaller.archive.tour import Tour
from showcaller.desk.tour_facts import EditionNow, TourFacts

LATER = ("sqlalchemy", "psycopg", "numpy", "scipy", "zmq", "mido", "av", "cv2", "asyncio", "reportlab")
"""Large libraries: for the tour, forecasts, the engine, messages, the wall, paper."""


def loaded_by(text: str) -> set[str]:
    done = subprocess.run(
        [sys.executable, "-c", f"{text}\nimport sys\nprint(*sys.modules)"],
        capture_output=True,
        text=True,
        check=True,
    )
    return set(done.stdout.split())


def test_what_needs_no_qt_loads_no_qt():
    assert not {"PySide6", "shiboken6"} & loaded_by("import showcaller.desk.without_qt")


def test_the_desk_is_loaded_without_the_large_libraries():
    found = loaded_by("import showcaller.desk.app")
    assert "PySide6" in found
    assert not found.intersection(LATER)


def test_the_command_that_opens_the_desk_loads_what_the_desk_needs_and_no_other_command():
    found = loaded_by("from showcaller.cli import desk")
    assert not found.intersection((*LATER, "PySide6", "rich.progress", "showcaller.calling.headless"))
    assert {m for m in found if m.startswith("showcaller.cli.")} == {
        "showcaller.cli.desk",
        "showcaller.cli.common",
    }


def test_an_edition_that_was_not_read_yet_is_not_said_to_be_missing():
    now = EditionNow()
    assert now.words() == "edition not read yet"
    now.learn(TourFacts())
    assert now.words() == "edition not kept"
    now.learn(TourFacts(opened=14))
    assert now.words() == "edition 14"


def test_a_tour_of_this_version_is_at_hand_and_opened_when_it_is_asked(tmp_path: Path):
    path = tmp_path / "a tour?#.tour"
    Tour.create(path, "Two nights").close()
    assert at_hand(path)
    later = LaterTour(path)
    with later.opened() as tour:
        assert later.opened() is tour
        assert tour.editions() == []
        assert tour.name == "Two nights"


def test_what_is_no_tour_of_this_version_is_left_to_be_explained(tmp_path: Path):
    assert not at_hand(tmp_path / "none.tour")
    (tmp_path / "folder.tour").mkdir()
    assert not at_hand(tmp_path / "folder.tour")
    for name, raw in (("empty", b""), ("text", b"hello"), ("cut", b"SQLite format 3\x00" + bytes(500))):
        path = tmp_path / f"{name}.tour"
        path.write_bytes(raw)
        assert not at_hand(path)


def test_a_tour_of_another_version_is_not_at_hand(tmp_path: Path):
    import sqlite3

    for column, sql in (
        ("newer", "UPDATE tour SET format_version = 99"),
        ("step", "UPDATE alembic_version SET version_num = '9999'"),
        ("older", "UPDATE alembic_version SET version_num = '0001'"),
    ):
        path = tmp_path / f"{column}.tour"
        Tour.create(path, "T").close()
        with sqlite3.connect(path) as connection:
            connection.execute(sql)
        connection.close()
        assert not at_hand(path)
