"""A run with its real engine, the door to it, and machines that want in; each machine has its own keys."""

import json
import threading

import zmq
from devices import wait_until
from small_shows import cue, document, item

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.joining.asking_in import ask_in
from showcaller.joining.door import MachineDoor
from showcaller.joining.link import RunLink
from showcaller.joining.machine import Machine


def machine(name):
    """A machine with fresh keys."""
    key, secret = zmq.curve_keypair()
    return Machine(key.decode(), secret.decode(), name)


class Looking(threading.Thread):
    """Something with ``look`` and ``close``, kept going on a thread; ``do`` runs a function on that."""

    def __init__(self, what):
        super().__init__(daemon=True)
        self.what, self._ended, self._todo = what, threading.Event(), []
        self.start()

    def run(self):
        while not self._ended.is_set():
            self.what.look()
            while self._todo:
                done, act = self._todo.pop(0)
                done.append(act())
        self.what.close()

    def do(self, act):
        done = []
        self._todo.append((done, act))
        assert wait_until(lambda: bool(done))
        return done[0]

    def stop(self):
        self._ended.set()
        self.join()


SHOW = document(
    [
        item("s", 60, [cue("a", "1", 0), cue("b", "2", 10), cue("c", "3", 20)]),
        item("t", 60, [cue("d", "4", 0)]),
    ],
    clearances=[{"kind": "yes", "id": "path", "name": "Path clear", "position": "Stage"}],
)


class House:
    """The caller's machine: ``folder`` of the run, ``client`` of its engine, ``door``."""

    def __init__(self, tmp_path, show=SHOW):
        self.tmp_path = tmp_path
        self.runs = tmp_path / "caller" / "runs"
        self.folder = new_run_folder(self.runs, json.dumps(show))
        self.process = start_engine(self.folder)
        self.client = EngineClient(self.folder, "caller")
        self.machine = machine("front of house")
        self.door = Looking(
            MachineDoor(self.runs, self.machine, "127.0.0.1", 20000 + hash(str(tmp_path)) % 20000)
        )
        self.links = []

    def code(self, seat):
        self.door.do(lambda: self.door.what.bell.show(seat))
        return self.door.what.bell.code.digits

    @property
    def address(self):
        return f"127.0.0.1:{self.door.what.port}"

    def let_in(self, name, seat):
        """A machine that was let in by a code, and where to."""
        who = machine(name)
        return who, ask_in(who, self.address, self.code(seat))

    def join(self, name, seat):
        """The link of a machine that was let in, once it follows."""
        who, known = self.let_in(name, seat)
        return self.follow(who, known)

    def follow(self, who, known):
        link = Looking(RunLink(who, self.tmp_path / who.name, [known]))
        self.links.append(link)
        assert wait_until(lambda: link.what.copy is not None and link.what.behind == 0), link.what.status()
        return link

    def close(self):
        for link in self.links:
            link.stop()
        self.client.close()
        self.door.stop()
        self.process.kill()
        self.process.wait()


def desk_at(link, name="desk"):
    """A client of the engine as a desk on the link's machine has it."""
    who = link.what.machine
    return EngineClient(link.what.copy.folder, f"{who.id}{name}")
