"""A run being carried out, with ports and a journal that can be made to fail."""

import pytest
from small_shows import cue, item, show

from showcaller.engine.clock import new_clock
from showcaller.engine.journal.memory import Kept
from showcaller.engine.runner import Runner, encode_all
from showcaller.engine.standing import Standing
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import command_from
from showcaller.run.commands import CommandError
from showcaller.run.compiled import compile_show
from showcaller.run.runlog import Record
from showcaller.timing.plan import compile_plan


class Paper:
    """A journal in memory; ``order`` is shared with the ports to see what came first."""

    def __init__(self, order):
        self.order = order
        self.full = False
        self.memory = Kept()

    def append(self, body):
        self.memory.append(body)
        if self.full:
            raise OSError(28, "No space left on device")
        self.order.append(("kept", Record.from_bytes(body).input.kind))


class Port:
    """An outlet in memory."""

    def __init__(self, order):
        self.order = order

    def frame(self, body):
        return b"<" + body + b">"

    def send(self, letter):
        self.order.append(("left", letter.cue, letter.packets))

    def close(self):
        """Nothing to let go of."""


@pytest.fixture
def runner():
    def osc(outlet, address):
        return {"kind": "osc", "outlet": outlet, "address": address}

    cues = [
        cue("a", "1", 0, messages=[osc("u", "/a"), osc("w", "/x"), osc("u", "/b")]),
        cue("e", "2", 0.001, fires="by itself", messages=[osc("u", "/e")]),
        cue("f", "3", 9, messages=[osc("w", "/f")]),
    ]
    outlets = [{"kind": "osc_udp", "id": x, "name": x, "port": 9000} for x in "uw"]
    order = []
    compiled = compile_show(compile_plan(show([item("s", 60, cues)], outlets=outlets)))
    runner = Runner(compiled, new_clock(), Paper(order), lambda body: order.append(("told",)), lambda: None)
    ports = {x: Port(order) for x in "uw"}
    runner.use_outlets(ports, encode_all(compiled, ports))
    runner.take(c.Start("Ada"), 0)
    order.clear()
    return runner, order


def test_a_go_is_in_the_journal_before_anything_leaves_and_told_only_then(runner):
    run, order = runner
    run.take(c.Go("s:start"), 5)
    assert [what[0] for what in order] == ["kept", "left", "left", "told"]
    assert order[1] == ("left", "a", (b"</a\0\0,\0\0\0>", b"</b\0\0,\0\0\0>"))
    assert order[2] == ("left", "a", (b"</x\0\0,\0\0\0>",))


def test_a_muted_outlet_gets_nothing(runner):
    run, order = runner
    run.take(c.Mute(True, "u"), 1)
    order.clear()
    run.take(c.Go("s:start"), 5)
    assert [what for what in order if what[0] == "left"] == [("left", "a", (b"</x\0\0,\0\0\0>",))]


def test_a_full_disk_is_told_and_does_not_stop_the_show(runner):
    run, order = runner
    run._journal.full = True
    run.take(c.Go("s:start"), 5)
    assert [what[0] for what in order] == ["left", "left", "told"]
    assert run.unkept == "no space left on device"
    assert run.state.place.go == 1


def test_what_cannot_be_kept_changes_nothing_not_even_what_is_due(runner):
    run, _ = runner
    run.take(c.Go("s:start"), 5)
    due = run.next_ns
    assert due == 1_000_005
    with pytest.raises(UnicodeEncodeError):
        run.take(c.Hold("\ud800"), 6)
    assert (run.state.phase, run.next_ns, len(run.log)) == ("running", due, 2)
    with pytest.raises(CommandError):  # and from outside it does not come so far
        command_from({"kind": "hold", "reason": "\ud800"})


def test_what_is_due_fires_and_nothing_before(runner):
    run, order = runner
    run.take_due()
    assert order == []
    run.take(c.Go("s:start"), run.clock.now_ns() - 2_000_000)
    order.clear()
    run.take_due()
    assert [what[:2] for what in order] == [("kept", "tick"), ("left", "e"), ("told",)]
    assert run.next_ns is None


def test_what_outlets_say_from_their_threads_is_logged_in_order(runner):
    run, _ = runner
    for n in range(3):
        run.report(ev.MessagesFailed(outlet="u", cue=f"c{n}", why="x"))
    run.take_reports()
    assert [Record.from_bytes(body).events[0].cue for body in list(run.log)[1:]] == ["c0", "c1", "c2"]


def test_a_replayed_run_stands_where_it_was_and_sends_nothing(runner):
    run, order = runner
    run.take(c.Go("s:start"), 5)
    run.take(c.Tick(), 2_000_000)
    records = tuple(Record.from_bytes(body) for body in run.log)
    paper = Paper(order)
    for body in run.log:
        paper.memory.append(body)
    again = Runner(run.compiled, run.clock, paper, lambda body: None, lambda: None)
    again.use_outlets(run._ports, run._packets)
    order.clear()
    standing = Standing(run.compiled)
    for record in records:
        standing.replay(record.input, record.t_ns)
    again.go_on_from(standing)
    assert (again.state, list(again.log), again.next_ns) == (run.state, list(run.log), run.next_ns)
    assert order == []


def test_going_through_the_next_go_beforehand_leaves_everything_as_it_was(runner):
    run, order = runner
    assert run.awaited_go() is None, "nobody stands by"
    run.take(c.Standby("l", ("a",)), 1)
    assert run.awaited_go() == "s:start"
    before = (run.state, run.next_ns, list(run.log), run.unkept)
    order.clear()
    for _ in range(3):
        run.rehearse(c.Go("s:start"))
    assert (run.state, run.next_ns, list(run.log), run.unkept) == before
    assert order == []
    run.take(c.Go("s:start"), 5)
    assert [what[0] for what in order] == ["kept", "left", "left", "told"]
    assert run.awaited_go() is None


def test_no_go_is_awaited_while_held_or_after_the_last(runner):
    run, _ = runner
    run.take(c.Standby("l", ("a", "f")), 1)
    run.take(c.Hold(), 2)
    assert run.awaited_go() is None
    run.take(c.Resume(), 3)
    run.take(c.Go("s:start"), 4)
    assert run.awaited_go() == "s:f"
    run.take(c.Go("s:f"), 5)
    assert run.awaited_go() is None
