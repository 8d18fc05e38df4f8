"""A tour copied to and fro, backed up while it is used, and brought back."""

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from threading import Event, Thread

import pytest
from archive_records import EVENING, NS, make_records

from showcaller.archive import TourError
from showcaller.archive.backup import back_up, restore
from showcaller.archive.copying import CopyStopped, copy_tour, tour_digest
from showcaller.archive.tour import Tour
from showcaller.model import Show


def fill(tour: Tour, show: Show) -> None:
    """A bit of everything, text in an order that databases disagree about."""
    first = tour.freeze(show, "ärger").edition
    tour.freeze(show, "Zero")
    tour.freeze(show, "apple")
    second = tour.add_edition(show.changed(name="Pier 2"))
    for n in range(3):
        run = tour.add_run(second if n else first, make_records(40 + n, finished=n < 2), run_id=f"r{n}")
    tour.mark_day("2026-07-04", "doors", "began", by="Ada", wall_ns=EVENING)
    tour.set_recording(run, "/v/a.mov", -3 * NS, "tap")
    tour.add_remark(run, 5 * NS, "nearly", kind="near miss")


@pytest.mark.system
def test_there_and_back_again_it_is_the_same_tour(
    postgres: Callable[[], str], tmp_path: Path, show: Show
) -> None:
    seen: list[tuple[str, int, int]] = []
    address = postgres()
    with Tour.create(tmp_path / "a.tour", "Summer", wall_ns=7) as first:
        fill(first, show)
        there = copy_tour(first, address, lambda *done: seen.append(done))
        assert there == tour_digest(first)
    assert there.words == "2 editions, 3 runs, 123 records and 50 events"
    assert [done for _, done, _ in seen] == sorted(done for _, done, _ in seen)
    assert seen[-1][1] == seen[-1][2]
    with Tour.open(address) as second:
        assert tour_digest(second) == there
        back = copy_tour(second, tmp_path / "b.tour")
        assert back == there
        # Its own counters go on behind what was copied.
        assert second.add_run(second.editions()[0], make_records(), run_id="new").number == 4
        second.add_remark(second.runs()[0], 0, "later")
        second.mark_day("2026-07-04", "doors", "ended", by="Ada")
    with Tour.open(tmp_path / "b.tour") as third:
        assert (third.name, tour_digest(third)) == ("Summer", there)
        assert third.records(third.runs()[0]) == make_records(40)
        assert third.editions()[0].names == ("ärger", "Zero", "apple")


def test_a_copy_never_takes_anothers_place(where: str, show: Show, tmp_path: Path) -> None:
    with Tour.create(where, "Here") as here:
        here.add_edition(show)
    with (
        Tour.create(tmp_path / "from.tour", "From") as source,
        pytest.raises(TourError, match="already; open it"),
    ):
        copy_tour(source, where)
    with Tour.open(where) as here:
        assert (here.name, len(here.editions())) == ("Here", 1)


@pytest.mark.parametrize("at", [3, 9])
def test_a_copy_that_is_stopped_leaves_nothing(where: str, show: Show, tmp_path: Path, at: int) -> None:
    with Tour.create(tmp_path / "from.tour", "From") as source:
        fill(source, show)
        looks = iter(range(100))
        with pytest.raises(CopyStopped, match="nothing was left behind"):
            copy_tour(source, where, stopped=lambda: next(looks) >= at)
        copied = copy_tour(source, where)  # the place is free again
        assert copied.rows["runs"] == 3


def test_a_backup_is_taken_while_somebody_writes(tmp_path: Path, show: Show) -> None:
    path = tmp_path / "live.tour"
    with Tour.create(path, "Live") as tour:
        fill(tour, show)
        going, stop = Event(), Event()

        def write() -> None:
            with Tour.open(path, wait_s=30) as other:
                edition = other.editions()[0]
                n = 0
                while not stop.is_set():
                    other.add_run(edition, make_records(60), run_id=f"w{n}")
                    n += 1
                    going.set()

        writer = Thread(target=write)
        writer.start()
        assert going.wait(10)
        copied = back_up(tour, tmp_path / "kept.tour")
        stop.set()
        writer.join()
        before = len(tour.runs())
    with Tour.open(tmp_path / "kept.tour") as kept:
        runs = kept.runs()
        assert tour_digest(kept) == copied
        assert 3 < len(runs) <= before
        assert kept.records(runs[-1]) == make_records(60)  # every run that is in it is whole
    assert [p.name for p in tmp_path.glob("*.part")] == []
    with Tour.open(path) as tour, pytest.raises(TourError, match="never takes another's place"):
        back_up(tour, tmp_path / "kept.tour")


def test_a_stopped_backup_leaves_no_file(tmp_path: Path, show: Show) -> None:
    with Tour.create(tmp_path / "a.tour", "A") as tour:
        fill(tour, show)
        with pytest.raises(CopyStopped):
            back_up(tour, tmp_path / "b.tour", stopped=lambda: True)
    assert [p.name for p in tmp_path.iterdir()] == ["a.tour"]


def test_bringing_back_moves_what_is_there_aside(tmp_path: Path, show: Show) -> None:
    path, kept = tmp_path / "t.tour", tmp_path / "kept.tour"
    with Tour.create(path, "T") as tour:
        fill(tour, show)
        whole = back_up(tour, kept)
        tour.add_edition(show.changed(name="later"))
    copied, aside = restore(kept, str(path))
    assert copied == whole
    assert aside is not None
    with Tour.open(path) as tour, Tour.open(aside) as other:
        assert (len(tour.editions()), len(other.editions())) == (2, 3)
    with pytest.raises(TourError, match="the backup itself"):
        restore(kept, str(kept))
    (tmp_path / "x.tour").write_text("hello")
    with pytest.raises(TourError, match="is not a tour"):
        restore(tmp_path / "x.tour", str(path))
    with closing(sqlite3.connect(path)) as file:
        assert file.execute("SELECT count(*) FROM runs").fetchone() == (3,)


@pytest.mark.system
def test_a_tour_on_a_server_is_backed_up_to_a_file_and_brought_back(
    postgres: Callable[[], str], tmp_path: Path, show: Show
) -> None:
    with Tour.create(postgres(), "Server") as tour:
        fill(tour, show)
        copied = back_up(tour, tmp_path / "kept.tour")
    fresh = postgres()
    assert restore(tmp_path / "kept.tour", fresh) == (copied, None)
    with Tour.open(fresh) as again:
        assert tour_digest(again) == copied
