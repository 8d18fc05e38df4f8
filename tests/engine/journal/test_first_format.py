"""Journals of 0.1 stay readable: ended, killed, over many segments, with segments that fit no page."""

import gzip
from pathlib import Path

import pytest

from showcaller.engine.journal import Journal, JournalError, read_journal
from showcaller.engine.runfile import parse, read_run
from showcaller.run.commands import UnknownInput
from showcaller.run.events import Unknown

GOLDEN = Path(__file__).parent / "golden"
BODIES = (GOLDEN / "journal_v1.bodies").read_bytes().splitlines()
NAMES = sorted(p.name for p in GOLDEN.glob("*.gz"))


def laid(tmp_path, name):
    path = tmp_path / "journal"
    path.write_bytes(gzip.decompress((GOLDEN / name).read_bytes()))
    return path


def test_there_are_golden_files():
    assert len(NAMES) == 4


@pytest.mark.parametrize("name", NAMES)
def test_a_journal_of_0_1_gives_its_records_byte_by_byte(tmp_path, name):
    path = laid(tmp_path, name)
    assert read_journal(path) == BODIES
    run = read_run(path)
    assert run.missing == 0
    assert [r.to_bytes() for r in run.records] == BODIES[2:]
    assert not any(isinstance(x, Unknown | UnknownInput) for r in run.records for x in (r.input, *r.events))


@pytest.mark.parametrize("name", NAMES)
def test_a_journal_of_0_1_is_taken_up_as_lines_and_kept_as_it_was(tmp_path, name):
    path = laid(tmp_path, name)
    old = path.read_bytes()
    with Journal(path) as journal:
        journal.append(b"later")
    assert read_journal(path) == [*BODIES, b"later"]
    assert path.with_name("journal.as-found-1").read_bytes() == old


def test_a_wrong_bit_in_one_of_0_1_costs_one_record_and_it_is_counted(tmp_path):
    path = laid(tmp_path, "journal_v1_killed.gz")
    data = bytearray(path.read_bytes())
    data[data.index("☂".encode())] ^= 1
    path.write_bytes(data)
    run = read_run(path)
    assert run.missing == 1
    lost = next(n for n, body in enumerate(BODIES) if "☂".encode() in body)
    assert [r.to_bytes() for r in (*run.records, *run.after)] == [b for b in BODIES[2:] if b != BODIES[lost]]


def test_records_of_0_1_that_stand_twice_or_are_gone_are_noticed():
    twice = parse([*BODIES[:4], *BODIES[2:4], *BODIES[4:]], "journal")
    assert [r.to_bytes() for r in twice.records] == BODIES[2:]
    gone = parse([*BODIES[:3], *BODIES[4:]], "journal")
    assert (len(gone.records), gone.missing, len(gone.after)) == (1, 1, len(BODIES) - 4)


def test_one_damaged_at_its_very_beginning_is_one_sentence(tmp_path):
    path = laid(tmp_path, "journal_v1_ended.gz")
    path.write_bytes(path.read_bytes()[:8] + b"\0\0\0\0" + path.read_bytes()[12:])
    with pytest.raises(JournalError, match="damaged at its very beginning"):
        read_journal(path)
