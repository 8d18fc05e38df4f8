"""Whoever has no key, an old one, or somebody else's bytes: nothing gets in, and the run goes on."""

import json
import os
import socket
import threading
import time

import zmq
from devices import wait_until
from machines import desk_at, machine

from showcaller.joining.bell import Bell
from showcaller.joining.code import LASTS_S, PAUSE_S, Code
from showcaller.joining.pairing import Joiner
from showcaller.joining.wire import LONGEST_BYTES, REQUEST, to_door

HELLO = json.dumps({"id": 1, "do": {"kind": "hello"}}).encode()


def port_of(house):
    return house.door.what.port


def plain(house):
    """A connection with no keys at all, as a scanner makes it."""
    return socket.create_connection(("127.0.0.1", port_of(house)), timeout=3)


def closed(sock):
    """Whether the other end has hung up."""
    sock.settimeout(5)
    try:
        while sock.recv(4096):
            pass
    except TimeoutError:
        return False
    except OSError:
        return True
    return True


def test_no_key_another_key_another_mechanism_and_a_wrong_door_key_finish_no_handshake(house):
    house.client.ask("start", caller="Ines", desk="caller")
    context = zmq.Context()
    stranger = machine("stranger")
    socks = [to_door(context, stranger, house.address, house.machine.key)]
    known, _ = house.let_in("jo", "caller")
    socks.append(to_door(context, known, house.address, stranger.key))  # as if somebody stood between
    for mechanism in ("null", "plain"):
        sock = context.socket(zmq.DEALER)
        sock.linger = 0
        if mechanism == "plain":
            sock.plain_username, sock.plain_password = b"caller", b"caller"
        sock.connect(f"tcp://{house.address}")
        socks.append(sock)
    for sock in socks:
        sock.send_multipart([REQUEST, HELLO])
    assert wait_until(lambda: house.door.what.keys.refused > 0)
    until_s = time.monotonic() + 0.5
    while time.monotonic() < until_s:
        assert not any(sock.poll(10) for sock in socks)
    for sock in socks:
        sock.close(linger=0)
    context.term()
    assert house.client.ask("note", text="the show goes on")["ok"]


def test_captured_bytes_of_a_desk_that_was_let_in_are_worth_nothing(house):
    house.client.ask("start", caller="Ines", desk="caller")
    sent, tap = [], socket.create_server(("127.0.0.1", 0))

    def carry():
        near, _ = tap.accept()
        far = socket.create_connection(("127.0.0.1", port_of(house)))

        def one_way(source, to, kept):
            try:
                while data := source.recv(65536):
                    kept.append(data)
                    to.sendall(data)
            except OSError:
                pass

        threading.Thread(target=one_way, args=(far, near, []), daemon=True).start()
        one_way(near, far, sent)
        for sock in (near, far):
            sock.close()

    carrier = threading.Thread(target=carry, daemon=True)
    carrier.start()
    who, _ = house.let_in("jo", "caller")
    context = zmq.Context()
    desk = to_door(context, who, f"127.0.0.1:{tap.getsockname()[1]}", house.machine.key)
    note = {"id": 1, "do": {"kind": "note", "text": "only once"}}
    desk.send_multipart([REQUEST, json.dumps(note).encode()])
    assert wait_until(lambda: any(r.input.kind == "note" for r in house.client.log()))
    desk.close(linger=0)
    context.term()
    carrier.join(5)
    tap.close()
    count = len(house.client.log())
    with plain(house) as again:
        again.sendall(b"".join(sent))
        assert closed(again)
    assert len([r for r in house.client.log() if r.input.kind == "note"]) == 1
    assert len(house.client.log()) <= count + 2, "somebody left, and nothing else"


def test_rubbish_endless_bodies_and_two_thousand_connections_are_nobody_elses_trouble(house):
    house.client.ask("start", caller="Ines", desk="caller")
    link = house.join("stage", "stage")
    with plain(house) as rubbish:
        rubbish.sendall(os.urandom(4096))
        assert closed(rubbish)
    loud = to_door(link.what.context, link.what.machine, house.address, house.machine.key)
    loud.send_multipart([REQUEST, b"x" * (LONGEST_BYTES + 1)])
    bodies = (
        b"", b"[]", b"null", b"[" * 50_000, b'{"id":1}', b'{"id":1,"do":{"kind":{}}}',
        b'{"id":1,"do":{"kind":"log","from":"x"}}', b'{"id":1,"do":{"kind":"higher_term","term":9}}',
    )  # fmt: skip
    for body in bodies:
        loud.send_multipart([REQUEST, body])
    many = []
    try:
        for _ in range(2000):
            sock = socket.socket()
            sock.setblocking(False)
            sock.connect_ex(("127.0.0.1", port_of(house)))
            many.append(sock)
        with desk_at(link) as desk:
            assert desk.ask("clear", clearance="path", ok=True, by="Jo")["ok"]
    finally:
        for sock in many:
            sock.close()
    loud.close(linger=0)
    assert house.client.ask("note", text="the show goes on")["ok"]
    assert house.client.ask("hello")["term"] == 0


def test_of_ten_thousand_wrong_codes_three_are_tried_and_a_late_one_is_none():
    code, tried = Code.new("stage", 0.0), 0
    for n in range(10_000):
        tried += code.may_try(n * 0.1)
    assert tried == 3
    assert not code.is_good(1.0)
    fresh = Code.new("stage", 0.0)
    assert fresh.may_try(LASTS_S - 0.1)
    assert not fresh.may_try(LASTS_S + PAUSE_S)


def test_the_bell_gives_nothing_away_to_who_only_listens_or_guesses(monkeypatch):
    bell = Bell("d" * 40, "front of house")
    bell.show("caller", 0.0)
    right = bell.code.digits
    wrong = Joiner(f"{(int(right) + 1) % 10**6:06}", "k" * 40, "d" * 40)
    first, _ = bell.answer(b"1", {"kind": "first", "key": "k" * 40, "name": "x", "first": wrong.first}, 1.0)
    answer, let_in = bell.answer(b"1", {"kind": "proof", "proof": wrong.proof(first["answer"])}, 1.0)
    assert (answer["ok"], let_in) == (False, None)
    assert right not in json.dumps([first, answer])
    again, let_in = bell.answer(b"1", {"kind": "proof", "proof": "0" * 64}, 9.0)
    assert (again["ok"], let_in) == (False, None), "one proof for each beginning"
    # Somebody between who shows a key of their own: the same code, and the two do not agree.
    fooled = Joiner(right, "k" * 40, "m" * 40)
    first, _ = bell.answer(b"2", {"kind": "first", "key": "k" * 40, "name": "x", "first": fooled.first}, 9.0)
    answer, let_in = bell.answer(b"2", {"kind": "proof", "proof": fooled.proof(first["answer"])}, 9.0)
    assert (answer["ok"], let_in) == (False, None)
