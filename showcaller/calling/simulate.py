"""A whole run simulated in a moment: the state machine with a simulated caller on a clock that only jumps."""

from showcaller.calling.simulated import SimulatedCaller
from showcaller.run import commands as c
from showcaller.run.compiled import NS, CompiledShow
from showcaller.run.machine import step
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import Record
from showcaller.timing.calls.sheet import CallSheet

_LONGEST_STEPS = 200_000


def simulate(
    compiled: CompiledShow, sheets: tuple[CallSheet, ...], seed: int, digest: str, wall0_ns: int
) -> list[Record]:
    """The records of a run called by a simulated caller; the same seed gives the same run.

    Args:
        wall0_ns: the time of day at run time 0, Unix ns.
    """
    caller = SimulatedCaller(seed)
    book = RunBook(compiled, sheets)
    now_ns = 0
    next_ns: int | None = None

    def take(given: c.Input) -> None:
        nonlocal next_ns
        _, out = step(book.compiled, book.state, given, now_ns)
        next_ns = out.next_ns
        if out.events:
            record = Record(len(book.records) + 1, now_ns, wall0_ns + now_ns, given, tuple(out.events))
            book.take([Record.from_bytes(record.to_bytes())])

    take(caller.first(digest))
    for _ in range(_LONGEST_STEPS):
        act = caller.next_act(book, now_ns)
        if act is None:
            break
        if next_ns is not None and next_ns <= act.at_ns:
            now_ns = max(now_ns, next_ns)
            take(c.Tick())
            continue
        now_ns = max(now_ns, act.at_ns)
        take(act.command)
    last = book.compiled.items[book.state.item].planned.item
    ends_ns = (book.state.clock_ns or now_ns) + round(float(last.length_s) * NS)
    while next_ns is not None and next_ns <= ends_ns:
        now_ns = max(now_ns, next_ns)
        take(c.Tick())
    now_ns = max(now_ns, ends_ns)
    take(c.End("the last item is over"))
    return book.records
