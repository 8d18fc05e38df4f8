"""Fixtures shared by all rooms: real programs to talk to, small shows to talk about."""

import gc
import os
import socket
import subprocess
import sys
import uuid
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path

import hypothesis
import pytest

sys.path.insert(0, str(Path(__file__).parent / "support"))

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

from devices import Dump, free_port, program, wait_until
from midi_pads import Heard
from pgserver import PgServer
from pytestqt.qtbot import QtBot
from virtual_screen import virtual_screen

# A busy machine must not fail a test that is right; speed is measured in benchmarks.
hypothesis.settings.register_profile("ours", deadline=None)
hypothesis.settings.load_profile("ours")
for waits in (QtBot.waitUntil, QtBot.waitSignal):
    assert waits.__kwdefaults__["timeout"] == 5000
    waits.__kwdefaults__["timeout"] = 30_000

# Where other processes, devices and their instants are what is tested.
OTHERS_ROOMS = ("engine", "joining", "crew")
OTHERS = {"jack", "midi_dump", "oscdump", "screen", "server"}


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A machine that is held up for a moment fails a test of instants once; a defect fails it three times."""
    for item in items:
        room = item.path.relative_to(Path(__file__).parent).parts[0]
        fixtures = set(getattr(item, "fixturenames", ()))
        if room in OTHERS_ROOMS or item.get_closest_marker("system") or OTHERS & fixtures:
            item.add_marker(pytest.mark.flaky(reruns=2, reruns_delay=1))


@pytest.hookimpl(tryfirst=True)
def pytest_runtest_setup(item: pytest.Item) -> None:
    """What a failed try left open (a socket, a file) is closed with it, not in the middle of another test."""
    if getattr(item, "execution_count", 1) > 1:
        for name in ("last_exc", "last_value", "last_traceback", "last_type"):
            vars(sys).pop(name, None)  # they hold its frames
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", ResourceWarning)
            gc.collect()


@pytest.fixture
def oscdump(tmp_path: Path) -> Iterator[Callable[[str], tuple[int, Dump]]]:
    """Start liblo's oscdump, an OSC implementation that is not ours: ``oscdump("udp") -> (port, dump)``."""
    path = program("oscdump")
    running: list[Dump] = []

    def start(protocol: str) -> tuple[int, Dump]:
        kind = socket.SOCK_DGRAM if protocol == "udp" else socket.SOCK_STREAM
        port = free_port(kind)
        out = tmp_path / f"oscdump-{port}.txt"
        dump = Dump([path, "-L", f"osc.{protocol}://:{port}"], out)
        running.append(dump)
        assert wait_until(lambda: _listens(port, protocol))
        return port, dump

    yield start
    for dump in running:
        dump.stop()


def _listens(port: int, protocol: str) -> bool:
    table = Path(f"/proc/net/{protocol}").read_text() + Path(f"/proc/net/{protocol}6").read_text()
    return f":{port:04X} " in table


def _forget_dead_jacks() -> bool:
    """Take away the list of eight servers that runs which were killed have filled; not while one lives."""
    if subprocess.run(["pgrep", "-x", "jackd"], capture_output=True, check=False).returncode == 0:
        return False
    Path("/dev/shm/jack-shm-registry").unlink(missing_ok=True)
    return True


@pytest.fixture(scope="session")
def jack(tmp_path_factory: pytest.TempPathFactory) -> Iterator[dict[str, str]]:
    """A JACK server with its dummy driver: real MIDI ports without a sound card. Yields the environment."""
    jackd, lsp = program("jackd"), program("jack_lsp")
    name = f"sc{uuid.uuid4().hex[:8]}"
    env = {**os.environ, "JACK_DEFAULT_SERVER": name, "JACK_NO_START_SERVER": "1"}
    args = [jackd, "-r", "-n", name, "-d", "dummy", "-r", "48000", "-p", "128"]
    dump = Dump(args, tmp_path_factory.mktemp("jack") / "jackd.txt", env)

    def answers() -> bool:
        return subprocess.run([lsp], env=env, capture_output=True, check=False).returncode == 0

    if not wait_until(lambda: answers() or dump.process.poll() is not None) or not answers():
        dump.stop()
        full = any("Too many servers" in line for line in dump.lines())
        if not (full and _forget_dead_jacks()):
            pytest.fail("jackd did not start:\n" + "\n".join(dump.lines()))
        dump = Dump(args, tmp_path_factory.mktemp("jack") / "jackd.txt", env)
        assert wait_until(answers), "jackd did not start:\n" + "\n".join(dump.lines())
    old = os.environ.get("JACK_DEFAULT_SERVER")
    os.environ["JACK_DEFAULT_SERVER"] = name
    yield env
    if old is None:
        del os.environ["JACK_DEFAULT_SERVER"]
    else:
        os.environ["JACK_DEFAULT_SERVER"] = old
    dump.stop()


@pytest.fixture
def midi_dump(jack: dict[str, str], tmp_path: Path) -> Iterator[tuple[str, Heard]]:
    """JACK's own MIDI monitor: (words of its port's name, dump)."""
    client = f"monitor{uuid.uuid4().hex[:6]}"
    lsp = program("jack_lsp")
    args = [program("stdbuf"), "-oL", program("jack_midi_dump"), client]
    dump = Dump(args, tmp_path / "midi.txt", jack)

    def there() -> bool:
        return client in subprocess.run([lsp], env=jack, capture_output=True, text=True, check=False).stdout

    assert wait_until(there)
    heard = Heard(dump)
    assert wait_until(lambda: heard.hears(client)), "the monitor hears nothing"
    yield client, heard
    dump.stop()


@pytest.fixture
def screen(tmp_path: Path) -> Iterator[dict[str, str]]:
    """A virtual X screen of 1280×720; yields the environment for a program on it."""
    env = {k: v for k, v in os.environ.items() if k != "QT_QPA_PLATFORM"}
    own = {"HOME": str(tmp_path), "XDG_CONFIG_HOME": str(tmp_path / "config")}
    with virtual_screen(program("Xvfb")) as display:
        yield {**env, **own, "DISPLAY": display}


@pytest.fixture(scope="session")
def postgres() -> Iterator[Callable[[], str]]:
    """Makes an empty database on a throwaway PostgreSQL server and gives its address."""
    server = PgServer()
    yield server.database
    server.close()


@pytest.fixture
def server() -> Iterator[PgServer]:
    """A PostgreSQL server of one test's own, to be stopped and started."""
    made = PgServer()
    yield made
    made.close()
