"""A network of its own for one test: links, routes and names that are real and can be changed."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest


class Net:
    """A child in a network namespace with a hosts file of its own; it reads commands and says what it saw.

    ``script`` runs in the child with its own imports; ``ask`` sends it a line and reads a line of JSON.
    ``said`` is all that it has ever answered.
    """

    def __init__(self, script: str, hosts: Path) -> None:
        unshare = shutil.which("unshare")
        if unshare is None or shutil.which("ip") is None:
            _cannot("unshare and ip are not installed here")
        hosts.touch()
        self.said: list[dict[str, object]] = []
        rootless = [] if os.geteuid() == 0 else ["--map-root-user"]
        begin = f'mount --bind {hosts} /etc/hosts && exec {sys.executable} -u -c "$SCRIPT"'
        self._child = subprocess.Popen(
            [str(unshare), *rootless, "--net", "--mount", "sh", "-c", begin],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
            env={**os.environ, "SCRIPT": script},
        )  # fmt: skip
        assert self._child.stdout is not None
        if self._child.stdout.readline().strip() != "ready":
            assert self._child.stderr is not None
            self._child.wait(5)
            said = self._child.stderr.read()
            if "Operation not permitted" in said or "unshare failed" in said:
                _cannot("this system lets nobody make a network of their own")
            pytest.fail(said)

    def ask(self, line: str) -> list[dict[str, object]]:
        assert self._child.stdin is not None
        assert self._child.stdout is not None
        self._child.stdin.write(line + "\n")
        self._child.stdin.flush()
        answer = json.loads(self._child.stdout.readline())
        self.said += answer
        return answer

    def close(self) -> None:
        self._child.kill()
        self._child.communicate()


def _cannot(why: str) -> None:
    if os.environ.get("CI"):
        pytest.fail(why)
    pytest.skip(why)
