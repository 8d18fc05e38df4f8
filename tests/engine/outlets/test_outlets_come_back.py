"""Outlets that are not there, come, go and come back, over real sockets."""

import json
import os
import queue
import shutil
import socket
import subprocess
import sys
import threading
import time

import pytest
from devices import free_port, wait_until
from networks import Net

from showcaller.engine.outlets import OutboundBatch, TcpPort, UdpPort
from showcaller.model import OscTcpOutlet, OscUdpOutlet

CHILD = """
import json, subprocess, sys, time
from showcaller.engine.outlets import OutboundBatch, UdpPort
from showcaller.run.codec import event_dict
from showcaller.engine.outlets import udp, presence
from showcaller.model import OscUdpOutlet
import socket
udp._NAME_S = 0.3
host, port = {host!r}, 9000
heard = {{}}
said = []
outlet = None
print("ready")
for line in sys.stdin:
    word, *rest = line.split()
    if word == "sh":
        subprocess.run(" ".join(rest), shell=True, check=True)
    elif word == "listen":
        wire = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        wire.bind((rest[0], port))
        wire.settimeout(0.05)
        heard[rest[0]] = wire
    elif word == "open":
        start = time.monotonic()
        outlet = UdpPort(OscUdpOutlet(kind="osc_udp", id="u", name="U", host=host, port=port), said.append)
        said.append({{"kind": "took", "s": time.monotonic() - start}})
    elif word == "send":
        start = time.monotonic()
        outlet.send(OutboundBatch(rest[0], time.monotonic_ns(), (rest[0].encode(),)))
        said.append({{"kind": "took", "s": time.monotonic() - start}})
    elif word == "hear":
        try:
            said.append({{"kind": "heard", "what": heard[rest[0]].recv(99).decode()}})
        except OSError:
            pass
    answer, said[:] = list(said), []
    print(json.dumps([e if isinstance(e, dict) else event_dict(e) for e in answer]))
"""


@pytest.fixture
def network(tmp_path):
    made = []

    def make(host):
        made.append(Net(CHILD.format(host=host), tmp_path / "hosts"))
        return made[-1]

    yield make
    for net in made:
        net.close()


def until(net, line, kind, timeout_s=15):
    """Ask again and again until an event of that kind has been said; all that was said on the way."""
    said = []
    assert wait_until(lambda: said.extend(net.ask(line)) or any(e["kind"] == kind for e in said), timeout_s)
    return said


def states(said):
    return [e["state"] for e in said if e["kind"] == "outlet"]


def test_unreachable_at_the_start_it_is_used_once_there_is_a_way(network):
    net = network("10.77.0.2")
    said = net.ask("open") + net.ask("send early")
    assert [e["why"] for e in said if e["kind"] == "outlet"] == [
        "10.77.0.2 cannot be reached: network is unreachable"
    ]
    assert [e["cue"] for e in said if e["kind"] == "failed"] == ["early"]
    net.ask("sh ip link set lo up && ip addr add 10.77.0.2/24 dev lo")
    net.ask("listen 10.77.0.2")
    said = until(net, "hear 10.77.0.2", "outlet")
    back = next(e for e in said if e["kind"] == "outlet")
    assert (back["state"], back["unsent"]) == ("open", 1)
    net.ask("send late")
    assert until(net, "hear 10.77.0.2", "heard")[-1]["what"] == "late"


def test_a_way_that_goes_and_comes_back_is_one_line_each(network):
    net = network("10.77.0.2")
    up = "sh ip link set lo up && ip addr add 10.77.0.2/24 dev lo"
    net.ask(up)
    net.ask("listen 10.77.0.2")
    net.ask("open")
    assert wait_until(lambda: net.ask("hear 10.77.0.2") is not None and states(net.said) == ["open"])
    net.ask("sh ip addr del 10.77.0.2/24 dev lo && ip link set lo down")
    for n in range(50):
        net.ask(f"send gone{n}")
    net.ask(up)
    assert wait_until(lambda: net.ask("hear 10.77.0.2") is not None and len(states(net.said)) >= 3, 20)
    assert len([e for e in net.said if e["kind"] == "failed"]) == 50
    assert states(net.said) == ["open", "closed", "open"]
    assert [e["unsent"] for e in net.said if "unsent" in e] == [50]


def test_a_name_nobody_knows_yet_and_a_name_that_moves(network, tmp_path):
    hosts = tmp_path / "hosts"
    net = network("wall.test")
    net.ask("sh ip link set lo up")
    net.ask("listen 127.0.0.2")
    net.ask("listen 127.0.0.3")
    said = net.ask("open") + net.ask("send early")
    assert wait_until(lambda: said.extend(net.ask("hear 127.0.0.2")) or "closed" in states(said))
    assert all(e["s"] < 0.2 for e in said if e["kind"] == "took")
    hosts.write_text("127.0.0.2 wall.test\n")
    until(net, "hear 127.0.0.2", "outlet")
    net.ask("send first")
    assert until(net, "hear 127.0.0.2", "heard")[-1]["what"] == "first"
    hosts.write_text("127.0.0.3 wall.test\n")
    said = until(net, "hear 127.0.0.3", "outlet")
    assert said[-1]["why"] == "wall.test is now at 127.0.0.3"
    net.ask("send second")
    assert until(net, "hear 127.0.0.3", "heard")[-1]["what"] == "second"


def test_a_look_up_that_hangs_holds_up_no_cue():
    hang, said = threading.Event(), queue.SimpleQueue()

    def lookup(host, port):
        hang.wait(20)
        return [(socket.AF_INET, ("127.0.0.1", port))]

    outlet = OscUdpOutlet(kind="osc_udp", id="u", name="U", host="slow.test", port=9000)
    port = UdpPort(outlet, said.put, lookup)
    try:
        start = time.monotonic()
        for n in range(100):
            port.send(OutboundBatch(f"c{n}", time.monotonic_ns(), (b"x",)))
        assert time.monotonic() - start < 1  # one look-up would have been 20
        assert said.get(timeout=1).why == "slow.test cannot be reached: its name is being looked up"
    finally:
        hang.set()
        port.close()


def letter(cue):
    return OutboundBatch(cue, time.monotonic_ns(), (b"x" * 8,))


def test_a_peer_that_closes_again_and_again_writes_two_lines():
    said, accepted = [], 0
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.01)
        outlet = OscTcpOutlet(kind="osc_tcp", id="t", name="T", port=server.getsockname()[1])
        port = TcpPort(outlet, said.append)
        end_s = time.monotonic() + 3
        n = 0
        while time.monotonic() < end_s:
            try:
                server.accept()[0].close()
                accepted += 1
            except TimeoutError:
                pass
            port.send(letter(f"c{n}"))
            n += 1
        port.close()
    lines = [e for e in said if e.kind == "outlet"]
    assert [e.state for e in lines] == ["open", "closed"]
    assert 1 < accepted < 12
    assert sorted(e.cue for e in said if e.kind in ("sent", "failed")) == sorted(
        f"c{k}" for k in range(n)
    )  # what became of each cue is known


def test_a_peer_that_was_down_is_found_again_and_what_was_missed_is_counted():
    said = []
    number = free_port(socket.SOCK_STREAM)
    port = TcpPort(OscTcpOutlet(kind="osc_tcp", id="t", name="T", port=number), said.append)
    assert wait_until(lambda: any(e.kind == "outlet" for e in said))
    port.send(letter("early"))
    assert wait_until(lambda: any(e.kind == "failed" for e in said))
    with socket.create_server(("127.0.0.1", number)) as server:
        server.settimeout(10)
        peer = server.accept()[0]
        assert wait_until(lambda: len([e for e in said if e.kind == "outlet"]) == 2)
        port.send(letter("late"))
        assert peer.recv(99)
        port.close()
        peer.close()
    lines = [e for e in said if e.kind == "outlet"]
    assert [e.state for e in lines] == ["closed", "open"]
    assert lines[0].why == "connection refused"
    assert lines[1].unsent == 1


SILENT = """
set -e
unshare --net sleep 60 & there=$!
sleep 0.3
ip link add va type veth peer name vb
ip link set vb netns $there
ip addr add 10.78.0.1/24 dev va && ip link set va up
nsenter -t $there -n sh -c 'ip addr add 10.78.0.2/24 dev vb && ip link set vb up'
nsenter -t $there -n "$PYTHON" -c "$PEER" & peer=$!
trap 'kill $there $peer' EXIT
export there
"$PYTHON" -u -c "$OURS"
"""

PEER = """
import socket
server = socket.create_server(('10.78.0.2', 9000))
while True:
    line = server.accept()[0]
    while line.recv(999): pass
"""

OURS = """
import json, os, queue, subprocess, time
from showcaller.engine.outlets import OutboundBatch, TcpPort
from showcaller.run.codec import event_dict
from showcaller.model import OscTcpOutlet
said, all_of_it = queue.SimpleQueue(), []
def until(state):
    while not any(getattr(e, "state", None) == state for e in all_of_it[-1:]):
        all_of_it.append(said.get(timeout=20))
port = TcpPort(OscTcpOutlet(kind='osc_tcp', id='t', name='T', host='10.78.0.2', port=9000), said.put)
until('open')
address = 'nsenter -t $there -n ip addr %s 10.78.0.2/24 dev vb'
subprocess.run(address % 'del', shell=True, check=True)
start = time.monotonic()
until('closed')
noticed_s = time.monotonic() - start
while time.monotonic() - start < noticed_s + 1.8:
    time.sleep(0.05)  # the worker is in the middle of an attempt that hangs
port.send(OutboundBatch('b', time.monotonic_ns(), (b'x', b'y')))
subprocess.run(address % 'add', shell=True, check=True)
until('open')
print(json.dumps({'noticed_s': noticed_s, 'said': [dict(event_dict(e)) for e in all_of_it]}))
"""


def test_a_device_that_falls_silent_is_noticed_and_found_again():
    """No goodbye: its address is taken away at the other end of a cable. The system would wait two hours."""
    if os.geteuid() != 0 or shutil.which("nsenter") is None:
        pytest.skip("needs root, and networks of its own")
    env = {**os.environ, "PYTHON": sys.executable, "PEER": PEER, "OURS": OURS}
    done = subprocess.run(
        ["unshare", "--net", "bash", "-c", SILENT],
        env=env,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    if "Operation not permitted" in done.stderr:
        pytest.skip("this system lets nobody make a network of their own")
    found = json.loads(done.stdout.strip().splitlines()[-1])
    assert found["noticed_s"] < 10
    assert states(found["said"]) == ["open", "closed", "open"]
    failed = [e for e in found["said"] if e["kind"] == "failed"]
    assert found["said"][-1]["unsent"] == 2 * len(failed)
