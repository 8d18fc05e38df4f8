"""A network of our own between namespaces, packet by packet: delay, loss, reordering, cuts, and a device that
hears all that leaves. Each namespace has a tunnel that ends here. For root on Linux alone (``ip`` and
/dev/net/tun); a system without the ``netem`` scheduler does as well.
"""

import contextlib
import fcntl
import heapq
import multiprocessing
import os
import random
import select
import shutil
import signal
import socket
import struct
import subprocess
import sys
import time
from pathlib import Path

DEVICE = "10.77.0.9"
_TUNSETIFF, _TUN, _NO_PI = 0x400454CA, 1, 0x1000


def why_not():
    """Why there can be no such network here; empty if there can."""
    if not sys.platform.startswith("linux") or os.geteuid() != 0:
        return "namespaces need root on Linux"
    if shutil.which("ip") is None:
        return "needs iproute2: apt-get install iproute2"
    return "" if Path("/dev/net/tun").exists() else "needs /dev/net/tun"


class Wires:
    """``heard`` gives (monotonic s, sender's name, OSC address) of every datagram to the device so far. What
    carries the packets is a process of its own, which nothing here holds up."""

    def __init__(self, names, seed=1, delay_s=0.002, jitter_s=0.003, loss=0.01):
        self.addresses = {name: f"10.77.0.{n + 1}" for n, name in enumerate(names)}
        self.namespaces = {name: f"sc{os.getpid()}{name}"[:12] for name in names}
        self.cuts = {}
        """(name, name) → since when they do not hear each other; gone when they do."""
        self._spans, self._heard = [], []
        ends = {self.addresses[name]: self._tunnel(name) for name in names}
        by_address = {address: name for name, address in self.addresses.items()}
        self._pipe, there = multiprocessing.Pipe()
        carrier = _Carrier(ends, by_address, there, random.Random(seed), (delay_s, jitter_s, loss))
        context = multiprocessing.get_context("fork")
        self._process = context.Process(target=carrier.run, daemon=True)
        self._process.start()
        for end in ends.values():
            os.close(end)

    def _tunnel(self, name):
        space, link = self.namespaces[name], self.namespaces[name]
        self._ip("netns", "add", space)
        end = os.open("/dev/net/tun", os.O_RDWR | os.O_NONBLOCK)
        fcntl.ioctl(end, _TUNSETIFF, struct.pack("16sH", link.encode(), _TUN | _NO_PI))
        self._ip("link", "set", link, "netns", space)
        self._ip("-n", space, "addr", "add", f"{self.addresses[name]}/24", "dev", link)
        for one in ("lo", link):
            self._ip("-n", space, "link", "set", one, "up")
        return end

    @staticmethod
    def _ip(*args):
        subprocess.run(["ip", *args], check=True, capture_output=True)

    def _tell(self, *what):
        self._pipe.send(what)
        return self._pipe.recv()

    def cut(self, one, other):
        """Those two hear each other no more."""
        self.cuts.setdefault(frozenset((one, other)), time.monotonic())
        self._tell("cut", one, other)

    def heal(self):
        """All hear each other again."""
        self._tell("heal")
        for pair in list(self.cuts):
            self._spans.append((pair, self.cuts.pop(pair), time.monotonic()))

    @property
    def heard(self):
        """All that has come to the device."""
        self._heard += self._tell("heard", len(self._heard))
        return self._heard

    def spans(self, one, other):
        """(from, to) of every time that two did not hear each other; the last may be going on."""
        pair = frozenset((one, other))
        now = [(self.cuts[pair], time.monotonic())] if pair in self.cuts else []
        return [(begin, end) for which, begin, end in self._spans if which == pair] + now

    def close(self):
        self._process.terminate()
        self._process.join()
        self._pipe.close()
        for space in self.namespaces.values():
            subprocess.run(["ip", "netns", "del", space], check=False, capture_output=True)


class _Carrier:
    def __init__(self, ends, names, pipe, chance, how):
        self._ends = {socket.inet_aton(address): end for address, end in ends.items()}
        self._names = {socket.inet_aton(address): name for address, name in names.items()}
        self._pipe, self._random = pipe, chance
        self._delay_s, self._jitter_s, self._loss = how
        self._cuts, self._heard, self._waiting, self._number = set(), [], [], 0

    def run(self):
        signal.signal(signal.SIGTERM, lambda *_: os._exit(0))
        signal.signal(signal.SIGINT, signal.SIG_IGN)
        while True:
            now_s = time.monotonic()
            while self._waiting and self._waiting[0][0] <= now_s:
                _, _, to, packet = heapq.heappop(self._waiting)
                with contextlib.suppress(OSError):
                    os.write(self._ends[to], packet)
            wait_s = self._waiting[0][0] - now_s if self._waiting else 0.05
            ready, _, _ = select.select(
                [*self._ends.values(), self._pipe], [], [], max(0.0, min(0.05, wait_s))
            )
            for one in ready:
                if one is self._pipe:
                    self._obey(*self._pipe.recv())
                    continue
                with contextlib.suppress(OSError):
                    for _ in range(64):
                        self._take(os.read(one, 2048))

    def _obey(self, what, *more):
        if what == "cut":
            self._cuts.add(frozenset(more))
        elif what == "heal":
            self._cuts.clear()
        self._pipe.send(self._heard[more[0] :] if what == "heard" else None)

    def _take(self, packet):
        if len(packet) < 20 or packet[0] >> 4 != 4:
            return
        source, to = packet[12:16], packet[16:20]
        if to == socket.inet_aton(DEVICE):
            self._at_device(source, packet)
        elif to in self._ends and source in self._ends:
            pair = frozenset((self._names[source], self._names[to]))
            if pair not in self._cuts and self._random.random() >= self._loss:
                due_s = time.monotonic() + self._delay_s + self._random.random() * self._jitter_s
                self._number += 1
                heapq.heappush(self._waiting, (due_s, self._number, to, packet))

    def _at_device(self, source, packet):
        head = (packet[0] & 15) * 4
        if packet[9] == socket.IPPROTO_UDP and source in self._names:
            address = packet[head + 8 :].split(b"\0")[0].decode(errors="replace")
            self._heard.append((time.monotonic(), self._names[source], address))
