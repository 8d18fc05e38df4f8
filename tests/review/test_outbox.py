"""Reports that wait for a folder: gone, full, back again, two desks at once, killed in between."""

import os
import time
from pathlib import Path

import pytest
from filelock import FileLock

from showcaller.review.exports.outbox import Outbox


@pytest.fixture
def outbox(tmp_path: Path) -> Outbox:
    return Outbox(tmp_path / "outbox")


def wait_for(outbox: Outbox, to: Path, words: str = "report") -> Path:
    file = outbox.room(to)
    file.write_text(words)
    return file


def test_what_waits_is_put_there_once_the_folder_is_back_and_then_no_more(outbox, tmp_path):
    to = tmp_path / "office" / "tonight.pdf"
    wait_for(outbox, to)
    assert outbox.deliver() == ()
    assert [one.to for one in Outbox(tmp_path / "outbox").waiting()] == [to]  # also after the desk was closed
    to.parent.mkdir()
    assert outbox.deliver() == (to,)
    assert to.read_text() == "report"
    assert outbox.waiting() == ()
    assert outbox.deliver() == ()


def test_what_is_there_already_is_never_replaced(outbox, tmp_path):
    to = tmp_path / "tonight.pdf"
    to.write_text("of yesterday")
    wait_for(outbox, to)
    assert outbox.deliver() == (tmp_path / "tonight (2).pdf",)
    assert to.read_text() == "of yesterday"


def test_one_that_cannot_be_put_holds_up_no_other(outbox, tmp_path):
    wait_for(outbox, tmp_path / "gone" / "a.pdf")
    wait_for(outbox, tmp_path / "b.pdf")
    assert outbox.deliver() == (tmp_path / "b.pdf",)
    assert [one.to.name for one in outbox.waiting()] == ["a.pdf"]
    assert outbox.forget() == 1
    assert outbox.waiting() == ()


def test_a_folder_of_tables_arrives_as_a_folder(outbox, tmp_path):
    room = outbox.room(tmp_path / "tables")
    room.mkdir()
    (room / "a.csv").write_text("a")
    assert outbox.deliver() == (tmp_path / "tables",)
    assert (tmp_path / "tables" / "a.csv").read_text() == "a"


def test_another_desk_at_it_is_left_to_it(outbox, tmp_path):
    wait_for(outbox, tmp_path / "a.pdf")
    with FileLock(tmp_path / "outbox" / ".lock"):
        assert outbox.deliver() == ()
    assert outbox.deliver() == (tmp_path / "a.pdf",)


def test_what_was_never_written_and_what_cannot_be_read_are_passed_over(outbox, tmp_path):
    begun = outbox.room(tmp_path / "never.pdf").parent
    hurt = wait_for(outbox, tmp_path / "hurt.pdf").parent
    (hurt / "to.json").write_text("{")
    assert outbox.waiting() == ()
    os.utime(begun, (time.time() - 7200, time.time() - 7200))
    assert outbox.deliver() == ()
    assert not begun.exists()
    assert hurt.exists()  # somebody's report lies there still


def test_half_of_it_is_never_seen(outbox, tmp_path, monkeypatch):
    """The place is full while it is copied: nothing is there, and it goes on waiting."""
    wait_for(outbox, tmp_path / "a.pdf")

    def full(_source, target):
        Path(target).write_text("rep")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("showcaller.review.exports.outbox.shutil.copyfile", full)
    assert outbox.deliver() == ()
    assert sorted(path.name for path in tmp_path.iterdir()) == ["outbox"]
    assert len(outbox.waiting()) == 1
