"""Starting an engine as a process of its own, one that outlives whoever started it."""

import json
import os
import subprocess
import sys
import time
import uuid
from collections.abc import Mapping
from pathlib import Path
from typing import IO, Any

from filelock import FileLock, Timeout

from showcaller.engine.protocol import JOURNAL_FILE, LOCK_FILE, LOG_FILE, SHOW_FILE, NoEngine, read_endpoint
from showcaller.engine.short_way import AVAILABLE, listens

_STARTS_WITHIN_S = 20.0


class LaunchError(Exception):
    """Why no engine could be started, in one sentence."""


def new_run_folder(runs: Path, show_text: str) -> Path:
    """A fresh folder under ``runs`` for a run of this show.

    Raises:
        LaunchError: it cannot be written.
    """
    folder = runs / uuid.uuid4().hex[:16]
    try:
        folder.mkdir(parents=True)
        (folder / SHOW_FILE).write_text(show_text, encoding="utf-8")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise LaunchError(f"cannot keep a log in {runs}: {reason}; choose another folder") from None
    return folder


def start_engine(
    folder: Path,
    speed: float = 1.0,
    wall0_ns: int | None = None,
    takes_over: Mapping[str, Any] | None = None,
    waiting: subprocess.Popen[bytes] | None = None,
) -> subprocess.Popen[bytes]:
    """Start (or start again) the engine of a run folder and wait until it answers. ``takes_over`` has the
    fields of :class:`~showcaller.run.commands.RaiseTerm`, when it takes over from another machine's;
    ``waiting`` is a process of :func:`waiting_engine`, which is there sooner.

    Raises:
        LaunchError: it would not start; the sentence is the engine's own.
    """
    from showcaller.engine.client import EngineClient  # noqa: PLC0415 - the desk's window opens without it

    log_path = folder / LOG_FILE
    try:
        log = log_path.open("ab")
    except FileNotFoundError:
        raise LaunchError(f"the show's folder is gone ({folder}); open a new show") from None
    except OSError:  # a read-only or full disk: the engine can go on with what it keeps in memory
        log = open(os.devnull, "ab")  # noqa: SIM115, PTH123 - closed below
    args = [str(folder), str(speed), str(wall0_ns or "now")]
    args += [] if takes_over is None else [json.dumps(dict(takes_over))]
    with log:
        process = _told(waiting, args) or _spawned(args, log)
    until = time.monotonic() + _STARTS_WITHIN_S
    while time.monotonic() < until:
        if process.poll() is not None:
            raise LaunchError(_last_words(log_path))
        endpoint = read_endpoint(folder)
        if endpoint is not None and endpoint["pid"] == process.pid:
            try:
                with EngineClient(folder) as client:
                    client.ask("hello", timeout_s=5)
            except NoEngine:
                continue
            return process
        time.sleep(0.01)
    process.kill()
    process.wait()
    raise LaunchError(
        f"the engine did not answer within {_STARTS_WITHIN_S:g} s; try again ({log_path} says why)"
    )


def _spawned(args: list[str], log: IO[bytes], told: int = subprocess.DEVNULL) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "showcaller.engine", *args],
        stdin=told,
        stdout=log,
        stderr=log,
        start_new_session=True,  # closing the desk's terminal must not reach it
    )


def waiting_engine(log_path: Path) -> subprocess.Popen[bytes]:
    """An engine's process with everything loaded, for :func:`start_engine` to be told what to run. It ends
    with whoever has it. Raises OSError."""
    with log_path.open("ab") as log:
        return _spawned(["wait"], log, subprocess.PIPE)


def _told(waiting: subprocess.Popen[bytes] | None, args: list[str]) -> subprocess.Popen[bytes] | None:
    if waiting is None or waiting.poll() is not None or waiting.stdin is None:
        return None
    try:
        waiting.stdin.write(json.dumps(args).encode() + b"\n")
        waiting.stdin.close()
    except OSError:
        return None
    return waiting


def _last_words(log_path: Path) -> str:
    lines = log_path.read_text(encoding="utf-8", errors="replace").strip().splitlines()
    return (
        lines[-1] if lines else "the engine ended without giving a reason; call by voice, and try once more"
    )


def engine_lives(folder: Path) -> bool:
    """Whether an engine runs this folder, alive or stopped: it listens as long as its process lives."""
    endpoint = read_endpoint(folder)
    if endpoint is not None and endpoint.get("short") is not None:
        return listens(endpoint["short"])
    if endpoint is None and AVAILABLE:
        return False
    try:
        with FileLock(folder / LOCK_FILE).acquire(blocking=False):
            return False
    except Timeout:
        return True


def open_runs(runs: Path) -> list[Path]:
    """Folders under ``runs`` that hold a journal, newest last."""
    if not runs.is_dir():
        return []
    found = [p.parent for p in runs.glob(f"*/{JOURNAL_FILE}")]
    return sorted(found, key=lambda p: p.stat().st_mtime)
