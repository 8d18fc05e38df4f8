"""The tables that migrations make are the tables the code speaks of; old tours open."""

import shutil
import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from archive_records import make_records

from showcaller.archive import TourError, indexes
from showcaller.archive.opening import MIGRATIONS, make_engine, place_of, writing
from showcaller.archive.tables import Base
from showcaller.archive.tour import Tour
from showcaller.archive.version import HEAD
from showcaller.model import Show

GOLDEN = Path(__file__).parent / "golden"


def test_migrations_make_exactly_the_tables_in_use(where: str) -> None:
    """Judged by Alembic's own comparison."""
    assert {indexes.ITEM_ENDED, indexes.TELLING} <= Base.metadata.tables["events"].indexes
    Tour.create(where, "Summer").close()
    engine = make_engine(place_of(where))
    with engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Base.metadata) == []
        assert context.get_current_revision() == HEAD
    engine.dispose()


def test_the_newest_migration_is_the_one_the_code_expects() -> None:
    config = Config()
    config.set_main_option("script_location", str(MIGRATIONS))
    scripts = ScriptDirectory.from_config(config)
    assert scripts.get_heads() == [HEAD]
    revisions = [s.revision for s in scripts.walk_revisions()]
    assert revisions == sorted(revisions, reverse=True)  # newer is told from older by comparing them


@pytest.mark.parametrize("version", range(1, int(HEAD) + 1))
def test_tours_of_every_released_version_open(tmp_path: Path, version: int) -> None:
    path = tmp_path / "old.tour"
    connection = sqlite3.connect(path)
    connection.executescript((GOLDEN / f"tour_v{version}.sql").read_text(encoding="utf-8"))
    connection.close()
    with Tour.open(path) as tour:
        assert tour.name == f"Golden, version {version}"
        (run,) = tour.runs()
        assert tour.records(run) == make_records()
        assert tour.show_of(run.edition).name == "Pier"
        assert tour.editions()[0].digest == "8e1c4bd98d1cda7ba5d03c452434a02b665f5a7466c28bebfce83f807f6f6413"
        assert len(tour.events(run, "fired")) == 6
        assert [len(events) for _, events in tour.telling("item_ended")] == [1]
        kept = version >= 2  # what came with the second version is there from then on
        assert tour.editions()[0].names == (("after previews",) if kept else ())
        assert [m.item for m in tour.day_marks()] == (["doors"] if kept else [])
        assert [r.zero_ns for r in tour.recordings(run)] == ([-2_000_000_000] if kept else [])
        drift = [(-41.5, 0.3)] if version >= 4 else [(0.0, None)] if kept else []
        assert [(r.drift_ppm, r.drift_error_ppm) for r in tour.recordings(run)] == drift
        assert [r.kind for r in tour.remarks(run)] == (["near miss"] if kept else [])


NEXT = """
import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade():
    op.add_column("runs", sa.Column("remark", sa.Text()))
    {then}
"""


@pytest.mark.parametrize("then", ["pass", "raise RuntimeError('power cut')"])
def test_an_older_tour_is_brought_up_to_date_or_left_as_it_was(
    tmp_path: Path, tour_file: Path, monkeypatch: pytest.MonkeyPatch, then: str
) -> None:
    shutil.copytree(MIGRATIONS, tmp_path / "next")
    (tmp_path / "next" / "versions" / "v0005_next.py").write_text(NEXT.format(then=then), encoding="utf-8")
    monkeypatch.setattr("showcaller.archive.opening.MIGRATIONS", tmp_path / "next")
    monkeypatch.setattr("showcaller.archive.opening.HEAD", "0005")
    monkeypatch.setattr("showcaller.archive.opened.HEAD", "0005")
    if then == "pass":
        Tour.open(tour_file).close()
    else:
        with pytest.raises(RuntimeError, match="power cut"):
            Tour.open(tour_file)
    connection = sqlite3.connect(tour_file)
    columns = [row[1] for row in connection.execute("PRAGMA table_info(runs)")]
    (version,) = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    connection.close()
    assert (version, "remark" in columns) == (("0005", True) if then == "pass" else ("0004", False))
    monkeypatch.undo()
    if then == "pass":
        with pytest.raises(TourError, match="written by a newer showcaller"):
            Tour.open(tour_file)
    else:
        Tour.open(tour_file).close()


def test_two_desks_may_bring_the_same_tour_up_to_date_at_once(where: str, show: Show) -> None:
    """A tour of the first version on either database, opened by four desks in the same moment."""
    from threading import Barrier, Thread

    from alembic import command

    place = place_of(where)
    engine = make_engine(place)
    if place.path is not None:
        place.path.touch()
    with writing(engine).begin() as connection:
        config = Config()
        config.set_main_option("script_location", str(MIGRATIONS))
        config.attributes["connection"] = connection
        command.upgrade(config, "0001")
        connection.exec_driver_sql("INSERT INTO tour VALUES (1, 'Old', 1, 0)")
    engine.dispose()
    start, failures, names = Barrier(4), [], []

    def open_it() -> None:
        start.wait()
        try:
            with Tour.open(where, wait_s=30) as tour:
                names.append((tour.name, tour.freeze(show, "first").edition.number))
        except Exception as error:
            failures.append(error)

    desks = [Thread(target=open_it) for _ in range(4)]
    for desk in desks:
        desk.start()
    for desk in desks:
        desk.join()
    assert failures == []
    assert names == [("Old", 1)] * 4
