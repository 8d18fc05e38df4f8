"""The engine's process: one thread that waits for commands and instants, and hardly anything else."""

import contextlib
import gc
import json
import os
import socket
import sys
import time
from pathlib import Path
from typing import Any

import zmq
from filelock import FileLock, Timeout

from showcaller.engine import commands as c
from showcaller.engine.clock import RunClock, boot_id, continued, new_clock
from showcaller.engine.encode import EncodeError
from showcaller.engine.journal import SEGMENT_BYTES, Journal, JournalError
from showcaller.engine.outlets import Letter, OutletPort, open_outlet
from showcaller.engine.program import Program, make_program
from showcaller.engine.protocol import (
    BEAT,
    BEAT_S,
    ENDPOINT_FILE,
    JOURNAL_FILE,
    LOCK_FILE,
    LOG_CHUNK,
    RECORD,
    SHOW_FILE,
    local_endpoint,
)
from showcaller.engine.remote import RemoteFeed
from showcaller.engine.runfile import RunFileError, clock_entry, digest, header, parse
from showcaller.engine.runner import Runner, encode_all
from showcaller.engine.timecode_in import CodeFeed
from showcaller.engine.timecode_out import Send, TimecodeOut
from showcaller.model import DocumentError, MidiOutlet, parse_show
from showcaller.timing.plan import Plan, compile_plan

_SPIN_NS = 1_500_000
"""Nearer than this to an instant the loop does not sleep: the system ends a sleep up to 1 ms late."""

_REHEARSE_MS = 3
"""While somebody stands by, the engine goes through the next go this often without taking it."""

_REHEARSE_NS = 300_000
"""What fires by itself is gone through once while its instant is at least this far off."""

LATE_GO_NS = 1_000_000_000
"""A go that was sent longer ago than this (the engine was down, or stopped) fires nothing: the moment it was
meant for is over. Real time."""

_LONGEST_REQUEST = 1 << 16
"""Bytes. Anything longer is a mistake, and might not fit a record of the journal."""

_ORDINARY = "ordinary"
"""How urgent an engine is that asks for no more than other programs get."""

_LINGER_S = 1.0
"""After the run's end the engine answers this much longer, so that desks see it end."""


class EngineError(Exception):
    """Why the engine cannot run, in one sentence."""


def run_engine(folder: Path, speed: float = 1.0, wall0_ns: int | None = None) -> None:
    """Run the engine of a run folder until its run has ended.

    A folder with a journal is taken up where it stopped; otherwise its ``show.json`` is opened as a new run,
    its clock ``speed`` times as fast as life and its time of day, for a rehearsal, beginning at ``wall0_ns``.

    Raises:
        EngineError: it cannot; nothing of the run is changed.
    """
    lock = FileLock(folder / LOCK_FILE)
    try:
        with lock.acquire(blocking=False):
            _Engine(folder, speed, wall0_ns).run()
    except Timeout:
        raise EngineError(f"another engine runs {folder.name} already") from None
    except (DocumentError, JournalError, RunFileError, EncodeError, OSError) as error:
        raise EngineError(str(error)) from error


class _Engine:
    def __init__(self, folder: Path, speed: float, wall0_ns: int | None) -> None:
        self._folder = folder
        # Before any thread begins, so that all inherit it: a helper that is put aside while it holds the
        # interpreter would hold up the rest.
        self._urgent = _raise_priority() if speed == 1 else _ORDINARY
        sys.setswitchinterval(0.0005)
        self._zmq = zmq.Context(io_threads=1)
        self._commands = self._zmq.socket(zmq.ROUTER)
        self._events = self._zmq.socket(zmq.PUB)
        self._woken, self._waker = socket.socketpair()
        for end in (self._woken, self._waker):
            end.setblocking(False)
        self._ports: dict[str, OutletPort] = {}
        self._open_run(folder, speed, wall0_ns)

    def _open_run(self, folder: Path, speed: float, wall0_ns: int | None) -> None:
        path = folder / JOURNAL_FILE
        show_text = (folder / SHOW_FILE).read_text(encoding="utf-8") if not path.exists() else ""
        room = max(SEGMENT_BYTES, 2 * len(show_text.encode()) + SEGMENT_BYTES)
        if show_text:
            _runnable(show_text)  # refuse before there is a journal
        self._journal = Journal(path, room)
        found = self._journal.records
        if found:
            run = parse(found, str(path))
            self.run_id, self.show_text, records = run.run_id, run.show_text, run.records
            clock = run.clock
        else:
            self.run_id, self.show_text, records = folder.name, show_text, ()
            clock = new_clock(speed, wall0_ns)
            self._journal.append(header(self.run_id, show_text, clock.wall0_ns))
            self._journal.append(clock_entry(clock))
        if clock.speed != 1 and self._urgent != _ORDINARY:
            self._urgent = _lower_priority()
        program = make_program(_runnable(self.show_text), clock.speed)
        gap_ns, rebooted = 0, False
        if records:
            last = records[-1]
            if boot_id() != clock.boot:
                rebooted = True
                wall_gap_ns = max(0, time.time_ns() - last.wall_ns)
                run_ns = last.t_ns + int(wall_gap_ns * clock.speed)
                clock = continued(clock.speed, run_ns, clock.wall0_ns)
                self._journal.append(clock_entry(clock))
            gap_ns = max(0, clock.now_ns() - last.t_ns)
        self.runner = Runner(program, clock, self._journal, self._publish, self._wake)
        self.runner.replay(records)
        self._ports = {o.id: open_outlet(o, self.runner.report) for o in program.plan.show.outlets}
        self.runner.use_outlets(self._ports, encode_all(program, self._ports))
        if records:
            self.runner.take(c.Recovered(gap_ns, rebooted))
        self._code = CodeFeed(self.runner, self._wake) if program.code is not None else None
        self._code_out = self._open_code_out(program, clock)
        self._remote = RemoteFeed(self.runner, self._wake) if program.plan.show.remotes else None

    def _open_code_out(self, program: Program, clock: RunClock) -> TimecodeOut | None:
        """MIDI Time Code to the outlets that carry it; not in a run faster than life."""
        show = program.plan.show
        ports = [o.id for o in show.outlets if isinstance(o, MidiOutlet) and o.timecode]
        if not ports or clock.speed != 1:
            return None

        def sender(outlet: str) -> Send:
            def send(packet: bytes) -> None:
                if not self.runner.state.is_muted(outlet):
                    self._ports[outlet].send(Letter("", time.monotonic_ns(), (packet,)))

            return send

        try:
            return TimecodeOut(program, clock, [sender(p) for p in ports])
        except ValueError as error:
            for outlet in ports:
                event = {"kind": "outlet", "outlet": outlet, "state": "open", "why": str(error)}
                self.runner.report(event)
            return None

    def _wake(self) -> None:
        with contextlib.suppress(BlockingIOError):
            self._waker.send(b"!")

    def _publish(self, body: bytes) -> None:
        self._events.send_multipart((RECORD, body), zmq.NOBLOCK)

    def _bind(self) -> None:
        self._events.setsockopt(zmq.SNDHWM, 100_000)
        self._commands.bind(local_endpoint(self.run_id, "do"))
        self._events.bind(local_endpoint(self.run_id, "ev"))
        endpoint = {
            "run": self.run_id,
            "pid": os.getpid(),
            "commands": self._commands.getsockopt_string(zmq.LAST_ENDPOINT),
            "events": self._events.getsockopt_string(zmq.LAST_ENDPOINT),
        }
        temporary = self._folder / f"{ENDPOINT_FILE}.new"
        temporary.write_text(json.dumps(endpoint), encoding="utf-8")
        temporary.replace(self._folder / ENDPOINT_FILE)

    def run(self) -> None:
        """Serve until the run has ended."""
        try:
            self._bind()
            gc.collect()
            gc.freeze()
            gc.disable()
            self._loop()
        finally:
            (self._folder / ENDPOINT_FILE).unlink(missing_ok=True)
            if self._code is not None:
                self._code.close()
            if self._remote is not None:
                self._remote.close()
            if self._code_out is not None:
                self._code_out.close()
            for port in self._ports.values():
                port.close()
            self.runner.take_reports()
            self._journal.close()
            self._zmq.destroy(linger=200)

    def _loop(self) -> None:
        runner = self.runner
        poller = zmq.Poller()
        poller.register(self._commands, zmq.POLLIN)
        poller.register(self._woken, zmq.POLLIN)
        next_beat = time.monotonic()
        ended: float | None = None
        rehearsed_ns: int | None = None
        while True:
            if self._code is not None:
                self._code.take()  # first: it may say that what seems due is not
            runner.take_due()
            if self._remote is not None:
                self._remote.take()
            runner.take_reports()
            if self._code_out is not None:
                self._code_out.look(runner.state)
            wait_ns = 1_000_000_000
            wanted = [runner.next_ns, self._code.deadline_ns if self._code is not None else None]
            for due_ns in wanted:
                if due_ns is not None:
                    wait_ns = min(wait_ns, runner.clock.monotonic_of(due_ns) - time.monotonic_ns())
            now = time.monotonic()
            if now >= next_beat and wait_ns > _SPIN_NS:
                next_beat = now + BEAT_S
                trouble = (runner.unkept or self._journal.sync_error or "").encode()
                self._events.send_multipart((BEAT, b"%d %s" % (len(runner.log), trouble)), zmq.NOBLOCK)
                gc.collect(1)
                if runner.state.phase == "ended":
                    ended = ended or now
                    if now - ended > _LINGER_S:
                        return
            idle_ms = max(0, min(int((wait_ns - _SPIN_NS) / 1e6), int((next_beat - now) * 1000)))
            if wait_ns <= _SPIN_NS:
                idle_ms = 0
            if _REHEARSE_NS < wait_ns <= _SPIN_NS and runner.next_ns not in (None, rehearsed_ns):
                rehearsed_ns = runner.next_ns
                runner.rehearse(c.Tick(), rehearsed_ns)
            awaited = runner.awaited_go() if idle_ms > _REHEARSE_MS else None
            found = poller.poll(_REHEARSE_MS if awaited is not None else idle_ms)
            if awaited is not None and not found:
                self._rehearse(awaited)
            for ready, _ in found:
                if ready is self._commands:
                    self._serve()
                else:
                    with contextlib.suppress(BlockingIOError):
                        self._woken.recv(4096)

    def _serve(self) -> None:
        """Answer every request that waits; whatever has become due before one goes first."""
        while True:
            try:
                sender, *frames = self._commands.recv_multipart(zmq.NOBLOCK)
            except zmq.Again:
                return
            self.runner.take_due()
            answer = self._answer(frames[-1] if frames else b"")
            with contextlib.suppress(zmq.ZMQError):  # the desk that asked may be gone
                self._commands.send_multipart((sender, json.dumps(answer).encode()), zmq.NOBLOCK)

    def _rehearse(self, go: str) -> None:
        body = json.dumps({"id": 0, "at": time.monotonic_ns(), "do": {"kind": "go", "go": go}})
        self.runner.rehearse(c.from_dict(json.loads(body)["do"], commands_only=True))

    def _answer(self, body: bytes) -> dict[str, Any]:
        number: Any = None
        try:
            if len(body) > _LONGEST_REQUEST:
                raise c.CommandError(
                    f"a request is {_LONGEST_REQUEST} bytes at most; this one is {len(body)}"
                )
            request = json.loads(body)
            number, do = request["id"], request["do"]
            kind = do["kind"]
            if kind in _QUESTIONS:
                return {"id": number, "ok": True, "say": None, **_QUESTIONS[kind](self, do)}
            late_ns = time.monotonic_ns() - int(request.get("at", 1 << 62))
            if kind == "go" and late_ns > LATE_GO_NS:
                return {"id": number, "ok": False, "say": self._too_late(late_ns)}
            out = self.runner.take(c.from_dict(do, commands_only=True))
        except c.CommandError as error:
            return {"id": number, "ok": False, "say": str(error)}
        except (ValueError, KeyError, TypeError, OverflowError, RecursionError):
            return {"id": number, "ok": False, "say": 'a request is {"id": number, "do": {"kind": …}}'}
        return {"id": number, "ok": out.refused is None, "say": out.refused, "seq": len(self.runner.log)}

    def _too_late(self, late_ns: int) -> str:
        """A go from another moment: refused, and kept as refused."""
        why = f"that go reached the engine {late_ns / 1e9:.1f} s late and fired nothing; give it again"
        self.runner.take(c.Report({"kind": "refused", "command": "go", "why": why}))
        return why

    def hello(self, _: dict[str, Any]) -> dict[str, Any]:
        """Who this is, and its clock."""
        clock = self.runner.clock
        return {
            "run": self.run_id,
            "digest": digest(self.show_text),
            "seq": len(self.runner.log),
            "base_ns": clock.base_ns,
            "wall0_ns": clock.wall0_ns,
            "speed": clock.speed,
            "pid": os.getpid(),
            "urgent": self._urgent,
            "disk": self.runner.unkept or self._journal.sync_error,
        }

    def show(self, _: dict[str, Any]) -> dict[str, Any]:
        """The show document this run was opened with."""
        return {"show": self.show_text}

    def log(self, do: dict[str, Any]) -> dict[str, Any]:
        """Records from number ``from`` on, a chunk at a time."""
        start = max(1, int(do.get("from", 1)))
        chunk = self.runner.log[start - 1 : start - 1 + LOG_CHUNK]
        return {"records": [body.decode() for body in chunk], "seq": len(self.runner.log)}


_QUESTIONS = {"hello": _Engine.hello, "show": _Engine.show, "log": _Engine.log}


def _runnable(show_text: str) -> Plan:
    """The plan of a show that can be run.

    Raises:
        DocumentError: it cannot be read, or something in it cannot be run as written.
    """
    plan = compile_plan(parse_show(show_text))
    if plan.problems:
        raise DocumentError([str(p) for p in plan.problems])
    return plan


def _lower_priority() -> str:
    """A rehearsal that runs faster than life is busy all the time and must not keep a show waiting."""
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))
    return _ORDINARY


def _raise_priority() -> str:
    """Ask to be run before other programs: real time if allowed, else a better 'nice'; says which."""
    if sys.platform.startswith("linux"):
        with contextlib.suppress(OSError):
            os.sched_setscheduler(0, os.SCHED_RR, os.sched_param(5))
            return "real time"
    if hasattr(os, "nice"):
        with contextlib.suppress(OSError):
            os.nice(-10)
            return "preferred"
    return _ORDINARY
