"""A run on this desk: the link to its engine, kept alive, and the run book it fills. No Qt."""

import contextlib
import subprocess
import threading
import time
from pathlib import Path
from typing import Any

from showcaller.calling.wording import plural
from showcaller.engine.client import EngineClient
from showcaller.engine.clock import RunClock
from showcaller.engine.held_back import held_back
from showcaller.engine.launch import LaunchError, engine_lives, start_engine
from showcaller.engine.protocol import HERE_S, NoEngine, read_endpoint
from showcaller.model import parse_show
from showcaller.run import commands as c
from showcaller.run.codec import input_dict
from showcaller.run.compiled import compile_show
from showcaller.run.runbook import RunBook
from showcaller.run.runlog import Record
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan
from showcaller.values import replace

UNHEARD_AFTER_S = 0.7
"""A go without an answer for this long has not been taken."""

SILENT_AFTER_S = 1.0
"""Heartbeats come four times a second; this long without one, something is wrong."""


CLAIMS_FOR_S = 6.0
"""A desk that takes up a run takes the calls of one that is gone without being told to, for so long: it is
the same caller, back at the keys."""

RESTART_AFTER_S = 1.0
RESTART_AT_LEAST_S = 30.0
"""An engine that could not be started is tried again after a second, then after twice as long each time."""


class RunSession:
    """One run, seen and steered from this desk. Everything but the restart happens on the caller's thread.

    ``trouble`` is a sentence while the engine cannot be relied on, else None.
    """

    def __init__(
        self,
        folder: Path,
        process: subprocess.Popen[bytes] | None,
        desk: str = "",
        name: str = "",
        restarts: bool = True,
    ) -> None:
        """Take up the run whose engine serves ``folder``; ``process`` if this desk started it. ``desk`` is
        the id of the desk, ``name`` what others read; without them it is nobody's and does what it likes.
        ``restarts`` is False for what only follows: it waits until somebody else starts the engine again.

        Raises:
            NoEngine: none answers.
        """
        self.folder = folder
        self.trouble: str | None = None
        self._goes: dict[Any, float] = {}
        self._process = process
        self._restarts = restarts
        self.desk, self.name = desk, name
        self._client = EngineClient(folder, desk)
        self.run_id = str((read_endpoint(folder) or {}).get("run", ""))
        """The run's own id, by which the tour knows it."""
        self.show_text: str = self._client.ask("show")["show"]
        self.clock: RunClock = self._client.clock()
        plan = compile_plan(parse_show(self.show_text))
        # As the run was opened: what was changed since is in its log.
        self._compiled, self._sheets = compile_show(plan, self.clock.speed), compile_show_calls(plan)
        self.book = RunBook(self._compiled, self._sheets)
        self.book.take(self._client.log())
        self._restarting: threading.Thread | None = None
        self._restart_failed: str | None = None
        self._restart_s = 0.0
        self._restart_wait_s = RESTART_AFTER_S
        self.lost = 0
        self._looked_at = time.monotonic()
        self._here_s = 0.0
        self._claims_until_s = 0.0
        self._acted_s = -1e9
        self.calls_gone = False
        """Whether the desk that has the calls is not heard from."""
        self.joined: dict[str, Any] | None = None
        """How this machine stands to the one the run is on, as ``joining/link.py`` has it; None on that."""
        self.error_ns: int | None = None
        self._log_of = ""
        """How far this machine's idea of that one's clock may be wrong at most; None before it is known."""

    def now_ns(self) -> int:
        """The run's clock."""
        return self.clock.now_ns()

    def wall_ns(self) -> int:
        """The time of day the run believes in: the real one, or in a fast rehearsal the rehearsed one."""
        return self.clock.wall_ns(self.clock.now_ns())

    @property
    def has_calls(self) -> bool:
        """Whether this desk may move the run: it has the calls, or nobody has."""
        return self.book.state.calling in ("", self.desk)

    def claim(self) -> None:
        """Take the calls if the desk that had them is gone."""
        self._claims_until_s = time.monotonic() + CLAIMS_FOR_S

    def acted_s(self) -> float:
        """Seconds since this desk last sent a command."""
        return time.monotonic() - self._acted_s

    def take_unheard(self) -> bool:
        """Whether a go was sent that the engine did not take; asked once for each."""
        now = time.monotonic()
        lost = [n for n, sent_s in self._goes.items() if now - sent_s > UNHEARD_AFTER_S]
        for number in lost:
            del self._goes[number]
        return bool(lost)

    def send(self, command: c.Command) -> None:
        """Send a command; what comes of it, also a refusal, arrives as records."""
        number, self._acted_s = -1, time.monotonic()
        with contextlib.suppress(NoEngine):  # ``trouble`` says so already
            number = self._client.post(input_dict(command))
        if isinstance(command, c.Go):
            self._goes[number] = time.monotonic()

    def poll(self) -> bool:
        """Take in what has come; look after the engine. True when the book has changed."""
        before = self.book.version
        self.book.take(self._client.records())
        for answer in self._client.answers():
            if "records" in answer:
                self._take_log(answer)
            elif "digest" in answer and "base_ns" in answer:
                clock = (int(answer["base_ns"]), float(answer["speed"]), "", int(answer["wall0_ns"]))
                self.clock = RunClock(*clock)
                self._in_step(answer)
            elif "calls_gone" in answer:
                self._take_calls_of(bool(answer["calls_gone"]))
                self._in_step(answer)
            else:
                self._goes.pop(answer.get("id"), None)
        self._say_here()
        silent_s = time.monotonic() - self._client.last_beat
        if silent_s < SILENT_AFTER_S:
            self.trouble = None
            if self._client.unkept:
                self.trouble = (
                    f"The log is not on disk ({self._client.unkept}): it is in memory only, "
                    "and a power cut would lose it. "
                    "The show goes on: free some disk space, or reconnect the disk."
                )
            elif self.lost:
                self.trouble = (
                    f"The engine came back without {plural(self.lost, 'entry', 'entries')} that "
                    "this desk had. Check what was called against the next go before you give it."
                )
            missing = self.book.missing_from(self._client.engine_seq)
            if missing is not None:
                self._ask_log(missing)
        elif self.book.state.phase != "ended":
            self._look_after_engine()
        return self.book.version != before

    def _say_here(self) -> None:
        now_s = time.monotonic()
        if (self.desk or self._client.is_joined) and now_s - self._here_s >= HERE_S:
            self._here_s = now_s
            what = {"kind": "here", "name": self.name} if self.desk else {"kind": "hello"}
            with contextlib.suppress(NoEngine):  # who is no desk asks for the clock alone
                self._client.post(what)

    def _take_calls_of(self, gone: bool) -> None:
        self.calls_gone = gone
        if gone and not self.has_calls and time.monotonic() < self._claims_until_s:
            self._claims_until_s = 0.0
            self.send(c.TakeCalls(self.desk, self.book.state.caller or self.name))

    def _in_step(self, answer: dict[str, Any]) -> None:
        """On another machine than the engine's: the run's clock, as it is known there now."""
        if "joined" not in answer:
            return
        self.joined, self.error_ns = answer["joined"], answer["error_ns"]
        if answer.get("log") and answer["log"] != self._log_of:
            self._log_of = answer["log"]  # another engine's: it may be another word for word
            self._client.post({"kind": "log", "from": max(1, len(self.book.records))})
        if "base_ns" in answer:
            self.clock = replace(self.clock, base_ns=int(answer["base_ns"]))

    def _ask_log(self, start: int) -> None:
        if time.monotonic() - self._looked_at > 0.2:
            self._looked_at = time.monotonic()
            self._client.post({"kind": "log", "from": start})

    def _take_log(self, answer: dict[str, Any]) -> None:
        records = [Record.from_bytes(text) for text in answer["records"]]
        known, start = self.book.records, int(answer["from"])
        if start <= len(known) and (not records or records[0] != known[start - 1]):
            # The engine is what fires: this desk follows its log, and says that it had more.
            self.lost = max(self.lost, len(known) - int(answer["seq"]), 1)
            self.book = RunBook(self._compiled, self._sheets)
            self._client.post({"kind": "log", "from": 1})
            return
        self.book.take(records)

    def _look_after_engine(self) -> None:
        """The engine is silent: wait for it if it lives, start it again if it does not."""
        if self._restarting is not None:
            if self._restarting.is_alive():
                return
            self._restarting = None
            if self._restart_failed is None:
                self._restart_wait_s = RESTART_AFTER_S
                self._reconnect()
                return
            self._restart_s = time.monotonic() + self._restart_wait_s
            self._restart_wait_s = min(2 * self._restart_wait_s, RESTART_AT_LEAST_S)
        if self._restart_failed is not None and time.monotonic() < self._restart_s:
            left_s = max(1, round(self._restart_s - time.monotonic()))
            held = held_back(self.folder, time.time())
            self.trouble = (
                f"{held[0].upper()}{held[1:]}."
                if held
                else (
                    f"Call by voice: the engine cannot be started ({self._restart_failed}). "
                    "Close the desk, open it again and rejoin. "
                    f"Trying again in {left_s} s."
                )
            )
            return
        if self._alive():
            self._restart_failed = None
            whose = (
                "The engine does not answer" if self.joined is None else f"{self.joined['name']} is not heard"
            )
            self.trouble = f"{whose}. Call by voice; this desk keeps trying."
            endpoint = read_endpoint(self.folder)
            if endpoint is not None and endpoint["pid"] != self._client.pid:
                self._reconnect()  # another desk has started it, or it was not ready a moment ago
            return
        if self.joined is not None and held_back(self.folder, time.time()):
            self.trouble = f"The way to {self.joined['name']} has stopped. Call by voice; join again."
            return
        if not self._restarts:
            self.trouble = "The engine stopped. It is followed again once a desk has started it."
            return
        if self._restart_failed is None:
            self.trouble = "The engine stopped. It is being started again at the same place."
        self._restarting = threading.Thread(target=self._restart, name="engine restart", daemon=True)
        self._restarting.start()

    def _alive(self) -> bool:
        return (self._process is not None and self._process.poll() is None) or engine_lives(self.folder)

    def _restart(self) -> None:
        try:
            process = start_engine(self.folder)
        except (LaunchError, OSError) as error:
            # Another desk may have been quicker.
            self._restart_failed = None if engine_lives(self.folder) else str(error)
        else:
            self._process, self._restart_failed = process, None

    def _reconnect(self) -> None:
        try:
            client = EngineClient(self.folder, self.desk)
        except NoEngine:
            return
        self._client.close()
        self._client = client
        self.joined = self.error_ns = None  # it may be an engine of this machine now, or of another
        self._client.post({"kind": "hello"})
        # From the last one that is known here: if the engine has another in its place, this desk has more.
        self._client.post({"kind": "log", "from": max(1, len(self.book.records))})

    def close(self) -> None:
        """Leave; the engine goes on if its run does."""
        self._client.close()
        if self._process is not None and self._process.poll() is None:
            # It is meant to outlive us: tell subprocess that nobody waits for it any more.
            self._process.returncode = 0


def open_session(
    folder: Path, speed: float = 1.0, wall0_ns: int | None = None, desk: str = "", name: str = ""
) -> RunSession:
    """Start the engine of a run folder if none runs, and take up its run, as the desk of this id and name.

    Raises:
        LaunchError: the engine will not start.
        NoEngine: it does not answer.
    """
    process = None if engine_lives(folder) else start_engine(folder, speed, wall0_ns)
    return RunSession(folder, process, desk, name)
