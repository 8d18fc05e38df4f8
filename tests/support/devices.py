"""Real programs to talk to, and waiting for them."""

import os
import shutil
import signal
import socket
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from showcaller.engine.launch import engine_lives
from showcaller.engine.protocol import read_endpoint


def wait_until(true: Callable[[], bool], timeout_s: float = 30.0) -> bool:
    """Poll until something outside this process has happened; False when it has not in time."""
    until = time.monotonic() + timeout_s
    while time.monotonic() < until:
        if true():
            return True
        time.sleep(0.005)
    return true()


def program(name: str) -> str:
    """The path of a program of the system. Missing: a skip for a person, a failure in CI."""
    found = shutil.which(name)
    if found is None:
        message = f"{name} is not installed here; 'python3 run.py test' brings it on Debian"
        if os.environ.get("CI"):
            pytest.fail(message)
        pytest.skip(message)
    return found


def free_port(kind: int = socket.SOCK_DGRAM) -> int:
    """A port that nobody uses now."""
    with socket.socket(socket.AF_INET, kind) as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class Dump:
    """A program that prints what it receives, and what it has printed so far."""

    def __init__(self, args: list[str], path: Path, env: dict[str, str] | None = None) -> None:
        self.path = path
        with path.open("wb") as out:
            self.process = subprocess.Popen(args, stdout=out, stderr=subprocess.STDOUT, env=env)

    def lines(self) -> list[str]:
        return self.path.read_text(errors="replace").splitlines()

    def stop(self) -> None:
        self.process.terminate()
        try:
            self.process.wait(2)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()


def end_engines(runs: Path) -> None:
    """Kill whatever engine still serves a run folder; engines outlive the desks that started them."""
    for folder in runs.glob("*"):
        endpoint = read_endpoint(folder)
        if endpoint is not None and engine_lives(folder):
            os.kill(endpoint["pid"], signal.SIGKILL)
