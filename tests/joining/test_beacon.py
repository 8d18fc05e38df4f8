"""The terms by datagrams: what is fresh counts, at once; what is replayed, forged or for another does not."""

import socket

from devices import free_port, wait_until
from machines import machine

from showcaller.joining.beacon import EVERY_S, TermBeacon
from showcaller.joining.guests import Guest


class Two:
    """Two machines; ``turn`` has both take a turn at a time of its own and gives what each heard."""

    def __init__(self):
        self.machines = [machine("front"), machine("back")]
        ports = [free_port(socket.SOCK_DGRAM) for _ in self.machines]
        self.beacons = [TermBeacon(m, "127.0.0.1", p) for m, p in zip(self.machines, ports, strict=True)]
        guests = [
            Guest(m.key, m.name, "engine", door=f"127.0.0.1:{p}")
            for m, p in zip(self.machines, ports, strict=True)
        ]
        self.guests = [[guests[1]], [guests[0]]]
        self.ports = ports

    def turn(self, now_s):
        own = {"run": "r", "term": 3, "engine": True}
        return [b.poll(g, own, now_s) for b, g in zip(self.beacons, self.guests, strict=True)]

    def close(self):
        for one in self.beacons:
            one.close()


def test_both_hear_each_other_within_two_turns_and_what_is_sent_again_later_counts_for_nothing():
    two, caught = Two(), []
    front = two.beacons[0]
    send = front._sock.sendto

    class Tapped:
        def __getattr__(self, name):
            return getattr(sock, name)

        def sendto(self, data, at):
            caught.append(data)
            return send(data, at)

    sock, front._sock = front._sock, Tapped()
    try:
        heard = [[], []]

        def both(now_s):
            for n, news in enumerate(two.turn(now_s)):
                heard[n] += news
            return all(heard)

        assert wait_until(lambda: both(0.0))
        assert heard[1][0][0] == two.machines[0].key
        assert heard[1][0][1]["term"] == 3
        assert len(caught) <= 3, "each needed to be told once, and to answer"
        for now_s in (EVERY_S, 2 * EVERY_S):
            two.turn(now_s)
        old = list(caught)
        for now_s in (10.0, 12.0, 14.0):  # words are made anew
            two.turn(now_s)
        front._sock = sock
        two.beacons[1].drain()
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as other:
            for data in (*old, old[0][:-1] + b"x", b"sct1", b"sct1" + bytes(60), b"\xff" * 900):
                other.sendto(data, ("127.0.0.1", two.ports[1]))
        assert two.beacons[1].poll(two.guests[1], {}, 14.01) == []
        assert two.beacons[0].poll([], {}, 14.01) == [], "who is not let in is not heard"
    finally:
        two.close()
