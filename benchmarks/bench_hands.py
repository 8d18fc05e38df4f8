"""A hand on the wall: whether cues that fire by themselves are later for it, and how soon the devices have it.

``python benchmarks/bench_hands.py [--cues 1500]``; about three minutes; ``--surfaces`` the same with every layer
on two surfaces, played on both in turn. Six layers lie on the wall; sixty changes
a second come from one hand, over all six in turn; then as many for each of the six, past what a desk sends.
Cues 8 ms apart are measured without and with it in turn, by the system's stamps of leaving. Beside it, bare:
the same bytes of sixty commands a second sent by a loop of ``sendto``, and when they arrive.
"""

import argparse
import json
import socket
import struct
import tempfile
import threading
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import numpy as np
from bench_engine import _SO_TIMESTAMPNS, CUE_GAP_NS, NS, ask, helper, make_show, receive
from results import keep, keep_part

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import new_run_folder, start_engine
from showcaller.engine.protocol import NoEngine

LAYERS = 6
HAND_HZ = 60

Heard = list[tuple[int, int, int]]
"""(layer, its left edge in px, when it left: ns of the time of day)."""


def processor(conn: Connection) -> None:
    """The wall's processor: keeps every message, its port first."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 22)
        sock.setsockopt(socket.SOL_SOCKET, _SO_TIMESTAMPNS, 1)
        sock.bind(("127.0.0.1", 0))
        sock.settimeout(0.2)
        conn.send(sock.getsockname()[1])
        found: Heard = []
        while True:
            try:
                body, extra, _, _ = sock.recvmsg(256, 128)
            except TimeoutError:
                if conn.poll():
                    conn.recv()
                    conn.send(found)
                    found = []
                continue
            seconds, ns = struct.unpack("qq", extra[0][2][:16])
            layer, left = struct.unpack(">ii", body[-8:])
            found.append((layer, left, seconds * NS + ns))


def wall_show(cues_port: int, wall_port: int, cues: int, surfaces: int) -> str:
    """The cues of ``bench_engine`` beside walls of 100,000 px with six layers: a change is told by its px."""
    show = json.loads(make_show(cues_port, 0, cues))
    show["outlets"].append({"kind": "osc_udp", "id": "w", "name": "W", "port": wall_port})
    show["version"] = 2
    show["surfaces"] = [
        {"id": f"s{n}", "name": f"S{n}", "width_m": 1000, "height_m": 10, "width_px": 100_000, "height_px": 1000,
         "panel_px": [100, 100], "pool": "rack", "inputs": [
             {"id": f"i{n}", "name": "I", "x_px": 0, "y_px": 0, "width_px": 100_000, "height_px": 1000}]}
        for n in range(surfaces)
    ]  # fmt: skip
    show["pools"] = [{"id": "rack", "name": "Rack", "channels": 12}]
    show["sources"] = [{"id": f"cam-{n}", "name": f"Cam {n}", "kind": "camera"} for n in range(LAYERS)]
    place = {"left_m": 0, "bottom_m": 0, "width_m": 5, "height_m": 5}
    also = [{"surface": f"s{n}", **place} for n in range(1, surfaces)]
    layers = [{"source": f"cam-{n}", **place, "also": also} for n in range(LAYERS)]
    show["looks"] = [{"id": "six", "name": "Six", "layers": layers}]
    show["sends"] = [
        {"id": "place", "outlet": "w", "numbers": "px", "address": "/l", "args": ["{layer}", "{x:i}"]}
    ]
    return json.dumps(show)


class Hand(threading.Thread):
    """Plays ``hz`` changes a second over the layers and surfaces in turn; ``sent`` has (layer, px) → when,
    monotonic ns. A px divided by the number of surfaces leaves which surface it was for."""

    def __init__(self, run: Path, hz: float, surfaces: int) -> None:
        super().__init__()
        self._client, self._hz, self.surfaces = EngineClient(run), hz, surfaces
        self.stop, self.sent, self.lost = threading.Event(), {}, 0
        self.sent: dict[tuple[int, int], int]

    def run(self) -> None:
        began, n = time.monotonic(), 0
        while not self.stop.is_set():
            n += 1
            layer, turn = n % LAYERS, n // LAYERS
            px = self.surfaces + turn
            on = f"@s{px % self.surfaces}" if px % self.surfaces else ""
            fields = {"left_m": px / 100}
            command = {"kind": "play_layer", "layer": f"cam-{layer}{on}", "fields": fields, "number": 1}
            self.sent[layer + 1, px] = time.monotonic_ns()
            try:
                self._client.post(command)
            except NoEngine:
                self.lost += 1
            if n % 50 == 0:
                list(self._client.answers())
                list(self._client.records())
            time.sleep(max(0.0, began + n / self._hz - time.monotonic()))


def one(folder: Path, cues: int, hz: float, surfaces: int) -> dict[str, Any]:
    """Lateness of the cues while a hand plays ``hz`` changes a second; 0: none does."""
    with helper(receive) as device, helper(processor) as wall:
        text = wall_show(device.recv(), wall.recv(), cues, surfaces)
        run = new_run_folder(folder, text)
        process = start_engine(run)
        hand = None
        try:
            with EngineClient(run) as client:
                client.ask("start", caller="bench")
                client.ask("look", look="six")
                clock, to_wall = client.clock(), time.time_ns() - time.monotonic_ns()
                if hz:
                    hand = Hand(run, hz, surfaces)
                    hand.start()
                    time.sleep(0.5)
                assert client.ask("go", go="s:start")["ok"]
                begun_ns = next(r.t_ns for r in client.log() if r.input.kind == "go")
                time.sleep(cues * CUE_GAP_NS / NS + 1)
                if hand is not None:
                    hand.stop.set()
                    hand.join()
                    time.sleep(0.3)
        finally:
            process.kill()
            process.wait()
        left, heard = ask(device), ask(wall)
    due = [clock.monotonic_of(begun_ns + (n + 1) * CUE_GAP_NS) + to_wall for n in range(cues)]
    late = np.array([(left[f"/a/{n}"] - at) / 1e6 for n, at in enumerate(due) if f"/a/{n}" in left])
    found = {"left": len(late), "of": cues, **_quantiles(late)}
    return found if hand is None else {**found, "hand": _told(hand, heard, to_wall)}


def _told(hand: Hand, heard: Heard, to_wall: int) -> dict[str, Any]:
    """How soon what was played left, and whether the last value of every layer did."""
    came: dict[tuple[int, int], int] = {}
    for layer, px, at in heard:  # of two surfaces the one that was not moved is told the same again
        came.setdefault((layer, px), at)
    soon = [(at - to_wall - hand.sent[it]) / 1e6 for it, at in came.items() if it in hand.sent]
    of = hand.surfaces
    last = {(n, s): max(px for own, px in hand.sent if own == n and px % of == s)
            for n in range(1, LAYERS + 1) for s in range(of)}  # fmt: skip
    there = {(n, s): max((px for own, px in came if own == n and px % of == s), default=0) for n, s in last}
    times = {(n, s): sorted(at for own, px, at in heard if own == n and px and px % of == s)
             for n, s in last}  # px 0: the look  # fmt: skip
    most = max(_most_a_second(at) for at in times.values())
    return {"changes": len(hand.sent), "not taken": hand.lost, "messages": len(heard),
            "most a second for one layer": most, "last value of every layer told": there == last,
            "from hand to wire": _quantiles(np.array(soon))}  # fmt: skip


def _most_a_second(times: list[int]) -> int:
    return max((sum(at <= x < at + NS for x in times) for at in times), default=0)


def bare(seconds: float) -> dict[str, Any]:
    """A loop that sends sixty messages a second straight to the device: what of the lateness is the machine's."""
    with helper(processor) as wall, socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock:
        to = ("127.0.0.1", wall.recv())
        to_wall, sent = time.time_ns() - time.monotonic_ns(), {}
        began, n = time.monotonic(), 0
        while time.monotonic() - began < seconds:
            n += 1
            sent[n] = time.monotonic_ns()
            sock.sendto(b"/l\0\0,ii\0" + struct.pack(">ii", 1, n), to)
            time.sleep(max(0.0, began + n / HAND_HZ - time.monotonic()))
        time.sleep(0.3)
        heard = ask(wall)
    return _quantiles(np.array([(at - to_wall - sent[px]) / 1e6 for _, px, at in heard]))


def _quantiles(found: "np.ndarray[Any, Any]") -> dict[str, float]:
    p50, p99, worst = np.quantile(found, (0.5, 0.99, 1)).round(3).tolist()
    return {"p50 ms": p50, "p99 ms": p99, "worst ms": worst}


def main() -> None:
    """Measure, keep."""
    options = argparse.ArgumentParser()
    options.add_argument("--cues", type=int, default=1500)
    options.add_argument("--surfaces", action="store_true")
    given = options.parse_args()
    found: dict[str, Any] = {}
    names = {0: "without a hand", HAND_HZ: "60 changes a second", HAND_HZ * LAYERS: "360 changes a second"}
    if given.surfaces:
        del names[HAND_HZ * LAYERS]
    with tempfile.TemporaryDirectory() as name:
        for part in ("first", "again"):
            for hz, words in names.items():
                found[f"{words}, {part}"] = one(Path(name), given.cues, hz, 2 if given.surfaces else 1)
                print(words, found[f"{words}, {part}"], flush=True)
    found["bare: sendto to the device"] = bare(8.0)
    for quantile in ("p50 ms", "p99 ms"):
        plain = np.mean([found[f"without a hand, {part}"][quantile] for part in ("first", "again")])
        for words in list(names.values())[1:]:
            hand = np.mean([found[f"{words}, {part}"][quantile] for part in ("first", "again")])
            found[f"{words}: times as late, {quantile[:3]}"] = round(float(hand / plain), 2)
    if given.surfaces:
        keep_part("hands", "two surfaces: cues and devices", found)
    else:
        keep("hands", found)
    print(json.dumps(found, indent=1))


if __name__ == "__main__":
    main()
