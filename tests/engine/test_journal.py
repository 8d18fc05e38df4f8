"""The journal keeps every whole record, whatever happens to its tail."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from showcaller.engine.journal import Journal, JournalError, read_journal

BODIES = st.lists(st.binary(min_size=1, max_size=600), max_size=40)


def write(path: Path, bodies: list[bytes], segment: int = 4096) -> None:
    with Journal(path, segment) as journal:
        for body in bodies:
            journal.append(body)


@given(BODIES, BODIES)
@settings(max_examples=40, deadline=None)
def test_everything_appended_is_read_back_also_after_reopening(tmp_path_factory, first, second):
    path = tmp_path_factory.mktemp("journal") / "j"
    write(path, first)
    assert read_journal(path) == first
    with Journal(path) as journal:
        assert journal.records == first
        for body in second:
            journal.append(body)
    assert read_journal(path) == first + second


@given(BODIES.filter(bool), st.data())
@settings(max_examples=60, deadline=None)
def test_a_torn_tail_is_cut_and_nothing_before_it_is_lost(tmp_path_factory, bodies, data):
    path = tmp_path_factory.mktemp("journal") / "j"
    write(path, bodies)
    whole = path.read_bytes()
    cut = data.draw(st.integers(12, len(whole)))
    junk = data.draw(st.binary(max_size=30))
    path.write_bytes(whole[:cut] + junk)
    found = read_journal(path)
    kept = [b for b in found if b in bodies]
    assert found[: len(kept)] == bodies[: len(kept)]
    with Journal(path) as journal:
        assert journal.records == found
        journal.append(b"after")
    assert read_journal(path) == [*found, b"after"]


def test_a_changed_byte_ends_the_records_there(tmp_path):
    path = tmp_path / "j"
    write(path, [b"one", b"two", b"three"])
    data = bytearray(path.read_bytes())
    data[data.index(b"two")] ^= 1
    path.write_bytes(bytes(data))
    assert read_journal(path) == [b"one"]


def test_a_killed_process_loses_nothing_it_appended(tmp_path):
    path = tmp_path / "j"
    code = (
        "import sys; from pathlib import Path; from showcaller.engine.journal import Journal\n"
        "j = Journal(Path(sys.argv[1]))\n"
        "for n in range(5000): j.append(b'%d' % n)\n"
        "print('ready', flush=True); sys.stdin.read()"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code, str(path)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert process.stdout is not None
    assert process.stdout.readline() == b"ready\n"
    os.kill(process.pid, signal.SIGKILL)
    process.wait()
    for pipe in (process.stdin, process.stdout):
        if pipe:
            pipe.close()
    assert read_journal(path) == [b"%d" % n for n in range(5000)]


def test_what_is_not_a_journal_is_refused_and_left_as_it_is(tmp_path):
    path = tmp_path / "holiday.jpg"
    path.write_bytes(b"\xff\xd8 not a journal at all")
    with pytest.raises(JournalError, match=r"holiday\.jpg is not a run's journal"):
        Journal(path)
    assert path.read_bytes() == b"\xff\xd8 not a journal at all"


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path):
    with pytest.raises(JournalError, match=r"cannot keep a journal at .*no such file or directory"):
        Journal(tmp_path / "gone" / "j")


def test_a_record_larger_than_a_segment_is_refused(tmp_path):
    with Journal(tmp_path / "j", 4096) as journal, pytest.raises(JournalError, match="does not fit"):
        journal.append(b"x" * 5000)
