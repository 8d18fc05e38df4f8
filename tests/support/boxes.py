"""Machines as they are on the night: each with its own keys, private place and processes, and, if it is given
one, a network of its own. They are steered by local sockets, which no network cuts."""

import contextlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from devices import wait_until

from showcaller.engine.client import EngineClient
from showcaller.engine.protocol import read_endpoint
from showcaller.joining.control import ask, is_there, of_door, of_link
from showcaller.joining.errors import JoinError
from showcaller.joining.machine import key_id

LET_IN = """
import sys; from pathlib import Path
from showcaller.joining.asking_in import ask_in
from showcaller.joining.doors import keep_doors
from showcaller.joining.machine import this_machine
keep_doors(Path(sys.argv[1]), [ask_in(this_machine(name=sys.argv[2]), sys.argv[3], sys.argv[4])])
"""
START = """
import json, sys; from pathlib import Path; from showcaller.engine.launch import start_engine
start_engine(Path(sys.argv[1]), takes_over=json.loads(sys.argv[2])).returncode = 0
"""


class Box:
    """``runs`` is where its runs are; ``address`` what others reach it by."""

    def __init__(self, root, name, namespace="", address="127.0.0.1", port=8610):
        self.root, self.name, self.namespace = Path(root) / name, name, namespace
        self.address, self.port = address, port
        self.runs = self.root / "runs"
        (self.root / "state").mkdir(parents=True)
        self.private = tempfile.mkdtemp(prefix="sc")  # its sockets' paths must be short
        own = {"XDG_STATE_HOME": str(self.root / "state"), "XDG_RUNTIME_DIR": self.private}
        self.env = {**os.environ, **own}
        self.folder = None
        self._children = []

    def spawn(self, *args):
        """A Python of this machine."""
        inside = ["ip", "netns", "exec", self.namespace] if self.namespace else []
        with (self.root / "said.txt").open("ab") as said:
            child = subprocess.Popen(
                [*inside, sys.executable, *args], env=self.env, stdin=subprocess.DEVNULL, stdout=said,
                stderr=said, start_new_session=True,
            )  # fmt: skip
        self._children = [c for c in self._children if c.poll() is None] + [child]
        return child

    def run(self, *args):
        """The same, waited for."""
        assert self.spawn(*args).wait(30) == 0, (self.root / "said.txt").read_text()[-2000:]

    def open_show(self, doc, run_id="0123456789abcdef"):
        """Start the engine of a new run."""
        self.folder = self.runs / run_id
        self.folder.mkdir(parents=True)
        (self.folder / "show.json").write_text(json.dumps(doc))
        self.start_engine()

    def start_engine(self, takes_over=None):
        self.run("-c", START, str(self.folder), json.dumps(takes_over))

    def open_door(self):
        self.spawn("-m", "showcaller.joining", "door", str(self.runs), str(self.port), "0.0.0.0")
        assert wait_until(lambda: is_there(of_door(self.runs)))
        self.port = ask(of_door(self.runs), {"do": "status"})["port"]

    def let_in(self, other, seat):
        """Let another machine in, and have it follow."""
        code = ask(of_door(self.runs), {"do": "code", "seat": seat})["code"]["digits"]
        other.run("-c", LET_IN, str(other.runs), other.name, f"{self.address}:{self.port}", code)
        other.follow()
        other.folder = other.runs / self.folder.name

    def follow(self):
        """Start the link."""
        self.spawn("-m", "showcaller.joining", "link", str(self.runs))
        assert wait_until(lambda: is_there(of_link(self.runs)))

    def link(self):
        """How its link stands; empty while there is none."""
        with contextlib.suppress(JoinError):
            return ask(of_link(self.runs), {"do": "status"}, 1.0)
        return {}

    def door(self):
        """How its door stands; empty while there is none."""
        with contextlib.suppress(JoinError):
            return ask(of_door(self.runs), {"do": "status"}, 1.0)
        return {}

    def take_over(self):
        ask(of_link(self.runs), {"do": "take over", "by": self.name})

    @property
    def fires(self):
        """Whether an engine of its own runs here."""
        endpoint = read_endpoint(self.folder) if self.folder else None
        if endpoint is None or "as" in endpoint:
            return False
        with contextlib.suppress(OSError):
            return b"showcaller.engine" in Path(f"/proc/{endpoint['pid']}/cmdline").read_bytes()
        return False

    @property
    def desk(self):
        """The id of a desk of this machine."""
        kept = json.loads((self.root / "state" / "showcaller" / "joining" / "machine.json").read_text())
        return f"{key_id(kept['key'])}d"

    def client(self, desk=""):
        return EngineClient(self.folder, desk)

    def pids(self, *words):
        """Its processes whose command line has these words."""
        found = []
        for path in Path("/proc").glob("[0-9]*/cmdline"):
            with contextlib.suppress(OSError):
                line = path.read_bytes().decode(errors="replace").replace("\0", " ")
                env = (path.parent / "environ").read_bytes()
                if f"XDG_RUNTIME_DIR={self.private}".encode() + b"\0" in env and all(
                    w in line for w in words
                ):
                    found.append(int(path.parent.name))
        return found

    def kill_engine(self):
        """The one that fires here, whether it was started as one or had waited to take over."""
        with contextlib.suppress(OSError):
            os.kill(read_endpoint(self.folder)["pid"], signal.SIGKILL)
        assert wait_until(lambda: not self.fires)

    def close(self):
        """Away with it."""
        self.kill()
        for child in self._children:
            child.wait(10)
        shutil.rmtree(self.private, ignore_errors=True)

    def kill(self, *words, sign=signal.SIGKILL):
        """End them; all of the machine's without words: its plug is pulled."""

        def killed():
            pids = self.pids(*words)
            for pid in pids:  # one that was just being started is there at the next look
                with contextlib.suppress(OSError):
                    os.kill(pid, sign)
            return not pids

        assert killed() or sign != signal.SIGKILL or wait_until(killed)


def raw_log(client):
    """All records as texts."""
    found = []
    while True:
        answer = client.ask("log", **{"from": 1 + len(found)})
        found += answer["records"]
        if not answer["records"] or len(found) >= answer["seq"]:
            return found


def in_step(*boxes):
    """Whether all have the same log, but for what has happened while it was read."""
    logs = []
    for box in boxes:
        try:
            with box.client() as client:
                logs.append(raw_log(client))
        except Exception:  # it may be just changing over
            return False
    least, most = min(map(len, logs)), max(map(len, logs))
    return most - least < 50 and all(log[:least] == logs[0][:least] for log in logs)


def wait(done, what="", s=10.0):
    """Wait until ``done()``; how long it took, in s."""
    began = time.monotonic()
    while not done():
        assert time.monotonic() - began < s, what or "it did not come"
        time.sleep(0.02)
    return time.monotonic() - began
