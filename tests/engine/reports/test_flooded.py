"""Desks that flood: what is read of them, and that none of it is while a cue is near."""

import time
from collections import deque
from types import SimpleNamespace

import pytest
from pythonosc import slip
from pythonosc.osc_message_builder import OscMessageBuilder

from showcaller.engine.near import NextInstant
from showcaller.engine.remote.limits import PACKETS_BURST, PACKETS_PER_S
from showcaller.engine.reports import midi_port
from showcaller.engine.reports.midi_port import MidiHeard
from showcaller.engine.reports.ports import ConnectionHeard
from showcaller.model.outlets import OscTcpOutlet
from showcaller.model.reports import MscReports, TcpReports

S = 1_000_000_000


def test_an_answer_waits_while_a_cue_is_near_and_keeps_its_instant():
    outlet = OscTcpOutlet(kind="osc_tcp", id="wall", name="Wall", port=9)
    report = TcpReports(kind="osc_tcp", outlet="wall", address="/fired {cue}")
    instant, heard = NextInstant(), []

    def post(told):
        heard.append((told, time.monotonic_ns()))

    port = ConnectionHeard(outlet, [("video", report)], post, lambda *_: None, instant)
    builder = OscMessageBuilder("/fired")
    builder.add_arg(7.5)
    came_ns = time.monotonic_ns()
    instant.due_ns = came_ns + 1_000_000
    assert port.take(slip.encode(builder.build().dgram), came_ns)
    ((told, at_ns),) = heard
    assert (str(told.number), told.at_ns) == ("7.5", came_ns)
    assert at_ns >= instant.due_ns


class Port:
    """What is used of a MIDI input: calls while there is a call-back, else a queue."""

    def __init__(self):
        self.called = True
        self.queue = deque()

    def cancel_callback(self):
        self.called = False

    def set_callback(self, _call):
        self.called = True

    def get_message(self):
        assert not self.called
        return self.queue.popleft() if self.queue else None


class Desk:
    """A desk at a MIDI input, its messages coming at given instants."""

    def __init__(self, monkeypatch):
        self.now_ns, self._sent_ns = S, S
        monkeypatch.setattr(midi_port, "time", SimpleNamespace(monotonic_ns=lambda: self.now_ns))
        monkeypatch.setattr(MidiHeard, "start", lambda _: None)
        self.heard, self.said = [], []
        self.input = MidiHeard(
            "desk",
            [("moves", MscReports(kind="msc", port="desk"))],
            self.heard.append,
            lambda *words: self.said.append(words),
            NextInstant(),
        )
        self.port = self.input._in = Port()
        self.input._name = "Desk"

    def send(self, message, after_ns):
        """It comes so long after the one before."""
        self._sent_ns += after_ns
        self.now_ns = max(self.now_ns, self._sent_ns)
        if self.port.called:
            self.input._take(message)
        else:
            self.port.queue.append((list(message), after_ns / S))

    def read(self):
        self.input._drain()

    @property
    def told(self):
        return [(str(h.number), h.at_ns) for h in self.heard]


def go(number):
    return bytes([0xF0, 0x7F, 1, 2, 1, 1, *str(number).encode(), 0xF7])


@pytest.fixture
def desk(monkeypatch):
    return Desk(monkeypatch)


def test_ordinary_traffic_is_taken_as_it_comes(desk):
    for n in range(5 * PACKETS_BURST):
        desk.send(go(n), S // PACKETS_PER_S)
    assert len(desk.heard) == 5 * PACKETS_BURST
    assert desk.port.called
    assert desk.said == []


def test_a_flood_is_no_longer_called_for_and_is_said(desk):
    for n in range(2 * PACKETS_BURST):
        desk.send(go(n), 1000)
    assert not desk.port.called
    assert len(desk.port.queue) == PACKETS_BURST - 1
    assert len(desk.heard) == PACKETS_BURST
    assert [(state, source) for state, source, _ in desk.said] == [("unread", "MIDI from Desk")]
    desk.read()
    assert not desk.port.queue
    assert len(desk.heard) == PACKETS_BURST, "what is over the limit is dropped"
    assert len(desk.said) == 1


def flood(desk):
    for n in range(PACKETS_BURST + 1):
        desk.send(go(n), 1000)
    assert not desk.port.called
    desk.heard.clear()


def test_what_is_read_out_of_the_queue_has_the_instant_at_which_it_came(desk):
    flood(desk)
    desk.send(go(7), 40_000_000)
    first_ns = desk.now_ns
    desk.send(go(8), 2_000_000)
    desk.now_ns += 3_000_000  # it is read so much later
    desk.read()
    assert desk.told == [("7", first_ns), ("8", first_ns + 2_000_000)]


def test_an_instant_is_none_at_which_it_was_not_there_yet_or_in_the_future(desk):
    flood(desk)
    desk.now_ns += 50_000_000
    desk.read()
    read_ns = desk.now_ns
    desk.now_ns += 5_000_000
    desk.port.queue += [(list(go(7)), 0.0), (list(go(8)), 99.0)]  # as a system's clock may say that is off
    desk.read()
    assert desk.told == [("7", read_ns), ("8", desk.now_ns)]


def test_once_the_flood_is_over_messages_are_called_for_again(desk):
    flood(desk)
    desk.now_ns += S // 2
    desk.read()
    assert not desk.port.called
    desk.now_ns += S
    desk.read()
    assert desk.port.called
    desk._sent_ns = desk.now_ns
    desk.send(go(7), 1000)
    assert desk.told == [("7", desk.now_ns)]


def test_what_was_left_in_the_queue_is_too_old_to_be_told_in_the_next_flood(desk):
    desk.port.queue.append((list(go(999)), 0.1))
    flood(desk)
    desk.now_ns += 100_000_000
    desk.read()
    assert desk.told == []


def test_a_port_that_is_being_closed_is_let_alone(desk):
    with desk.input._in_use:
        for n in range(2 * PACKETS_BURST):
            desk.send(go(n), 1000)
    assert desk.port.called
