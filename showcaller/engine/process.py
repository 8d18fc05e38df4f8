"""The engine's process: one thread that waits for commands and instants, and hardly anything else.

Long, because the order in which one turn does things is what has to be read in one piece.
"""

import contextlib
import gc
import json
import os
import secrets
import select
import socket
import sys
import time
from pathlib import Path
from typing import Any

import zmq
from filelock import FileLock, Timeout

from showcaller.engine.clock import RunClock
from showcaller.engine.encode import EncodeError
from showcaller.engine.giving_way import PLAYED_ROOM_NS, QUIET_NS, GivingWay
from showcaller.engine.held_back import held_back, may_run
from showcaller.engine.journal import JournalError
from showcaller.engine.opening import open_run
from showcaller.engine.outlets import OutboundBatch, OutletPort, open_outlet
from showcaller.engine.preparing import Preparer
from showcaller.engine.priority import ORDINARY, lower_priority, raise_priority
from showcaller.engine.private import lease
from showcaller.engine.protocol import (
    BEAT,
    BEAT_S,
    LOCK_FILE,
    PUBLISHED_BYTES,
    RECORD,
    UNREAD_RECORDS,
    endpoint_files,
    forget_sockets,
    local_endpoint,
    socket_path,
    write_endpoint,
)
from showcaller.engine.remote import RemoteFeed
from showcaller.engine.reports import ReportFeed
from showcaller.engine.runfile import RunFileError
from showcaller.engine.runner import Runner, encode_all
from showcaller.engine.serving import LONG_BYTES, Desk, takes_long
from showcaller.engine.short_way import AVAILABLE, ShortWay
from showcaller.engine.time_watch import Watch
from showcaller.engine.timecode_in import TimecodeFeed
from showcaller.engine.timecode_out import Send, TimecodeOut
from showcaller.model import DocumentError, MidiOutlet
from showcaller.run import commands as c
from showcaller.run import events as ev
from showcaller.run.codec import command_from, make_ready
from showcaller.run.compiled import CompiledShow
from showcaller.values import replace

_SPIN_NS = 1_500_000
"""Nearer than this to an instant the loop does not sleep: the system ends a sleep up to 1 ms late."""

_REHEARSE_MS = 3
"""While somebody stands by, the engine goes through the next go this often without taking it."""

_REHEARSE_NS = 300_000
"""What fires by itself is gone through once, when it is quiet, while its instant is at least this far off."""

_AWAKE_NS = 5_000_000
_REST_S = 0.0008

_SHUT_NS = 200_000
"""So near to an instant nothing else is looked at: a look that finds a request put off takes longer than one
that finds nothing, and an instant in the middle of it would wait for its end."""

_AT_ONCE = 16
"""Requests answered before the loop looks at everything else again."""

_LINGER_S = 1.0
"""After the run's end the engine answers this much longer, so that desks see it end."""


class EngineError(Exception):
    """Why the engine cannot run, in one sentence."""


def run_engine(
    folder: Path, speed: float = 1.0, wall0_ns: int | None = None, takes_over: c.RaiseTerm | None = None
) -> None:
    """Run the engine of a run folder until its run has ended.

    A folder with a journal is taken up where it stopped; otherwise its ``show.json`` is opened as a new run,
    its clock ``speed`` times as fast as life and its time of day, for a rehearsal, beginning at ``wall0_ns``.
    ``takes_over``: from the engine of another machine.

    Raises:
        EngineError: it cannot; nothing of the run is changed.
    """
    _ask_whether(folder, takes_over)
    try:
        with FileLock(folder / LOCK_FILE).acquire(blocking=False):
            engine = _Engine(folder, speed, wall0_ns, takes_over)
            _ask_whether(folder, takes_over)  # opening takes a while
            if takes_over is not None:
                may_run(folder)
            engine.run()
    except Timeout:
        raise EngineError(
            f"another engine has {folder.name} open already; open it at the desk to rejoin"
        ) from None
    except (DocumentError, JournalError, RunFileError, EncodeError) as error:
        raise EngineError(str(error)) from error
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        raise EngineError(f"{where}{(error.strerror or str(error)).lower()}") from error


def _ask_whether(folder: Path, takes_over: c.RaiseTerm | None) -> None:
    if takes_over is None and (why := held_back(folder, time.time())):
        raise EngineError(why)


class _Engine:
    def __init__(
        self, folder: Path, speed: float, wall0_ns: int | None, takes_over: c.RaiseTerm | None
    ) -> None:
        # A long log is hundreds of thousands of values that all stay: nothing is to be found among them.
        gc.disable()
        make_ready()
        self._folder = folder
        # Before any thread begins, so that all inherit it: a helper that is put aside while it holds the
        # interpreter would hold up the rest.
        self._urgent = raise_priority() if speed == 1 else ORDINARY
        sys.setswitchinterval(0.0005)
        self._zmq = zmq.Context(io_threads=1)
        self._commands = self._zmq.socket(zmq.ROUTER)
        self._events = self._zmq.socket(zmq.PUB)
        self._short: ShortWay | None = None
        self._secret = secrets.token_bytes(16)
        self._woken, self._waker = socket.socketpair()
        for end in (self._woken, self._waker):
            end.setblocking(False)
        self._ports: dict[str, OutletPort] = {}
        self._watch = Watch()
        self._slept_ns = 0
        self._waiting: list[bytes] = []
        self._open_run(folder, speed, wall0_ns, takes_over)

    def _open_run(
        self, folder: Path, speed: float, wall0_ns: int | None, takes_over: c.RaiseTerm | None
    ) -> None:
        opened = open_run(folder, speed, wall0_ns)
        self.run_id, self.show_text, self._journal = opened.run_id, opened.show_text, opened.journal
        self._lease = lease(self.run_id)  # the folder's lock is gone if the folder was deleted
        compiled, clock = opened.compiled, opened.clock
        if clock.speed != 1 and self._urgent != ORDINARY:
            self._urgent = lower_priority()
        self.runner = Runner(compiled, clock, self._journal, self._publish, self._wake)
        self._way = GivingWay(self.runner)
        self._journal.report = self._of_journal
        term = opened.standing.state.term if opened.standing is not None else 0
        if takes_over is not None:  # its log may tell of a higher one than the machine had heard
            takes_over = replace(takes_over, term=max(takes_over.term, term + 1))
            term = takes_over.term
        self._ports = {o.id: open_outlet(o, self.runner.report, term) for o in compiled.plan.show.outlets}
        self.runner.use_outlets(self._ports, encode_all(compiled, self._ports))
        if opened.standing is not None:
            self.runner.go_on_from(opened.standing)
        if opened.recovered is not None:
            self.runner.take(replace(opened.recovered, doubts=self.runner.doubts()))
        if takes_over is not None:  # before anything can fall due
            self.runner.take(takes_over)
        if opened.mended:
            self.runner.report(ev.JournalState(state="mended", why=opened.mended))
        self._timecode = TimecodeFeed(self.runner, self._wake) if compiled.timecode is not None else None
        self._timecode_out = self._open_timecode_out(compiled, clock)
        self._remote = RemoteFeed(self.runner, self._wake) if compiled.plan.show.remotes else None
        desks = any(d.reports for d in compiled.plan.show.departments)
        self._told = ReportFeed(self.runner, self._ports, self._wake) if desks else None
        self._preparer = Preparer(self.runner, self._wake)
        self._desk = Desk(
            self.runner, self._preparer.want, self.run_id, self.show_text, self._journal, self._urgent
        )

    def _of_journal(self, event: ev.Event) -> None:
        self.runner.report(event)
        if isinstance(event, ev.JournalState) and event.state == "written anew":
            self._endpoint_gone = True  # the folder may be a new one

    def _open_timecode_out(self, compiled: CompiledShow, clock: RunClock) -> TimecodeOut | None:
        """MIDI Time Code to the outlets that carry it; not in a run faster than life."""
        show = compiled.plan.show
        ports = [o.id for o in show.outlets if isinstance(o, MidiOutlet) and o.timecode]
        if not ports or clock.speed != 1:
            return None

        def sender(outlet: str) -> Send:
            def send(packet: bytes) -> None:
                if not self.runner.state.is_muted(outlet):
                    self._ports[outlet].send(OutboundBatch("", time.monotonic_ns(), (packet,)))

            return send

        try:
            return TimecodeOut(compiled, clock, [sender(p) for p in ports])
        except ValueError as error:
            for outlet in ports:
                event = ev.OutletState(outlet=outlet, state="open", why=str(error))
                self.runner.report(event)
            return None

    def _wake(self) -> None:
        with contextlib.suppress(BlockingIOError):
            self._waker.send(b"!")

    def _publish(self, body: bytes) -> None:
        if len(body) <= PUBLISHED_BYTES:  # a longer one is asked for: what waits unread must stay small
            self._events.send_multipart((RECORD, body), zmq.NOBLOCK)

    def _bind(self) -> None:
        self._events.setsockopt(zmq.SNDHWM, UNREAD_RECORDS)
        if sys.platform != "win32":
            forget_sockets(self.run_id)
        self._commands.bind(local_endpoint(self.run_id, "do"))
        self._events.bind(local_endpoint(self.run_id, "ev"))
        if AVAILABLE:
            with contextlib.suppress(OSError):
                self._short = ShortWay(socket_path(self.run_id, "s"))
        self._write_endpoint()

    def _write_endpoint(self) -> None:
        self._endpoint_gone = False
        endpoint = {
            "run": self.run_id,
            "pid": os.getpid(),
            "commands": self._commands.getsockopt_string(zmq.LAST_ENDPOINT),
            "events": self._events.getsockopt_string(zmq.LAST_ENDPOINT),
            "short": str(self._short.path) if self._short is not None else None,
            "secret": self._secret.hex(),
        }
        write_endpoint(self._folder, endpoint)

    def run(self) -> None:
        """Serve until the run has ended."""
        try:
            self._bind()
            gc.collect()
            gc.freeze()
            gc.disable()
            self._loop()
        finally:
            if self.runner.state.held_back:
                for port in self._ports.values():
                    port.hold()
            for part in (self._timecode, self._remote, self._told, self._timecode_out, *self._ports.values()):
                if part is not None:
                    part.close()
            self.runner.take_reports()
            self._journal.close(over=self.runner.state.phase == "ended")
            if self._short is not None:
                self._short.close()
            self._zmq.destroy(linger=200)
            for path in endpoint_files(self._folder):
                with contextlib.suppress(OSError):
                    path.unlink(missing_ok=True)
            if self._lease is not None:
                self._lease.release()

    def _loop(self) -> None:
        runner = self.runner
        poller = zmq.Poller()
        poller.register(self._commands, zmq.POLLIN)
        poller.register(self._woken, zmq.POLLIN)
        if self._short is not None:
            poller.register(self._short.fileno(), zmq.POLLIN)
        next_beat = time.monotonic()
        ended: float | None = None
        rehearsed_ns: int | None = None
        looked = True
        while True:
            if self._timecode is not None:
                self._timecode.take()  # first: it may say that what seems due is not
            runner.take_due()
            if runner.state.held_back:
                return  # another machine fires from here on
            if self._remote is not None:
                self._remote.take()
            runner.take_reports()
            if self._preparer.take():
                rehearsed_ns = None  # what comes is the same, the show it is looked up in is not
                gc.freeze()  # a look through all that an edition is made of would take as long as a cue waits
            if self._timecode_out is not None:
                self._timecode_out.look(runner.compiled, runner.state)
            wait_ns = 1_000_000_000
            wanted = [runner.next_ns, self._timecode.deadline_ns if self._timecode is not None else None]
            for due_ns in wanted:
                if due_ns is not None:
                    wait_ns = min(wait_ns, runner.clock.monotonic_of(due_ns) - time.monotonic_ns())
            self._journal.due_ns = self._preparer.due_ns = time.monotonic_ns() + wait_ns
            if self._told is not None:
                self._told.instant.due_ns = self._preparer.due_ns
            wait_ns = self._way.play_on(wait_ns)
            if self._told is not None:
                wait_ns -= self._told.take(wait_ns)
            now = time.monotonic()
            if now >= next_beat and wait_ns > _SPIN_NS:
                next_beat = now + BEAT_S
                self._beat()
                gc.collect(1)
                if runner.state.phase == "ended":
                    ended = ended or now
                    if now - ended > _LINGER_S:
                        return
            idle_ms = max(0, min(int((wait_ns - _SPIN_NS) / 1e6), int((next_beat - now) * 1000)))
            if wait_ns <= _SPIN_NS:
                idle_ms = 0
            elif self._preparer.is_ready or self._waiting or (self._told is not None and self._told.waits):
                idle_ms = min(idle_ms, 1)
            played_ns = runner.played_ns
            if played_ns is not None and wait_ns > PLAYED_ROOM_NS:
                idle_ms = min(idle_ms, max(0, -(-(played_ns - time.monotonic_ns()) // 1_000_000)))
            if _REHEARSE_NS < wait_ns <= QUIET_NS and runner.next_ns not in (None, rehearsed_ns):
                rehearsed_ns = runner.next_ns
                runner.rehearse(c.Tick(), rehearsed_ns)
            if looked and 0 < wait_ns <= _SHUT_NS:
                looked = False  # where instants crowd, a look lies between
                until_ns = time.monotonic_ns() + wait_ns
                while time.monotonic_ns() < until_ns:
                    pass
                continue
            looked = True
            awaited = runner.awaited_go() if idle_ms > _REHEARSE_MS else None
            idle_ms = _REHEARSE_MS if awaited is not None else idle_ms
            found = self._poll(poller, idle_ms, wait_ns)
            for event in self._watch.look(idle_ms / 1000, runner.clock.speed == 1):
                runner.report(event)
            if awaited is not None and not found:
                self._rehearse(awaited)
            if self._waiting and all(ready is not self._commands for ready, _ in found):
                self._serve()
            for ready, _ in found:
                if ready is self._commands:
                    self._serve()
                elif ready == self._woken.fileno():
                    with contextlib.suppress(BlockingIOError):
                        self._woken.recv(4096)
                elif self._short is not None:
                    self._serve_short(self._short, ready, poller)

    def _poll(self, poller: zmq.Poller, idle_ms: int, wait_ns: int) -> list[tuple[Any, int]]:
        """What has come. Under a flood, which never lets this thread sleep, it sleeps all the same: a system
        holds up for 50 ms what runs before all others for a second on end."""
        began_ns = time.monotonic_ns()
        if began_ns - self._slept_ns > _AWAKE_NS and wait_ns > _SPIN_NS:
            select.select([], [], [], _REST_S)
            began_ns = 0
        found = poller.poll(idle_ms)
        now_ns = time.monotonic_ns()
        if now_ns - began_ns > _REST_S * 5e8:
            self._slept_ns = now_ns
        return found

    def _beat(self) -> None:
        """A sign of life, and what there is time for now and then."""
        trouble = (self.runner.unkept or self._journal.late() or "").encode()
        self._events.send_multipart((BEAT, b"%d %s" % (len(self.runner.log), trouble)), zmq.NOBLOCK)
        self._desk.desks.look(time.monotonic())
        self._journal.tidy()
        if self._endpoint_gone:
            with contextlib.suppress(OSError):
                self._write_endpoint()

    def _serve(self) -> None:
        """Answer requests that wait, but not for ever; whatever has become due before one goes first."""
        for _ in range(_AT_ONCE):
            if self._way.is_quiet():
                return
            if not self._waiting:  # what it is shows only once it is here
                try:
                    self._waiting = self._commands.recv_multipart(zmq.NOBLOCK)
                except zmq.Again:
                    return
            sender, *frames = self._waiting
            if self._way.put_off(any(map(takes_long, frames))):
                return
            self._waiting = []
            self.runner.take_due()
            answer = self._desk.answered(self._secret, frames[-1] if frames else b"")
            if answer is not None:
                with contextlib.suppress(zmq.ZMQError):  # the desk that asked may be gone
                    self._commands.send_multipart((sender, answer), zmq.NOBLOCK)

    def _serve_short(self, short: ShortWay, ready: int, poller: zmq.Poller) -> None:
        if ready == short.fileno():
            number = short.accept()
            if number is not None:
                poller.register(number, zmq.POLLIN)
            return
        for _ in range(_AT_ONCE):
            if self._way.is_quiet() or self._way.put_off(short.waiting_bytes(ready) > LONG_BYTES):
                return
            data = short.receive(ready)
            if not data:
                if data is None:
                    poller.unregister(ready)
                    self._desk.desks.closed(ready)
                return
            self.runner.take_due()
            answer = self._desk.answered(self._secret, data, ready)
            if answer is not None:
                short.answer(ready, answer)

    def _rehearse(self, go: str) -> None:
        body = json.dumps({"id": 0, "at": time.monotonic_ns(), "do": {"kind": "go", "go": go}})
        self.runner.rehearse(command_from(json.loads(body)["do"]))
