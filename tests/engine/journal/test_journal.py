"""The journal keeps every record, and what it cannot keep it names; real files, real processes, real
disks."""

import os
import signal
import subprocess
import sys
import time

import pytest
from devices import wait_until
from hypothesis import given, settings
from hypothesis import strategies as st

from showcaller.engine.journal import Journal, JournalError, read, read_journal, together
from showcaller.engine.journal.front import front_files
from showcaller.engine.journal.journal import Journal as WatchedJournal
from showcaller.engine.journal.lines import MAGIC, scan
from showcaller.engine.journal.memory import Kept
from showcaller.engine.journal.reading import Scattered

BODIES = st.lists(st.binary(min_size=1, max_size=600).map(lambda b: b.replace(b"\n", b"n")), max_size=40)


def write(path, bodies, front=None, over=True):
    journal = Journal(path, front)
    for body in bodies:
        journal.append(body)
    journal.close(over=over)


@given(BODIES, BODIES)
@settings(max_examples=30)
def test_everything_appended_is_read_back_also_after_reopening(tmp_path_factory, first, second):
    path = tmp_path_factory.mktemp("journal") / "j"
    write(path, first)
    assert read(path).bodies == first
    with Journal(path) as journal:
        assert journal.found.bodies == first
        for body in second:
            journal.append(body)
    assert read_journal(path) == first + second


@given(BODIES.filter(bool), st.data())
@settings(max_examples=80)
def test_cut_anywhere_it_goes_on_behind_the_last_whole_record(tmp_path_factory, bodies, data):
    path = tmp_path_factory.mktemp("journal") / "j"
    write(path, bodies)
    whole = path.read_bytes()
    cut = data.draw(st.integers(0, len(whole)))
    path.write_bytes(whole[:cut])
    found = read(path)
    assert found.bodies == bodies[: len(found.log)]
    assert found.missing == 0
    with Journal(path) as journal:
        journal.append(b"after")
    assert read_journal(path) == [*found.bodies, b"after"]


@given(BODIES.filter(lambda b: len(b) > 3), st.data())
@settings(max_examples=80)
def test_a_cut_log_whose_newest_part_is_still_in_memory_has_lost_nothing(tmp_path_factory, bodies, data):
    folder = tmp_path_factory.mktemp("journal")
    path, front = folder / "j", folder / "front"
    write(path, bodies, front, over=False)
    whole = path.read_bytes()
    path.write_bytes(whole[: data.draw(st.integers(0, len(whole)))])
    assert read(path, front).bodies == bodies
    with Journal(path, front) as journal:
        assert journal.found.bodies == bodies
        journal.append(b"after")
    assert read_journal(path) == [*bodies, b"after"]


@given(BODIES.filter(lambda b: len(b) > 2), st.data())
@settings(max_examples=80)
def test_one_wrong_bit_costs_one_record_and_it_is_counted(tmp_path_factory, bodies, data):
    path = tmp_path_factory.mktemp("journal") / "j"
    bodies = [b"%d %s" % (n, body) for n, body in enumerate(bodies)]
    write(path, bodies)
    damaged = bytearray(path.read_bytes())
    at = data.draw(st.integers(0, len(damaged) * 8 - 1))
    damaged[at // 8] ^= 1 << at % 8
    path.write_bytes(damaged)
    found = read(path)
    kept = found.bodies + [line.body for line in found.after]
    assert set(kept) <= set(bodies), "what is damaged is not accepted"
    assert len(kept) >= len(bodies) - 2, "a wrong line feed damages two lines at most"
    # A last line that is gone leaves nothing behind it to count by: the front in memory is for that.
    tail_lost = not found.after and len(found.log) < len(bodies)
    assert tail_lost or found.missing == len(bodies) - len(kept)
    assert found.bodies == bodies[: len(found.log)]


@given(BODIES.filter(lambda b: len(b) > 4), st.data())
@settings(max_examples=80)
def test_lines_doubled_or_taken_out_are_never_taken_for_the_log(tmp_path_factory, bodies, data):
    path = tmp_path_factory.mktemp("journal") / "j"
    bodies = [b"%d %s" % (n, body) for n, body in enumerate(bodies)]
    write(path, bodies)
    magic, *lines = [text + b"\n" for text in path.read_bytes().split(b"\n")[:-1]]
    a = data.draw(st.integers(0, len(lines) - 1))
    b = data.draw(st.integers(a + 1, len(lines)))
    if data.draw(st.booleans()):
        path.write_bytes(magic + b"".join(lines[:b] + lines[a:b] + lines[b:]))
        found = read(path)
        assert (found.bodies, found.missing) == (bodies, 0)
        assert not found.whole
    else:
        path.write_bytes(magic + b"".join(lines[:a] + lines[b:]))
        found = read(path)
        assert found.bodies == bodies[:a]
        assert [line.body for line in found.after] == bodies[b:]
        assert found.missing == (b - a if b < len(lines) else 0)


@given(BODIES.filter(lambda b: len(b) > 3), st.data())
@settings(max_examples=150)
def test_a_file_read_as_it_streams_by_is_what_all_its_lines_beside_each_other_give(
    tmp_path_factory, bodies, data
):
    """Whatever the file and the front hold of a log: a part, the same, another end."""
    path, front = tmp_path_factory.mktemp("journal") / "j", tmp_path_factory.mktemp("memory") / "f"
    fork = data.draw(st.integers(0, len(bodies)))
    write(path, bodies)
    other = tmp_path_factory.mktemp("journal") / "other"
    write(other, [*bodies[:fork], *data.draw(BODIES)])
    pieces = other.read_bytes().removeprefix(MAGIC).splitlines(keepends=True) if fork else []
    kept = pieces[data.draw(st.integers(0, len(pieces))) :]
    if kept and data.draw(st.booleans()):
        del kept[data.draw(st.integers(0, len(kept) - 1))]
    front.with_name("f.1").write_bytes(b"".join(kept))
    whole = path.read_bytes()
    path.write_bytes(whole[: data.draw(st.integers(0, len(whole)))])

    found = path.read_bytes()
    streamed = read(path, front)
    laid_out = together(
        path, Scattered(scan(found), len(found), MAGIC.startswith(found[: len(MAGIC)])), front
    )
    for name in ("bodies", "after", "missing", "whole", "on_disk", "end", "witnessed", "is_empty"):
        assert getattr(streamed, name) == getattr(laid_out, name), name
    on_disk = streamed.on_disk
    for reading in (streamed, laid_out):
        assert [x.body for x in reading.tail if x.number > on_disk] == streamed.bodies[on_disk:]
        assert [x.body for x in reading.tail] == streamed.bodies[len(streamed.log) - len(reading.tail) :]


def test_a_log_of_many_lines_is_read_compressed(tmp_path):
    bodies = [b'{"seq":%d,"text":"a word for afterwards"}' % n for n in range(1, 20_001)]
    write(tmp_path / "j", bodies)
    found = read(tmp_path / "j")
    assert isinstance(found.log, Kept)
    assert found.bodies == bodies
    lying = sum(map(len, found.log._blocks)) + sum(map(len, found.log._recent))
    assert lying < sum(map(len, bodies)) / 3


def test_what_lay_there_is_kept_as_a_copy_when_it_is_mended(tmp_path):
    path = tmp_path / "j"
    write(path, [b"one", b"two", b"three"])
    damaged = path.read_bytes().replace(b"two", b"tvo")
    path.write_bytes(damaged)
    with Journal(path) as journal:
        assert journal.found.missing == 1
        assert path.read_bytes() == damaged, "nothing is touched before there is something to keep"
        journal.append(b"one record is missing")
    assert read_journal(path) == [b"one", b"one record is missing"]
    assert (tmp_path / "j.as-found-1").read_bytes() == damaged


def test_a_killed_process_loses_nothing_it_appended(tmp_path):
    path, front = tmp_path / "j", tmp_path / "front"
    code = (
        "import sys; from pathlib import Path; from showcaller.engine.journal import Journal\n"
        "j = Journal(Path(sys.argv[1]), Path(sys.argv[2]))\n"
        "for n in range(5000): j.append(b'%d' % n)\n"
        "print('ready', flush=True); sys.stdin.read()"
    )
    args = [sys.executable, "-c", code, str(path), str(front)]
    with subprocess.Popen(args, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stdout.readline() == b"ready\n"
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
    assert read(path, front).bodies == [b"%d" % n for n in range(5000)]


def test_killed_while_it_is_first_made_it_can_always_be_made_again(tmp_path):
    """All that a killed process can leave of a new journal: nothing, or a piece of its first line."""
    for n in range(22):
        path = tmp_path / f"j{n}"
        path.write_bytes(b"showcaller journal 2\n"[:n])
        write(path, [b"first"])
        assert read_journal(path) == [b"first"]


def test_what_is_not_a_journal_is_refused_and_left_as_it_is(tmp_path):
    path = tmp_path / "holiday.jpg"
    path.write_bytes(b"\xff\xd8 not a journal at all")
    with pytest.raises(
        JournalError,
        match=r"holiday\.jpg is not a show's log; choose the file named journal in the show's folder",
    ):
        Journal(path)
    assert path.read_bytes() == b"\xff\xd8 not a journal at all"


def test_a_folder_that_is_not_there_is_one_sentence(tmp_path):
    with pytest.raises(JournalError, match=r"cannot keep a journal at .*no such file or directory"):
        Journal(tmp_path / "gone" / "j")


def test_a_record_that_is_not_one_line_is_refused(tmp_path):
    with Journal(tmp_path / "j") as journal:
        for body in (b"", b"a\nb"):
            with pytest.raises(JournalError, match="one line of text"):
                journal.append(body)


@pytest.fixture
def told():
    return []


def watched(path, front, told):
    journal = WatchedJournal(path, front)
    journal.report = told.append
    return journal


def states(told):
    return [event.state for event in told]


def test_a_folder_deleted_in_mid_run_is_said_and_the_log_is_written_anew(tmp_path, told):
    folder = tmp_path / "run"
    folder.mkdir()
    journal = watched(folder / "j", tmp_path / "front", told)
    bodies = [b"%d" % n for n in range(3000)]
    for body in bodies:
        journal.append(body)
    assert wait_until(lambda: journal.kept)
    (folder / "j").unlink()
    folder.rmdir()
    assert wait_until(lambda: states(told) == ["damaged", "written anew"], 5)
    assert told[0].why == "the show's folder is gone"
    journal.append(b"later")
    journal.close()
    assert read_journal(folder / "j") == [*bodies, b"later"]


def test_a_log_cut_by_another_program_in_mid_run_is_said_and_made_whole_again(tmp_path, told):
    path = tmp_path / "j"
    journal = watched(path, tmp_path / "front", told)
    bodies = [b"%d" % n for n in range(2000)]
    for body in bodies:
        journal.append(body)
    assert wait_until(lambda: journal.kept)
    with path.open("r+b") as file:
        file.truncate(5000)
    assert wait_until(lambda: "written anew" in states(told), 5)
    assert "was cut from" in told[0].why
    journal.close()
    assert read_journal(path) == bodies
    assert path.with_name("j.as-found-1").stat().st_size == 5000


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 1 MB of its own."""
    if os.geteuid() != 0:
        pytest.skip("only root may mount a disk")
    folder = tmp_path / "disk"
    folder.mkdir()
    subprocess.run(["mount", "-t", "tmpfs", "-o", "size=1m", "none", str(folder)], check=True)
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def test_a_full_disk_that_is_freed_again_has_no_hole_in_the_log(small_disk, tmp_path, told):
    path, front = small_disk / "j", tmp_path / "front"
    journal = watched(path, front, told)
    journal.append(b"first")
    assert wait_until(lambda: journal.kept)
    filler = small_disk / "filler"
    with pytest.raises(OSError, match="No space left"):
        filler.write_bytes(b"x" * (2 << 20))
    bodies = [b"%06d" % n + b"y" * 300 for n in range(2000)]
    for body in bodies:
        journal.append(body)
    assert wait_until(lambda: journal.late() == "no space left on device", 3)
    assert read(path, front).bodies == [b"first", *bodies], "after a crash now, memory has the rest"
    filler.unlink()
    assert wait_until(lambda: journal.kept, 5)
    assert journal.late() is None
    assert states(told) == ["behind", "kept"]
    journal.close()
    assert read_journal(path) == [b"first", *bodies]


def test_what_only_memory_has_outlives_two_kills(small_disk, tmp_path):
    """The disk stays full over a restart: the second front must begin with all that the disk lacks."""
    path, front = small_disk / "j", tmp_path / "front"
    code = (
        "import sys; from pathlib import Path; from showcaller.engine.journal import Journal\n"
        "j = Journal(Path(sys.argv[1]), Path(sys.argv[2]))\n"
        "for n in range(int(sys.argv[3]), int(sys.argv[4])): j.append(b'%06d' % n + b'y' * 300)\n"
        "print('ready', flush=True); sys.stdin.read()"
    )
    with pytest.raises(OSError, match="No space left"):
        (small_disk / "filler").write_bytes(b"x" * (2 << 20))
    (small_disk / "filler").write_bytes(b"x" * (900 << 10))
    for first, last in ((0, 5000), (5000, 5003)):
        args = [sys.executable, "-c", code, str(path), str(front), str(first), str(last)]
        with subprocess.Popen(args, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:
            assert process.stdout is not None
            assert process.stdout.readline() == b"ready\n"
            os.kill(process.pid, signal.SIGKILL)
            process.wait()
    assert read(path, front).bodies == [b"%06d" % n + b"y" * 300 for n in range(5003)]
    assert len(read(path).log) < 5000


def test_a_disk_of_a_second_a_write_holds_nobody_up_and_is_said(tmp_path, told, monkeypatch):
    path = tmp_path / "j"
    journal = watched(path, tmp_path / "front", told)
    journal.append(b"first")
    real = os.fdatasync

    def slow(fd):
        time.sleep(1)
        real(fd)

    monkeypatch.setattr(os, "fdatasync", slow)
    began, longest = time.monotonic(), 0.0
    while time.monotonic() - began < 1.5:
        before = time.monotonic()
        journal.append(b"x")
        longest = max(longest, time.monotonic() - before)
        wait_until(lambda: False, 0.002)
    assert longest < 0.5, "an append waits for no disk; how long it takes is measured in a benchmark"
    assert wait_until(lambda: journal.late() == "the disk takes very long", 5)
    journal.close()
    assert len(read_journal(path)) == len(journal)


def test_a_long_night_goes_on_over_many_fronts_and_blocks(tmp_path):
    path, front = tmp_path / "j", tmp_path / "front"
    journal = Journal(path, front)
    bodies = [b'{"seq":%d,"x":"%s"}' % (n, b"y" * (n % 700)) for n in range(12_000)]
    for n, body in enumerate(bodies):
        journal.append(body)
        if n % 3000 == 2999:
            assert wait_until(lambda: journal.kept)
            journal.tidy()
            assert sum(f.stat().st_size for f in front_files(front)) < 4 << 20
    assert read(path, front).bodies == bodies
    assert journal.memory.slice(2999, 4000) == bodies[2999:6999]
    journal.close()
    assert front_files(front) == []
    assert read_journal(path) == bodies


def test_the_disk_has_everything_also_where_something_is_due_all_the_time(tmp_path):
    """The helper gives way to what is due in a moment, but not for ever."""
    with Journal(tmp_path / "j", tmp_path / "front") as journal:
        for n in range(200):
            journal.append(b"%d " % n + b"x" * 20_000)
            journal.due_ns = time.monotonic_ns() + 1_000_000

        def crowded():
            journal.due_ns = time.monotonic_ns() + 1_000_000
            return journal.kept

        assert wait_until(crowded)
        assert len(read_journal(tmp_path / "j")) == 200
