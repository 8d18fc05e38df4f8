"""A run without a window: a simulated caller and the engine's own runner, from instant to instant.

Its clock stands until the next instant is reached, so a run takes as long as the machine needs, at any speed,
and nothing in it is late for want of it.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from showcaller.calling.errors import HeadlessError
from showcaller.calling.simulated import SimulatedCaller
from showcaller.engine.launch import new_run_folder
from showcaller.model import Show, show_text
from showcaller.model.document import text_digest
from showcaller.run import commands as c
from showcaller.run.compiled import NS, compile_show
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import Record
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

if TYPE_CHECKING:
    from showcaller.engine.stepped import SteppedRun

Progress = Callable[[str, float], None]
"""Takes the item that is on and how much of the show is behind it, 0 to 1."""

_REFUSED = 200
"""So many refusals in a row, and the run stands still."""


def run_headless(
    show: Show, runs: Path, speed: float, seed: int, wall0_ns: int, progress: Progress, muted: bool = False
) -> Path:
    """Run the whole show; the folder of the run.

    Args:
        speed: how much faster than life, at most; slower where the machine cannot follow.
        wall0_ns: the time of day the rehearsal begins at, Unix ns.

    Raises:
        LaunchError, DocumentError, OSError: the run cannot be opened.
        HeadlessError: the run stood still.
    """
    from showcaller.engine.stepped import SteppedRun  # noqa: PLC0415 - brings the engine and its libraries

    text = show_text(show)
    folder = new_run_folder(runs, text)
    plan = compile_plan(show)
    book = RunBook(compile_show(plan, speed), compile_show_calls(plan))
    run = SteppedRun(folder, speed, wall0_ns, lambda body: book.take([Record.from_bytes(body)]))
    try:
        _Headless(run, book, SimulatedCaller(seed), speed, progress).play(text_digest(text), muted)
    finally:
        run.close()
    return folder


class _Headless:
    def __init__(
        self, run: SteppedRun, book: RunBook, caller: SimulatedCaller, speed: float, progress: Progress
    ) -> None:
        self._run, self._book, self._caller = run, book, caller
        self._speed, self._progress = speed, progress
        self._began_s = time.monotonic()
        self._shown = -1

    def play(self, digest: str, muted: bool) -> None:
        """From the opening to the end."""
        run, book = self._run, self._book
        run.take(self._caller.first(digest, muted), 0)
        refused = 0
        while (act := self._caller.next_act(book, run.now_ns)) is not None:
            self._tell()
            if self._tick_before(act.at_ns):
                continue
            self._pace(act.at_ns)
            why = run.take(act.command, act.at_ns)
            refused = 0 if why is None else refused + 1
            if refused > _REFUSED:
                raise HeadlessError(f"nothing moves any more: {why}")
        last = book.compiled.items[book.state.item].planned.item
        ends_ns = (book.state.clock_ns or run.now_ns) + round(float(last.length_s) * NS)
        while self._tick_before(ends_ns):
            pass
        self._pace(ends_ns)
        run.take(c.End(why="the last item is over"), ends_ns)

    def _tick_before(self, at_ns: int) -> bool:
        """Fire what is due by itself by then; False where nothing is."""
        due_ns = self._run.next_ns
        if due_ns is None or due_ns > at_ns:
            return False
        self._pace(due_ns)
        self._run.take(c.Tick(), due_ns)
        return True

    def _pace(self, at_ns: int) -> None:
        """Wait until a run at this speed would be there; one that is behind does not wait."""
        ahead_s = self._began_s + at_ns / NS / self._speed - time.monotonic()
        if ahead_s > 0:
            time.sleep(ahead_s)

    def _tell(self) -> None:
        book = self._book
        if book.state.item != self._shown:
            self._shown = book.state.item
            plan = book.compiled.plan
            behind = float(plan.starts_s[self._shown]) / float(plan.length_s)
            self._progress(plan.items[self._shown].item.name, behind)
