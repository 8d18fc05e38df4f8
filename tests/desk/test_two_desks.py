"""Two desks on one PostgreSQL that goes away in the middle of a run and comes back."""

import socket
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import answer, go, press
from devices import end_engines
from pgserver import PgServer
from small_shows import desk_show

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.tourfile import open_tour
from showcaller.desk.window import DeskWindow

pytestmark = pytest.mark.system


@pytest.fixture
def desks(
    qtbot, tmp_path: Path, server: PgServer, receiver: socket.socket
) -> Iterator[tuple[DeskWindow, DeskWindow, str]]:
    """Two windows with run folders of their own and one tour between them."""
    where = server.database()
    show = desk_show(receiver.getsockname()[1])
    keys = Keys()
    made = [DeskWindow(show, open_tour(where, show.name), tmp_path / name, keys) for name in "ab"]
    for window in made:
        window.resize(1280, 720)
        window.show()
        qtbot.waitExposed(window)
    made[0].activateWindow()
    made[0].setFocus()
    yield made[0], made[1], where
    for window, name in zip(made, "ab", strict=True):
        window.stop()
        window.host.close()
        end_engines(tmp_path / name)


def head(window: DeskWindow) -> str:
    """What the head of the window says is wrong."""
    return window.header._content.trouble


def test_the_show_goes_on_while_the_tour_is_away_and_nothing_is_missing(qtbot, desks, server) -> None:
    calling, other, where = desks
    press(calling, "r")
    answer(qtbot, calling, "Ines")
    answer(qtbot, calling, "live")
    qtbot.waitUntil(lambda: calling.host.book.state.phase == "running")
    go(qtbot, calling)
    qtbot.waitUntil(lambda: len([s for s in calling.host.book.said if s.go]) == 1)

    server.stop("immediate")  # as when its machine loses power
    qtbot.waitUntil(lambda: "The show goes on" in head(calling), timeout=5000)
    qtbot.waitUntil(lambda: "unreachable" in head(other), timeout=5000)
    # The run goes on, and a note is taken, with nobody to keep it but the journal.
    qtbot.wait(450)
    go(qtbot, calling)
    qtbot.waitUntil(lambda: len([s for s in calling.host.book.said if s.go]) >= 2)
    press(calling, "n")
    answer(qtbot, calling, "no tour tonight")
    qtbot.waitUntil(lambda: len(calling.host.book.notes) == 1)
    other.show_area("Drift")  # looking at what cannot be read does not hurt
    calling.opening.end_run()
    answer(qtbot, calling, "end")
    qtbot.waitUntil(lambda: calling.host.session is None, timeout=10000)
    qtbot.waitUntil(lambda: "1 show waits on this machine" in head(calling), timeout=5000)

    server.start()
    begun = time.monotonic()
    qtbot.waitUntil(lambda: calling.host.keeper.taken == 1, timeout=10000)
    qtbot.waitUntil(lambda: len(other.host.outlook.facts.numbers) == 1, timeout=10000)
    assert time.monotonic() - begun < 5
    qtbot.waitUntil(lambda: "back" in head(calling) and "back" in head(other), timeout=5000)
    with Tour.open(where) as tour:
        (run,) = tour.runs()
        assert run.finished
        assert [r.to_bytes() for r in tour.records(run)] == [
            r.to_bytes() for r in calling.host.book.records[: run.records]
        ]
        (note,) = tour.events(run, "note")
        assert note.body["text"] == "no tour tonight"


def test_a_desk_opens_while_the_server_is_down(qtbot, tmp_path, server, receiver) -> None:
    where = server.database()
    show = desk_show(receiver.getsockname()[1])
    Tour.create(where, "Small").close()
    server.stop()
    keys = Keys()
    window = DeskWindow(show, open_tour(where, show.name), tmp_path / "runs", keys)
    window.show()
    qtbot.waitUntil(lambda: "Tour database unreachable" in head(window))
    server.start()
    qtbot.waitUntil(lambda: window.host.editions.number == 1, timeout=10000)
    qtbot.waitUntil(lambda: "edition 1" in window.header._content.run)
    window.stop()
    window.host.close()


def test_another_desks_run_is_in_drift_within_a_second(qtbot, desks) -> None:
    calling, other, _ = desks
    press(calling, "r")
    answer(qtbot, calling, "Ines")
    answer(qtbot, calling, "mute")
    answer(qtbot, calling, "")
    qtbot.waitUntil(lambda: calling.host.book.state.phase == "running")
    go(qtbot, calling)
    qtbot.waitUntil(lambda: len([s for s in calling.host.book.said if s.go]) == 1)
    calling.opening.end_run()
    answer(qtbot, calling, "end")
    qtbot.waitUntil(lambda: calling.host.keeper.taken == 1, timeout=10000)
    begun = time.monotonic()
    qtbot.waitUntil(lambda: len(other.drift.state.runs) == 1, timeout=5000)
    assert time.monotonic() - begun < 1


def test_the_books_pages_do_not_wait_for_a_tour_that_is_away(qtbot, desks, server) -> None:
    calling, _, _ = desks
    calling.show_area("Book")
    server.stop("immediate")
    qtbot.waitUntil(lambda: bool(calling.host.keeper.why()), timeout=5000)
    begun = time.monotonic()
    for open_page in (calling.book.controller.doors.editions, calling.book.controller.doors.day):
        open_page()
        assert calling.book.controller.pages.now is None
    assert time.monotonic() - begun < 1
    assert "kept in the tour, and" in calling.book.foot_words()[0]
    server.start()
    qtbot.waitUntil(lambda: not calling.host.keeper.why(), timeout=10000)
    calling.book.controller.doors.editions()
    assert calling.book.controller.pages.now is not None
