"""Two desks on one run: one has the calls, the other watches; by keys, with a real engine between them."""

import contextlib
import os
import signal
import socket
from collections.abc import Iterator
from pathlib import Path

import pytest
from desk_keys import after_gap, answer, chord, events, fired, go, press
from devices import end_engines
from small_shows import desk_show

from showcaller.archive.tour import Tour
from showcaller.desk.keys import Keys
from showcaller.desk.qt import Qt
from showcaller.desk.window import DeskWindow
from showcaller.engine.protocol import read_endpoint
from showcaller.model import Show
from showcaller.run import commands as c


@pytest.fixture
def desks(qtbot, tmp_path: Path, receiver: socket.socket) -> Iterator[tuple[DeskWindow, DeskWindow]]:
    """The first has opened a run, the second has taken it up."""
    with both(qtbot, tmp_path, desk_show(receiver.getsockname()[1])) as found:
        yield found


@contextlib.contextmanager
def both(qtbot, tmp_path: Path, show: Show) -> Iterator[tuple[DeskWindow, DeskWindow]]:
    """Two desks on a run of the show."""
    made = [
        DeskWindow(show, Tour.create(tmp_path / f"{name}.tour", "Small"), tmp_path / "runs", Keys())
        for name in "ab"
    ]
    for window in made:
        window.resize(1280, 720)
        window.show()
        qtbot.waitExposed(window)
    first, second = made
    press(first, "r")
    answer(qtbot, first, "Ines")
    answer(qtbot, first, "live")
    qtbot.waitUntil(lambda: first.host.book.state.phase == "running")
    press(second, "r")
    answer(qtbot, second, "resume")
    qtbot.waitUntil(lambda: second.host.book.state.phase == "running")
    yield first, second
    for window in made:
        if window.host.session is not None:
            window.host.session.close()
        with contextlib.suppress(RuntimeError):  # a desk that died in the test is gone already
            window.stop()
        window.host.close()
    end_engines(tmp_path / "runs")


def test_a_go_at_each_of_two_desks_fires_one(qtbot, desks):
    first, second = desks
    go(qtbot, first)
    go(qtbot, second)  # within the same tenth of a second
    qtbot.waitUntil(lambda: len(fired(first)) == 1)
    qtbot.wait(300)
    assert len(fired(first)) == len(fired(second)) == 1
    assert "you watch" in second.calls.asked().heading


def test_the_first_sees_that_a_second_has_joined_and_the_second_that_it_watches(qtbot, desks):
    first, second = desks

    def told():
        asked = first.calls.asked()
        return asked is not None and "joined" in asked.heading

    qtbot.waitUntil(told, timeout=3000)
    second.frame()
    assert second.call.centre.watch == "you watch · Ines has the calls · C asks for them"
    assert first.call.centre.watch == ""


def test_what_a_watching_desk_may_do_it_does_and_the_engine_refuses_the_rest(qtbot, desks):
    first, second = desks
    press(second, "n")
    answer(qtbot, second, "the lamp at left flickers")
    qtbot.waitUntil(lambda: len(first.host.book.notes) == 1)
    # Past the desk's own refusal: the engine holds to it as well.
    for command in (c.Go(second.call.view.next_go.id), c.Hold(), c.Mute(muted=True), c.End()):
        second.host.session.send(command)
    qtbot.waitUntil(lambda: len(events(first, "refused")) == 4)
    assert {e.why for e in events(first, "refused")} == {
        "Ines has the calls; this desk watches: ask for the calls first"
    }
    assert fired(first) == []
    assert first.host.book.state.phase == "running"


def test_asked_for_and_handed_over_by_two_presses_they_are_at_the_other_desk(qtbot, desks):
    first, second = desks
    press(second, "c")
    answer(qtbot, second, "Mo")
    qtbot.waitUntil(lambda: first.host.book.state.asking is not None)
    first.frame()
    assert first.calls.asked() is not None
    press(first, "c")
    qtbot.wait(250)
    press(first, "c")
    qtbot.waitUntil(lambda: second.host.session.has_calls)
    go(qtbot, first)
    go(qtbot, second)
    qtbot.waitUntil(lambda: len(fired(second)) == 1)
    assert first.call.view.next_go is not None
    assert second.host.book.state.caller == "Mo"
    qtbot.waitUntil(lambda: first.call.centre.watch.startswith("you watch · Mo has the calls"))


def test_a_desk_that_dies_leaves_the_calls_to_the_one_that_takes_them(qtbot, desks):
    first, second = desks
    first.stop()
    first.host.session.close()  # as when its process is gone: its connections end
    qtbot.waitUntil(lambda: second.host.session.calls_gone, timeout=5000)
    qtbot.waitUntil(lambda: second.host.session.has_calls or "gone" in second.call.centre.watch)
    if not second.host.session.has_calls:
        press(second, "c")
        answer(qtbot, second, "Mo")
    qtbot.waitUntil(lambda: second.host.session.has_calls)
    go(qtbot, second)
    qtbot.waitUntil(lambda: len(fired(second)) == 1)


def test_after_the_engine_was_killed_the_calls_are_where_they_were(qtbot, desks):
    first, second = desks
    go(qtbot, first)
    qtbot.waitUntil(lambda: len(fired(second)) == 1)
    endpoint = read_endpoint(first.host.session.folder)
    os.kill(endpoint["pid"], signal.SIGKILL)
    for desk in desks:
        qtbot.waitUntil(lambda desk=desk: desk.host.book.recovered_ns is not None, timeout=15000)
    second.host.session.send(c.Go(second.call.view.next_go.id))
    qtbot.waitUntil(lambda: bool(events(first, "refused")), timeout=5000)
    assert events(first, "refused")[-1].why.startswith("Ines has the calls")
    assert (first.host.session.has_calls, second.host.session.has_calls) == (True, False)
    after_gap(qtbot)
    go(qtbot, first)
    qtbot.waitUntil(lambda: len(fired(first)) == 2)
    # Neither desk takes the other for gone once both were heard again.
    qtbot.waitUntil(lambda: first.host.me.id in second.host.book.desks, timeout=5000)
    assert not second.host.session.calls_gone


def test_the_watching_desk_reads_a_page_and_ticks_it_and_both_have_it(qtbot, tmp_path, receiver):
    pages = [
        {"id": "p", "name": "Stop", "kind": "show stop", "reader": "Caller", "lines": [{"says": "Hold."}] * 2}
    ]
    show = desk_show(receiver.getsockname()[1]).changed(pages=pages)
    with both(qtbot, tmp_path, show) as (first, second):
        second.show_area("Call")
        after_gap(qtbot)
        chord(second, Qt.Key.Key_F11)
        second.frame()
        assert second.call.page.isVisible()
        chord(second, Qt.Key.Key_Return)
        qtbot.waitUntil(lambda: "p" in first.host.book.state.pages)
        chord(second, Qt.Key.Key_Space)
        qtbot.waitUntil(lambda: set(first.host.book.state.pages["p"].ticks) == {1})
        first.show_area("Call")
        first.frame()
        assert "page open: Stop" in first.call.centre.looping
        assert "desk" in events(first, "line_ticked")[0].by, "whose desk it was, not the caller's name"
        chord(first, Qt.Key.Key_F11)
        after_gap(qtbot)
        chord(first, Qt.Key.Key_Return)
        after_gap(qtbot)
        chord(first, Qt.Key.Key_Space)
        qtbot.waitUntil(lambda: set(second.host.book.state.pages["p"].ticks) == {1, 2})
        assert events(second, "line_ticked")[1].by == "Ines"
        chord(second, Qt.Key.Key_Delete)
        after_gap(qtbot)
        chord(second, Qt.Key.Key_Delete)
        qtbot.waitUntil(lambda: not first.host.book.state.pages)
        first.frame()
        assert not first.call.page.isVisible(), "closed at the other desk"
