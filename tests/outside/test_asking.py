"""What is read outside: real children that die, hang, grow and talk; each is a sentence within its limit."""

import os
import signal
import subprocess
import threading
import time
from pathlib import Path

import pytest

from showcaller.outside import Limits, Refused, Stopped, Within
from showcaller.outside.asking import ask

HERE = "children"
"""The module of readers beside this file; a child finds it on its path."""


@pytest.fixture(autouse=True)
def _children(monkeypatch):
    """The children import this folder's readers."""
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent))


@pytest.fixture
def children(monkeypatch):
    """The child processes that were started."""
    started = []
    begin = subprocess.Popen.__init__

    def noted(self, *args, **more):
        begin(self, *args, **more)
        started.append(self)

    monkeypatch.setattr(subprocess.Popen, "__init__", noted)
    return started


def refused(reader: str, *args: object, limits: Limits | None = None) -> str:
    with pytest.raises(Refused) as error:
        ask(f"{HERE}:{reader}", *args, name="sent.xlsx", limits=limits)
    assert "\n" not in str(error.value)
    assert "Traceback" not in str(error.value)
    return str(error.value)


def test_what_a_child_finds_comes_back_and_it_says_how_far_it_is():
    steps = []
    found = ask(f"{HERE}:counts", 3, name="x", seen=lambda *step: steps.append(step))
    assert found == {"counted": 3, "ö": [None, 1.5]}
    assert ("one of them", 1, 3) in steps


@pytest.mark.parametrize("how", ["segfault", "abort", "quits", "cut_off"])
def test_a_death_is_a_sentence(how):
    assert refused(how).startswith("sent.xlsx broke the program that reads it (")


def test_the_signal_of_a_segmentation_fault_is_named():
    assert "SIGSEGV" in refused("segfault")


def test_whatever_a_library_raises_is_a_sentence():
    assert refused("raises") == (
        "sent.xlsx cannot be read (KeyError: 'a b'); save it again where it came from"
    )
    assert "nested far too deeply" in refused("recurses")


def test_what_a_library_prints_does_not_get_between_the_answers():
    assert ask(f"{HERE}:prints", name="x") == "quiet"


def test_too_long_is_said_with_the_limit_and_it_is_over():
    begun = time.monotonic()
    words = refused("hangs", limits=Limits(time_s=0.6))
    assert "took longer than 0.6 s, which is the limit" in words
    assert time.monotonic() - begun < 5


def test_a_silent_reader_is_told_of_all_the_same():
    steps = []
    with pytest.raises(Refused):
        ask(f"{HERE}:hangs", name="x", limits=Limits(time_s=2.5), seen=lambda *step: steps.append(step))
    assert ("reading x", 1, 2) in steps


@pytest.mark.skipif(os.name == "nt", reason="there is no limit on memory there")
def test_too_much_memory_is_said_with_the_limit():
    words = refused("grows", limits=Limits(memory_bytes=200_000_000))
    assert words == "reading sent.xlsx needs more than 200 MB of memory, which is the limit"


@pytest.mark.skipif(os.name == "nt", reason="there is no limit on files there")
def test_a_child_writes_no_file(tmp_path):
    assert "cannot be read" in refused("writes", str(tmp_path / "planted"))
    assert not (tmp_path / "planted").exists() or (tmp_path / "planted").stat().st_size == 0


def test_stopping_ends_the_child_at_once(children):
    stop = threading.Event()
    threading.Timer(0.4, stop.set).start()
    with pytest.raises(Stopped, match="nothing was changed"):
        ask(f"{HERE}:hangs", name="x", stop=stop.is_set)
    assert children[0].returncode is not None


@pytest.mark.skipif(os.name == "nt", reason="signals are not what they are elsewhere")
def test_a_child_that_the_system_kills_is_a_sentence(children):
    with pytest.raises(Refused, match="ended by the system"):
        ask(f"{HERE}:hangs_and_tells", name="x", seen=lambda *_: children[0].send_signal(signal.SIGKILL))


@pytest.mark.skipif(not Path("/proc/self/fd").is_dir(), reason="handles cannot be counted here")
def test_fifty_deaths_leave_no_handle_and_no_thread():
    ask(f"{HERE}:prints", name="x")
    handles, threads = len(os.listdir("/proc/self/fd")), threading.active_count()  # noqa: PTH208
    for _ in range(50):
        refused("quits")
    assert len(os.listdir("/proc/self/fd")) == handles  # noqa: PTH208
    assert threading.active_count() == threads


def test_cells_are_counted_over_all_sheets():
    within = Within(Limits(cells=10))
    within.cells(10, "x.ods")
    with pytest.raises(Refused, match="more than 10 cells"):
        within.cells(1, "x.ods")
