"""A desk on another machine, through a real door to a real engine: it is let in, follows, and may what its
seat may."""

import json
import time

import pytest
import zmq
from devices import wait_until
from machines import Looking, desk_at, machine

from showcaller.calling.session import RunSession
from showcaller.joining import asking_in, code
from showcaller.joining.asking_in import Known, ask_in
from showcaller.joining.door import MachineDoor
from showcaller.joining.errors import JoinError
from showcaller.joining.machine import key_id
from showcaller.joining.wire import REQUEST, to_door
from showcaller.run import commands as c


def test_let_in_by_a_code_a_desk_follows_and_the_engine_refuses_what_its_seat_may_not(house):
    assert house.client.ask("start", caller="Ines", desk="caller")["ok"]
    director = house.join("wall", "director")
    with desk_at(director) as desk:
        assert [r.to_bytes() for r in desk.log()] == [r.to_bytes() for r in house.client.log()]
        noted = desk.ask("note", text="key light is out")
        assert noted["ok"], noted
        refused = desk.ask("go", go="s:start")
        assert refused["say"] == (
            "the video director's seat has no right to 'go': ask the caller to do it, or for another seat"
        )
        assert wait_until(lambda: director.what.behind == 0 and len(desk.log()) == len(house.client.log()))
        told = {r.input.kind: r for r in desk.log()}
        assert told["note"].by == f"{director.what.machine.id}desk", "the log says whose word it is"
        assert told["not_calling"].input.seat == "director"


def test_the_calls_go_to_a_desk_elsewhere_and_only_that_desk_fires(house):
    house.client.ask("start", caller="Ines", desk="caller")
    link = house.join("side", "caller")
    with desk_at(link) as desk:
        me = f"{link.what.machine.id}desk"
        assert "has the calls" in desk.ask("go", go="s:start")["say"]
        assert not desk.ask("take_calls", desk="caller", caller="Mo", reason="x")["ok"], (
            "in its own name only"
        )
        assert desk.ask("ask_calls", desk=me, caller="Mo")["ok"]
        assert house.client.ask("give_calls", desk=me)["ok"]
        assert desk.ask("go", go="s:start")["ok"]
        assert "Mo has the calls" in house.client.ask("go", go="s:b")["say"]


def test_a_desk_that_is_withdrawn_is_out_at_once_and_does_not_come_back(house):
    house.client.ask("start", caller="Ines", desk="caller")
    stage = house.join("stage", "stage")
    with desk_at(stage) as desk:
        assert desk.ask("clear", clearance="path", ok=True, by="Jo")["ok"]
        before = len(house.client.log())
        assert house.door.do(lambda: house.door.what.withdraw(stage.what.machine.id))
        assert wait_until(lambda: stage.what.far.out)
        assert not desk.ask("clear", clearance="path", ok=False, by="Jo")["ok"]
        house.client.ask("note", text="still here")
        assert wait_until(lambda: len(house.door.what.engine.log) == before + 1)
        time.sleep(0.3)  # nothing is to come, which shows after a while only
        assert len(stage.what.copy) == before
    again = Known(house.address, house.machine.key, "")
    sock = to_door(zmq.Context.instance(), stage.what.machine, again.door, again.key)
    sock.send_multipart([REQUEST, json.dumps({"id": 1, "do": {"kind": "hello"}}).encode()])
    assert not sock.poll(700), "a withdrawn key finishes no handshake"
    sock.close()


def test_a_cut_line_is_said_within_a_second_or_so_and_the_log_catches_up(house):
    house.client.ask("start", caller="Ines", desk="caller")
    link = house.join("wall", "watcher")
    door = house.door
    door.stop()  # as if the machine had been unplugged
    assert wait_until(lambda: not link.what.far.is_live)
    assert link.what.far.silent_s < 1.5
    for n in range(300):
        house.client.ask("note", text=f"note {n}")

    house.door = Looking(MachineDoor(house.runs, house.machine, "127.0.0.1", door.what.port))
    count = len(house.client.log())
    assert wait_until(lambda: link.what.far.is_live and len(link.what.copy) == count)
    with desk_at(link) as desk:
        assert [r.to_bytes() for r in desk.log()] == [r.to_bytes() for r in house.client.log()]


def test_a_wrong_code_is_refused_and_a_right_one_lets_in_one_machine(house, monkeypatch):
    monkeypatch.setattr(code, "PAUSE_S", 30.0)
    digits = house.code("stage")
    wrong = f"{(int(digits) + 1) % 10**6:06}"
    with pytest.raises(JoinError, match="that is not the code"):
        ask_in(machine("x"), house.address, wrong)
    with pytest.raises(JoinError, match="wait two seconds"):
        ask_in(machine("x"), house.address, digits)
    digits = house.code("stage")
    jo = machine("jo")
    known = ask_in(jo, house.address, f"{digits[:3]} {digits[3:]}")
    assert known == Known(house.address, house.machine.key, "front of house")
    monkeypatch.setattr(asking_in, "WAIT_S", 0.4)
    with pytest.raises(JoinError, match=r"nobody answers|no code is shown"):
        ask_in(machine("x"), house.address, digits)
    assert wait_until((house.runs / "joined.json").exists)
    kept = json.loads((house.runs / "joined.json").read_text())["guests"]
    assert [(one["name"], one["seat"], key_id(one["key"])) for one in kept] == [("jo", "stage", jo.id)]


def test_a_window_there_counts_by_the_engines_clock_and_says_how_exactly(house):
    house.client.ask("start", caller="Ines", desk="caller")
    link = house.join("wall", "director")
    session = RunSession(link.what.copy.folder, None, f"{link.what.machine.id}w", "director's desk", False)
    try:
        assert wait_until(lambda: bool(session.poll() or session.error_ns))
        ours, theirs = session.now_ns(), house.client.clock().now_ns()
        assert abs(theirs - ours) < 20e6, "one machine here, so what differs is the offset that was found"
        assert session.error_ns < 20e6
        session.send(c.WriteNote("from the wall"))
        assert wait_until(lambda: bool(session.poll()) and bool(session.book.notes))
        joined = next(e for r in session.book.records for e in r.events if e.kind == "desk_joined")
        assert joined.name == "wall, director's desk"
        assert session.trouble is None
    finally:
        session.close()
