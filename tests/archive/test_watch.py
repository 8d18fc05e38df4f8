"""Hearing of what another desk adds, within a second, and of a server that goes and comes back."""

import contextlib
import time
from collections.abc import Callable
from pathlib import Path
from queue import Empty, Queue

import pytest
from archive_records import make_records

from showcaller.archive import TourAway
from showcaller.archive.tour import Tour
from showcaller.archive.watch import Heard, TourWatch
from showcaller.model import Show


class Listening:
    """What a watch hears, in a queue."""

    def __init__(self, where: str, desk: str = "") -> None:
        self.heard: Queue[Heard] = Queue()
        self.watch = TourWatch(where, self.heard.put, desk)
        self.watch.start()
        assert self.watch.wait_ready(5)

    def next(self, timeout_s: float = 5.0) -> Heard:
        return self.heard.get(timeout=timeout_s)


def test_another_desks_run_is_heard_of_within_a_second(where: str, show: Show) -> None:
    with Tour.create(where, "Summer") as tour, Tour.open(where) as other:
        edition = tour.add_edition(show)
        listening = Listening(where, tour.desk)
        begun = time.monotonic()
        other.add_run(edition, make_records(), run_id="a1")
        heard = listening.next()
        assert time.monotonic() - begun < 1.0
        listening.watch.stop()
        assert heard.what in ("run", "anything")
        assert not heard.mine
        if heard.what == "run":
            assert heard.number == "1"


@pytest.mark.system
def test_what_is_told_says_what_and_whose(postgres: Callable[[], str], show: Show) -> None:
    where = postgres()
    with Tour.create(where, "Summer") as tour:
        listening = Listening(where, tour.desk)
        tour.freeze(show, "opening")
        tour.mark_day("2026-07-04", "doors", "began", by="Ada")
        assert listening.next() == Heard("edition", "1", mine=True)
        assert listening.next() == Heard("day", "2026-07-04", mine=True)
        with contextlib.suppress(RuntimeError), tour.writing() as connection:
            tour.tell(connection, "run", 9)
            raise RuntimeError  # what was not kept is not told
        with pytest.raises(Empty):
            listening.next(0.5)
        listening.watch.stop()


@pytest.mark.system
def test_a_server_that_goes_and_comes_back_is_told_of(server, show: Show) -> None:
    where = server.database()
    with Tour.create(where, "Summer") as tour:
        edition = tour.add_edition(show)
        listening = Listening(where)
        server.stop()
        away = listening.next()
        assert away.what == "away"
        assert away.words.startswith("cannot reach postgresql")
        with pytest.raises(TourAway, match="check its server"):
            tour.runs()
        with Tour.open(where, absent=True) as absent:
            with pytest.raises(TourAway):
                absent.runs()
            server.start()
            assert listening.next(10).what == "back"
            assert absent.runs() == []  # looked at now that it answers
            assert absent.name == "Summer"
        tour.add_run(edition, make_records(), run_id="a1")
        assert listening.next().what == "run"
        listening.watch.stop()


def test_a_file_that_goes_is_told_of(tmp_path: Path) -> None:
    path = tmp_path / "a.tour"
    Tour.create(path, "A").close()
    listening = Listening(str(path))
    path.rename(tmp_path / "b.tour")
    assert listening.next().what == "away"
    (tmp_path / "b.tour").rename(path)
    assert listening.next().what == "back"
    listening.watch.stop()
