"""A machine that asks the engine here to let go is always answered; one that has let go follows."""

import time

from devices import free_port, wait_until
from filelock import FileLock

from showcaller.engine.held_back import held_back
from showcaller.joining import serving
from showcaller.joining.asking_in import Known
from showcaller.joining.guests import Guest
from showcaller.joining.spawning import LINK_LOCK


def test_who_asks_in_a_term_that_is_not_higher_is_told_the_term_and_nothing_lets_go(house):
    house.client.ask("start", caller="Ines", desk="caller")
    back = house.join("back", "engine")
    answers = []
    asked = {"kind": "stand_down", "run": house.folder.name, "term": 0, "door": "127.0.0.1:9"}
    back.do(lambda: back.what.far.ask(asked, answers.append))
    assert wait_until(lambda: bool(answers))
    assert not answers[0]["ok"]
    assert answers[0]["term"] == 0
    assert house.client.ask("note", text="goes on")["ok"]
    assert house.door.what.terms.counts


def test_a_link_that_is_gone_is_started_again_unless_somebody_has_left(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    started = []
    monkeypatch.setattr(serving, "follow", lambda _runs, at: started.append(at.name))
    monkeypatch.setattr(serving, "LINK_S", 0.0)
    (tmp_path / "runs").mkdir()
    made = serving.Serving(tmp_path / "runs", free_port(), "127.0.0.1", announced=False)
    try:
        moved = made.door.terms.moved = Known("127.0.0.1:9", "k" * 40, "back")
        with FileLock(tmp_path / "runs" / LINK_LOCK):  # one that is just ending
            made._follow(moved)
        assert started == []
        made._follow(moved)
        assert started == ["back"]
        (
            tmp_path / "runs" / "r1"
        ).mkdir()  # whoever takes over is answered, and no engine starts here behind it
        answers = []
        made.door.terms.stand_down(
            Guest("k" * 40, "back", "engine"), {"run": "r1", "term": 3}, answers.append
        )
        assert answers == [{"seq": 0, "ended": False, "term": 0}]
        assert held_back(tmp_path / "runs" / "r1", time.time())
        made.obey({"do": "leave"})
        made._follow(moved)
        assert started == ["back"]
    finally:
        made._control.close()
        made.door.close()
