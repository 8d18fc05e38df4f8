"""The plug pulled for a rehearsal, by keys, with a real engine and a real door."""

import pytest
from desk_keys import after_gap, answer, chord, events, press
from PySide6.QtCore import Qt

from showcaller.desk.keys import Keys
from showcaller.engine.launch import LaunchError, engine_lives, start_engine
from showcaller.joining.control import ask, of_door
from showcaller.joining.errors import JoinError
from showcaller.joining.starting import start_door
from showcaller.run import commands as c


@pytest.fixture
def keys():
    """It has no key of its own; here it has one."""
    assert Keys()["plug"] == ""
    return Keys({"plug": "Ctrl+F9"})


@pytest.fixture
def door(tmp_path, monkeypatch):
    """The desk's machine has its door open."""
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    start_door(tmp_path / "runs", 20000 + hash(str(tmp_path)) % 20000, "127.0.0.1")
    yield of_door(tmp_path / "runs")
    ask(of_door(tmp_path / "runs"), {"do": "close"})


def pull(desk):
    chord(desk, Qt.Key.Key_F9, Qt.KeyboardModifier.ControlModifier)
    desk.frame()


def test_the_plug_is_pulled_by_two_presses_in_a_muted_rehearsal_alone(qtbot, desk, door, tmp_path):
    press(desk, "r")
    for words in ("Ines", "mute", "1 crew 3"):
        answer(qtbot, desk, words)
    qtbot.waitUntil(lambda: desk.host.book.state.phase == "running")
    folder = desk.host.session.folder
    desk.host.session.send(c.Mute(muted=False))
    qtbot.waitUntil(lambda: not desk.host.book.state.all_muted)
    pull(desk)
    assert desk.calls.asked().words == "In a rehearsal alone, all outputs muted"
    qtbot.waitUntil(lambda: ask(door, {"do": "status"})["run"] == folder.name)
    with pytest.raises(JoinError, match="mute all outputs first"):
        ask(door, {"do": "pull plug"})  # the engine refuses it too, whoever asks
    desk.host.session.send(c.Mute(muted=True))
    qtbot.waitUntil(lambda: desk.host.book.state.all_muted)
    pull(desk)
    assert desk.calls.asked().heading == "again pulls the plug"
    assert engine_lives(folder)
    after_gap(qtbot)
    pull(desk)
    qtbot.waitUntil(lambda: not engine_lives(folder), timeout=3000)
    with pytest.raises(LaunchError, match="the plug is pulled in this rehearsal"):
        start_engine(folder)
    words = "The plug is pulled in this rehearsal; take over at the second machine, or wait a minute."
    qtbot.waitUntil(lambda: desk.header._content.trouble == words, timeout=8000)
    assert not engine_lives(folder), "the desk does not start it again behind anybody's back"
    assert not events(desk, "ended")
