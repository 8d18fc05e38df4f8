"""A document being edited survives whatever happens to the program, and never forgets what another wrote."""

import json
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from devices import wait_until
from edits import random_edit
from small_shows import document as written
from small_shows import item, two_songs

from showcaller.editing import SetFields, apply
from showcaller.editing.keeping import Keeper
from showcaller.model import DocumentError, read_show, show_text, write_show

EDITOR = """
import random, sys
from pathlib import Path
sys.path.insert(0, {support!r})
from edits import random_edit
from showcaller.editing.keeping import Keeper
keeper = Keeper(Path(sys.argv[1]))
show, rng = keeper.show, random.Random(int(sys.argv[2]))
while True:
    show, change, _ = random_edit(show, rng)
    print("typing", flush=True)
    keeper.record(change, show)
    print("made", flush=True)
"""


@pytest.fixture
def document(tmp_path):
    path = tmp_path / "show.json"
    write_show(two_songs(), path)
    return path


def rename(keeper, name):
    change = SetFields(at=("items", "first"), fields={"name": name})
    keeper.record(change, apply(keeper.show, change)[0])


def test_an_edit_is_in_the_document_soon_after_and_the_log_is_gone(document):
    keeper = Keeper(document)
    rename(keeper, "Edited")
    assert (document.parent / "show.json.edits").exists(), "in the log at once"
    assert wait_until(lambda: read_show(document).items[0].name == "Edited")
    keeper.close()
    assert not (document.parent / "show.json.edits").exists()


@pytest.mark.parametrize("seed", range(4))
def test_a_kill_at_any_moment_loses_at_most_the_edit_being_typed(document, tmp_path, seed):
    """The editor is killed with SIGKILL in the middle of its edits, several times over."""
    support = str(Path(__file__).parents[1] / "support")
    script = tmp_path / "editor.py"
    script.write_text(EDITOR.format(support=support))
    rng = random.Random(seed)
    for n in range(3):
        base = Keeper(document)
        before = base.show
        base.close()
        run = subprocess.Popen(
            [sys.executable, str(script), str(document), str(seed * 10 + n)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert run.stdout is not None
        wanted = rng.randint(1, 60)
        said = []
        for line in run.stdout:
            said.append(line.strip())
            if said.count("made") == wanted:
                break
        os.kill(run.pid, signal.SIGKILL)
        said += [line.strip() for line in run.stdout]
        run.stdout.close()
        run.wait()
        made = said.count("made")
        # The same edits again, by the same seed: the document is there or one further.
        states, show, again = [], before, random.Random(seed * 10 + n)
        for _ in range(made + 1):
            states.append(show_text(show))
            show, _, _ = random_edit(show, again)
        states.append(show_text(show))
        keeper = Keeper(document)
        assert show_text(keeper.show) in states[made:], f"{made} edits were made"
        keeper.close()
        assert show_text(read_show(document)) == show_text(keeper.show)


def test_a_torn_last_line_of_the_log_is_only_the_edit_being_typed(document):
    keeper = Keeper(document)
    keeper.flush()
    rename(keeper, "One")
    log = document.parent / "show.json.edits"
    kept = log.read_bytes()
    keeper.close()
    write_show(two_songs(), document)
    log.write_bytes(kept + b'{"change": {"do": "set", "at": ["ite')
    again = Keeper(document)
    assert again.show.items[0].name == "One"
    assert "one edit" in (again.said or "")
    again.close()


def test_a_second_desk_may_look_but_not_change(document):
    first = Keeper(document)
    second = Keeper(document)
    assert second.read_only
    assert "open in another desk" in (second.said or "")
    second.close()
    first.close()
    third = Keeper(document)
    assert not third.read_only
    third.close()


def test_what_another_program_wrote_meanwhile_is_kept_beside(document):
    keeper = Keeper(document)
    theirs = apply(two_songs(), SetFields(at=(), fields={"name": "Theirs"}))[0]
    write_show(theirs, document)
    rename(keeper, "Mine")
    keeper.close()
    assert read_show(document).items[0].name == "Mine"
    aside = next(document.parent.glob("show.changed-elsewhere-*.json"))
    assert read_show(aside).name == "Theirs"
    assert aside.name in (keeper.said or "")


def test_a_log_that_does_not_fit_the_document_is_set_aside_not_thrown_away(document):
    keeper = Keeper(document)
    rename(keeper, "Lost")
    kept = (document.parent / "show.json.edits").read_bytes()
    keeper.close()
    write_show(apply(two_songs(), SetFields(at=(), fields={"name": "Theirs"}))[0], document)
    (document.parent / "show.json.edits").write_bytes(kept.replace(b'"saved"', b'"sav"'))
    again = Keeper(document)
    assert again.show.name == "Theirs"
    assert "is kept in show.json.edits.aside-" in (again.said or "")
    again.close()
    assert len(list(document.parent.glob("*.aside-*"))) == 1


def test_a_disk_that_refuses_is_said_and_tried_again(document, monkeypatch):
    troubles = []
    keeper = Keeper(document, troubles.append)

    def full(text, path):
        raise DocumentError(["cannot write: no space left on device"])

    monkeypatch.setattr("showcaller.editing.keeping.write_document", full)
    rename(keeper, "Kept")
    assert wait_until(lambda: bool(troubles))
    assert "not saved" in troubles[0]
    monkeypatch.undo()
    assert keeper.flush()
    assert troubles[-1] is None
    assert read_show(document).items[0].name == "Kept"
    keeper.close()


def test_a_file_that_is_no_show_is_refused_and_left_alone(tmp_path):
    path = tmp_path / "x.json"
    path.write_bytes(b"\xff\xfe")
    with pytest.raises(DocumentError, match="not UTF-8"):
        Keeper(path)
    assert path.read_bytes() == b"\xff\xfe"


def test_a_folder_that_cannot_be_written_is_said_and_the_show_can_be_looked_at(document, monkeypatch):
    def refused(*_args, **_kwargs):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("showcaller.editing.keeping.FileLock.acquire", refused)
    keeper = Keeper(document)
    assert keeper.read_only
    assert "cannot be written (permission denied)" in (keeper.said or "")
    keeper.close()


def test_an_edit_made_while_an_earlier_state_is_being_written_is_in_neither_lost(
    document, tmp_path, monkeypatch
):
    """As a kill in that very moment would leave it: the document one edit behind, the log with both."""
    keeper = Keeper(document)
    once = []

    def slow(show):
        text = show_text(show)
        if not once:
            once.append(True)
            rename(keeper, "Second")
        return text

    monkeypatch.setattr("showcaller.editing.keeping.show_text", slow)
    rename(keeper, "First edit")
    assert wait_until(lambda: read_show(document).items[0].name == "First edit")
    killed = tmp_path / "killed"
    killed.mkdir()
    for name in ("show.json", "show.json.edits"):
        (killed / name).write_bytes((tmp_path / name).read_bytes())
    again = Keeper(killed / "show.json")
    assert again.show.items[0].name == "Second"
    again.close()
    keeper.close()


def test_after_a_torn_line_later_edits_survive_a_second_kill(document, tmp_path):
    keeper = Keeper(document)
    rename(keeper, "One")
    kept = (tmp_path / "show.json.edits").read_bytes()
    keeper.close()
    write_show(two_songs(), document)
    (tmp_path / "show.json.edits").write_bytes(kept + b'{"change": {"do": "s')
    again = Keeper(document)
    rename(again, "Two")
    killed = tmp_path / "killed"
    killed.mkdir()
    (killed / "show.json").write_bytes(show_text(two_songs()).encode())
    (killed / "show.json.edits").write_bytes((tmp_path / "show.json.edits").read_bytes())
    again.close()
    third = Keeper(killed / "show.json")
    assert third.show.items[0].name == "Two"
    third.close()


def test_a_large_document_is_tried_in_a_process_of_its_own_first(tmp_path):
    """Ten million things wrong would fill gigabytes; here they end a child, or are counted."""
    text = json.dumps(written([item("a", 60, [])]))
    path = tmp_path / "huge.json"
    path.write_text(text.replace('"items": [', '"items": [' + "1," * 10_000_000))
    with pytest.raises(DocumentError) as error:
        Keeper(path)
    assert len(error.value.problems) == 1
    assert "which is the limit" in str(error.value) or "things are wrong with it" in str(error.value)


def test_a_large_document_that_is_sound_is_opened(tmp_path):
    notes = "n" * 1000
    items = [item(f"i{n}", 60, [], notes=notes) for n in range(4_100)]
    path = tmp_path / "large.json"
    path.write_text(json.dumps(written(items)))
    keeper = Keeper(path)
    assert len(keeper.show.items) == 4_100
    keeper.close()
