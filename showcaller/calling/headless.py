"""A run without a window: a simulated caller at the real engine, on a clock as fast as asked for."""

import time
from collections.abc import Callable
from pathlib import Path

from showcaller.calling.errors import HeadlessError
from showcaller.calling.session import RunSession, open_session
from showcaller.calling.simulated import SimulatedCaller
from showcaller.engine.launch import engine_lives, new_run_folder
from showcaller.model import Show, show_text
from showcaller.model.document import text_digest
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.compiled import NS
from showcaller.run.runlog import Record

Progress = Callable[[str, float], None]
"""Takes the item that is on and how much of the show is behind it, 0 to 1."""


def run_headless(
    show: Show, runs: Path, speed: float, seed: int, wall0_ns: int, progress: Progress, muted: bool = False
) -> Path:
    """Run the whole show; the folder of the run.

    Args:
        speed: how much faster than life.
        wall0_ns: the time of day the rehearsal begins at, Unix ns.

    Raises:
        LaunchError, NoEngine: the engine would not start or stopped answering.
        HeadlessError: the run stood still.
    """
    text = show_text(show)
    folder = new_run_folder(runs, text)
    session = open_session(folder, speed, wall0_ns)
    try:
        caller = SimulatedCaller(seed)
        session.send(caller.first(text_digest(text), muted))
        _wait_for(session, lambda: session.book.state.phase == "running")
        _call(session, caller, progress)
        _finish(session, speed)
    finally:
        session.close()
    until = time.monotonic() + 10
    while engine_lives(folder) and time.monotonic() < until:
        time.sleep(0.02)
    return folder


def _call(session: RunSession, caller: SimulatedCaller, progress: Progress) -> None:
    total_s = float(session.book.compiled.plan.length_s)
    shown = -1
    while True:
        session.poll()
        book = session.book
        if book.state.item != shown:
            shown = book.state.item
            planned = book.compiled.plan.items[shown].item
            progress(planned.name, float(book.compiled.plan.starts_s[shown]) / total_s)
        act = caller.next_act(book, session.now_ns())
        if act is None:
            return
        wait_s = (session.clock.monotonic_of(act.at_ns) - time.monotonic_ns()) / NS
        if wait_s > 0.0005:
            time.sleep(min(wait_s, 0.02))
            continue
        before, kind = len(book.records), act.command.kind
        session.send(act.command)
        # Its own record: an outlet's word that comes first says nothing of it. A go that a busy machine
        # brought too late is refused by a report, and given again.
        _wait_for(
            session,
            lambda: any(_answers(r, kind) for r in session.book.records[before:]),  # noqa: B023
        )


def _answers(record: Record, kind: str) -> bool:
    """Whether a record says what became of a command of this kind."""
    refused = (e.command == kind for e in record.events if isinstance(e, ev.CommandRefused))
    return record.input.kind == kind or any(refused)


def _finish(session: RunSession, speed: float) -> None:
    """Let the last item run to its planned end, then end the run."""
    book = session.book
    last = book.compiled.items[book.state.item].planned.item
    ends_ns = (book.state.clock_ns or session.now_ns()) + round(float(last.length_s) * NS)
    while session.now_ns() < ends_ns:
        session.poll()
        time.sleep(min(0.02, max(0.0, (ends_ns - session.now_ns()) / NS / speed)))
    session.send(c.End(why="the last item is over"))
    _wait_for(session, lambda: book.state.phase == "ended")


def _wait_for(session: RunSession, true: Callable[[], bool], timeout_s: float = 10.0) -> None:
    until = time.monotonic() + timeout_s
    while time.monotonic() < until:
        session.poll()
        if true():
            return
        time.sleep(0.0003)
    raise HeadlessError(
        session.trouble or f"the engine did nothing for {timeout_s:g} s; see {session.folder}"
    )
