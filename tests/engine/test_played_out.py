"""What a hand plays reaches the devices: at most so often, the last value always, also after a kill."""

import socket
import time
from collections import Counter
from itertools import pairwise

import pytest
from pythonosc.osc_message import OscMessage as Parsed
from wall_show import wall_show

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.played_out import A_SECOND, PlayedOut
from showcaller.model import show_text
from showcaller.run import commands as c
from showcaller.run.compiled import NS, compile_show
from showcaller.run.machine import first_state, step
from showcaller.timing.plan import compile_plan

SHOW = wall_show()
PROGRAM = compile_show(compile_plan(SHOW))


class Hand:
    """The step and what is told, on a clock of its own."""

    def __init__(self) -> None:
        self.state, self.out, self.told = first_state(PROGRAM), PlayedOut(), []
        self.given(0, c.Start())
        self.given(0, c.Go("gulls:start"))
        self.given(17, c.PutLook("wide"))

    def given(self, at_s: float, one: c.Input) -> None:
        self.state, out = step(PROGRAM, self.state, one, round(at_s * NS))
        assert out.refused is None
        self.out.over(self.state.on_wall)
        if out.played is not None:
            self.out.want(SHOW, self.state.on_wall, *out.played, round(at_s * NS))

    def play(self, at_s: float, **fields: object) -> None:
        self.given(at_s, c.PlayLayer("cam-1", fields, self.state.on_wall.number))

    def tell(self, at_s: float) -> None:
        """As the engine's loop does: whatever is due, one after the other."""
        while (due_ns := self.out.due_ns) is not None and due_ns <= at_s * NS:
            for sent in self.out.take(SHOW, self.state.on_wall, round(at_s * NS)):
                self.told.append((at_s, sent.message.address, *sent.message.args))


def test_sixty_changes_a_second_are_told_so_often_at_most_and_the_last_always() -> None:
    hand = Hand()
    for n in range(120):
        hand.play(20 + n / 60, left_m=12 + n / 60)
        hand.tell(20 + n / 60)
    last = hand.out.due_ns
    hand.tell(30)
    times = [at_s for at_s, address, *_ in hand.told if address == "/in-b/2"]
    assert 2 * A_SECOND - 12 <= len(times) <= 2 * A_SECOND + 2
    # Some part of a cycle is let through a frame late, none early.
    assert all(b - a >= 1 / A_SECOND - 1e-6 for a, b in pairwise(times) if b < 30)
    assert last is not None
    assert hand.told[-1][1:] == ("/in-c/2", "cam-1", 0, 398)  # 12 + 119/60 + 10 - 20 m, 100 px each
    assert hand.out.due_ns is None


def test_an_input_that_the_layer_leaves_is_told_once_and_a_hidden_layer_everywhere() -> None:
    hand = Hand()
    hand.play(20, left_m=20.5)
    hand.tell(20)
    assert [m[1:] for m in hand.told] == [
        ("/in-b/2", "cam-1", 0, 0), ("/in-c/2", "cam-1", 50, 950), ("/in-d/2", "cam-1", 0, 50)
    ]  # fmt: skip
    hand.told.clear()
    hand.play(21, left_m=20)
    hand.tell(21)
    hand.play(22, hidden=True)
    hand.tell(22)
    hand.play(23, hidden=False)
    hand.tell(23)
    assert [(at, *m) for at, *m in hand.told] == [
        (21, "/in-d/2", "cam-1", 0, 0), (21, "/in-c/2", "cam-1", 0, 1000),
        (22, "/in-c/2", "cam-1", 0, 0), (23, "/in-c/2", "cam-1", 0, 1000),
    ]  # fmt: skip


def test_what_was_played_of_the_look_before_is_never_told_over_the_next_one() -> None:
    hand = Hand()
    hand.play(20, left_m=1)
    hand.tell(20)
    hand.told.clear()
    hand.play(20.01, left_m=2)
    hand.given(20.02, c.PutLook("faces"))
    hand.tell(30)
    assert hand.told == []


def test_after_a_kill_all_that_was_played_is_told_once_to_every_input() -> None:
    hand = Hand()
    hand.play(20, left_m=10)
    hand.out = PlayedOut()
    hand.out.again(SHOW, hand.state.on_wall, 21 * NS)
    hand.tell(21)
    assert Counter(m[1] for m in hand.told) == {f"/in-{x}/2": 1 for x in "abcd"}
    assert (21, "/in-b/2", "cam-1", 0, 1000) in hand.told


def test_what_goes_to_a_device_that_is_behind_waits_and_is_told_once_with_the_last_value() -> None:
    hand = Hand()
    for n in range(20):
        hand.play(20 + n / 25, left_m=n)
        assert hand.out.take(SHOW, hand.state.on_wall, round((20 + n / 25) * NS), lambda _: False) == ()
    hand.tell(22)
    assert [m[1:] for m in hand.told] == [
        ("/in-c/2", "cam-1", 0, 900) if x == "c" else ("/in-b/2", "cam-1", 900, 100) for x in "bc"
    ]  # 19 m and 10 m wide: the last tenth of B, nine tenths of C


@pytest.fixture
def processor():
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(5)
        yield sock


def heard(sock: socket.socket, until: tuple[str, list[object]]) -> list[tuple[str, list[object]]]:
    """Everything that comes, up to a message."""
    found: list[tuple[str, list[object]]] = []
    while not found or found[-1] != until:
        parsed = Parsed(sock.recv(2000))
        found.append((parsed.address, list(parsed.params)))
    return found


@pytest.mark.system
def test_a_real_engine_tells_the_last_value_of_a_drag_also_when_it_is_killed(tmp_path, processor) -> None:
    folder = new_run_folder(tmp_path, show_text(wall_show(processor.getsockname()[1])))
    process = start_engine(folder)
    try:
        with EngineClient(folder) as client:
            client.ask("start", caller="Ada")
            assert client.ask("look", look="wide")["ok"]
            heard(processor, ("/in-c/2", ["cam-1", 0, 500]))
            began = time.monotonic()
            for n in range(60):
                fields = {"left_m": 10 + n / 12}
                assert client.ask("play_layer", layer="cam-1", fields=fields, number=1)["ok"]
            last = ("/in-b/2", ["cam-1", 492, 508])  # 10 + 59/12 m, 100 px each
            got = heard(processor, last)
            spent_s = time.monotonic() - began
            assert sum(m[0] == "/in-b/2" for m in got) <= spent_s * A_SECOND + 2
            assert client.ask("play_layer", layer="cam-1", fields={"left_m": 12}, number=1)["ok"]
            while not any(getattr(r.input, "fields", None) == {"left_m": 12} for r in client.records(1.0)):
                pass
            process.kill()  # it is in the log; whether it has left, nobody knows
            process.wait()
        process = start_engine(folder)
        assert heard(processor, ("/in-c/2", ["cam-1", 0, 200]))[-1]
        with EngineClient(folder) as client:
            # The look is not put up anew, only what was played is told.
            kinds = [r.input.kind for r in client.log()]
            assert kinds.count("look") == 1
            assert client.ask("end")["ok"]
    finally:
        process.kill()
        process.wait()
    processor.setblocking(False)
    with pytest.raises(BlockingIOError):  # and no more than that
        processor.recv(2000)
