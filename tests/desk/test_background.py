"""Work beside the window: done in order, told in the window's thread, ended with the window."""

import threading
from pathlib import Path

import pytest
from desk_keys import chord
from PySide6.QtCore import Qt

from showcaller.desk.background import Background
from showcaller.desk.worker import Worker, open_workers

DESK = Path(__file__).parents[2] / "showcaller" / "desk"


@pytest.fixture
def work(qapp):
    background = Background("a test's")
    yield background
    background.close()


def test_results_come_in_order_and_in_the_windows_thread(qtbot, work):
    got = []
    here = threading.get_ident()
    for n in range(3):
        work.start(lambda n=n: (n, threading.get_ident()), got.append, pytest.fail)
    assert got == []
    qtbot.waitUntil(lambda: len(got) == 3)
    assert [n for n, _ in got] == [0, 1, 2]
    assert all(there != here for _, there in got)


def test_what_fails_is_told_apart_and_the_next_is_done(qtbot, work):
    wrong, got = [], []
    work.start(lambda: 1 / 0, pytest.fail, wrong.append)
    work.start(lambda: 7, got.append, pytest.fail)
    qtbot.waitUntil(lambda: got == [7])
    assert isinstance(wrong[0], ZeroDivisionError)


def test_the_newest_takes_the_place_of_what_has_not_begun(qtbot, work):
    begun, go_on, got = threading.Event(), threading.Event(), []

    def first():
        begun.set()
        go_on.wait(5)
        return "first"

    work.start(first, got.append, pytest.fail)
    assert begun.wait(5)
    work.newest(lambda: "second", got.append, pytest.fail)
    work.newest(lambda: "third", got.append, pytest.fail)
    go_on.set()
    qtbot.waitUntil(lambda: len(got) == 2)
    assert got == ["first", "third"]


def test_nobody_hears_of_it_once_it_is_closed(qtbot, qapp):
    begun, go_on, heard = threading.Event(), threading.Event(), []
    work = Background("a test's")
    work.told.connect(heard.append)

    def slow():
        begun.set()
        go_on.wait(5)
        work.tell("late")
        return "late"

    work.start(slow, heard.append, heard.append)
    assert begun.wait(5)
    work.close(wait=False)
    go_on.set()
    work.start(lambda: "after", heard.append, heard.append)
    qtbot.wait(100)
    assert heard == []


def test_a_closed_worker_takes_no_more_work():
    worker = Worker("a test's")
    assert worker.submit(lambda: 3).result(5) == 3
    assert worker.name in open_workers()
    worker.close()
    assert worker.name not in open_workers()
    assert worker.submit(lambda: 4).cancelled()


def test_threads_for_work_are_made_in_one_place():
    files = {p.name for p in DESK.rglob("*.py") if "ThreadPoolExecutor" in p.read_text(encoding="utf-8")}
    assert files == {"worker.py"}


def test_every_worker_ends_with_the_window(qtbot, desk):
    before = set(open_workers())
    for area in ("Wall", "Drift", "Book"):
        desk.show_area(area)
    desk.performer.do("book.check")
    desk.book.controller.step(0, 1)
    chord(desk, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    desk.frame()
    assert set(open_workers()) - before, "some work has begun"
    desk.close()
    assert set(open_workers()) <= before - {"check", "drift", "later areas", "preparing", "strip"}
