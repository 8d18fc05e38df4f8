"""A machine that asks the engine here to let go is always answered; one that has let go follows."""

import time

import pytest
from boxes import raw_log
from devices import free_port, wait_until
from filelock import FileLock
from machines import Looking

from showcaller.engine.client import EngineClient
from showcaller.engine.held_back import held_back
from showcaller.engine.launch import start_engine
from showcaller.joining import serving
from showcaller.joining.asking_in import Known
from showcaller.joining.door import MachineDoor
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


def asks_to_let_go(house, back):
    """``back`` takes over; the answers that it gets. On the door's own thread."""
    answers = []
    asked = {"kind": "stand_down", "run": house.folder.name, "term": 1}
    guest = house.door.what.guests.by_key[back.what.machine.key]
    house.door.what.terms.stand_down(guest, asked, answers.append)
    return answers


def has_all(back, answers, done, planned):
    """All that was ``done`` is there before another engine begins behind it."""
    assert wait_until(lambda: bool(answers))
    assert answers[0]["seq"] >= len(done)
    assert answers[0]["ended"] == planned
    assert wait_until(lambda: len(back.what.copy) == answers[0]["seq"])
    assert [body.decode() for body in back.what.copy.all()][: len(done)] == done


@pytest.mark.parametrize("dies", [True, False], ids=["it died", "it lives"])
def test_what_an_engine_did_that_had_just_begun_is_told_to_who_takes_over(house, dies):
    house.client.ask("start", caller="Ines", desk="caller")
    back = house.join("back", "engine")

    def begin_again():  # the door hears nothing of it meanwhile
        house.process.kill()
        house.process.wait()
        house.process = start_engine(house.folder)
        with EngineClient(house.folder, "caller") as desk:
            assert desk.ask("go", go="s:start")["ok"]
            done = raw_log(desk)
        if dies:
            house.process.kill()
            house.process.wait()
        return done, asks_to_let_go(house, back)

    done, answers = house.door.do(begin_again)
    assert '"kind":"fired"' in done[-1]
    has_all(back, answers, done, planned=not dies)


def test_whoever_takes_over_before_it_was_known_where_its_door_is_is_followed_once_it_is(house):
    back = house.join("back", "engine")
    assert wait_until(lambda: house.door.what.terms.counts)
    answers = house.door.do(lambda: asks_to_let_go(house, back))
    assert wait_until(lambda: bool(answers))
    assert house.door.what.terms.moved.door == ""
    assert house.door.what._standing()["moved"] is None, "nobody is sent to a place that is none"
    key = back.what.machine.key
    house.door.do(lambda: house.door.what.guests.at_door(key, "127.0.0.1:9"))
    assert wait_until(lambda: (house.door.what._standing()["moved"] or {}).get("door") == "127.0.0.1:9")


def test_a_door_that_was_switched_on_without_an_engine_tells_what_the_last_one_did(house):
    house.client.ask("start", caller="Ines", desk="caller")
    back = house.join("back", "engine")
    house.door.stop()
    house.client.ask("go", go="s:start")  # nobody hears of it
    done = raw_log(house.client)
    house.process.kill()
    house.process.wait()
    house.door = Looking(MachineDoor(house.runs, house.machine, "127.0.0.1", house.door.what.port))
    assert wait_until(lambda: len(back.what.copy) == len(done)), "before anybody has asked"
    has_all(back, house.door.do(lambda: asks_to_let_go(house, back)), done, planned=False)
