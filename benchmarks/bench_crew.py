"""300 crew pages: how soon an event is on them, what they cost the engine, what the server needs of memory.

``python benchmarks/bench_crew.py [--pages 300] [--minutes 3]``; two minutes and as long as memory is watched. A
real engine fires an automatic cue every 20 ms, first alone, then with the server and its pages, then alone again;
the pages are a process of their own that keeps 300 live lines over TLS and speaks on each as a page does. Beside
the pages stands the caller's own desk link, which has the same events from the same engine.
"""

import argparse
import asyncio
import contextlib
import json
import multiprocessing as mp
import os
import sys
import tempfile
import time
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any

import numpy as np
from bench_engine import Stamps, helper, receive
from results import keep as keep_figures

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests" / "support"))

from crew_night import Night, Served  # noqa: E402

from showcaller.model import parse_show  # noqa: E402
from showcaller.run import commands as c  # noqa: E402

NS = 1_000_000_000
CUE_GAP_S = 0.02
BLOCK_S = 20
EVENTS = 80
PER_ADDRESS = 20
BEAT_S = 0.4


def make_show(port: int) -> str:
    """One item: automatic cues at the rig, called ones at the lights, to be asked to stand by."""
    count = int((4 * BLOCK_S + 60) / CUE_GAP_S)
    cues = [
        {
            "id": f"a{n}", "department": "rig", "number": str(n + 1), "label": f"a{n}", "fires": "by itself",
            "anchor": {"at": "time", "seconds": round((n + 1) * CUE_GAP_S, 6)},
            "messages": [{"kind": "osc", "outlet": "u", "address": f"/a/{n}", "args": [1]}],
        }
        for n in range(count)
    ]  # fmt: skip
    cues += [
        {
            "id": f"g{n}", "department": "lights", "number": str(n + 1), "label": f"g{n}",
            "anchor": {"at": "time", "seconds": 1000 + n},
        }
        for n in range(EVENTS)
    ]  # fmt: skip
    departments = [
        {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"},
        {"id": "rig", "name": "Rig", "letters": "RG", "shape": "bar", "hue": "pink"},
    ]
    return json.dumps(
        {
            "format": "showcaller/show", "version": 1, "id": "bench", "name": "Bench", "act": "Nobody",
            "venue": "Nowhere", "starts_at": "20:00", "departments": departments,
            "outlets": [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}],
            "items": [{"kind": "song", "id": "s", "name": "S", "length_s": 2000, "cues": cues}],
        }
    )  # fmt: skip


def pages(conn: Connection, host: str, certificate: str, link: str, pin: str, count: int) -> None:
    """``count`` live lines; tells when all are, then (when told to stop) when each event reached each."""
    asyncio.run(_pages(conn, host, certificate, link, pin, count))


async def _pages(conn: Connection, host: str, certificate: str, link: str, pin: str, count: int) -> None:
    import ssl

    import aiohttp

    trust = ssl.create_default_context(cafile=certificate)
    seen: list[dict[int, int]] = [{} for _ in range(count)]
    trips_ms: list[float] = []
    lost = 0

    async def one(n: int, client: aiohttp.ClientSession) -> None:
        nonlocal lost
        origin = {"Origin": f"https://{host}"}
        body = {"link": link.partition("#")[2], "pin": pin, "name": f"page {n}"}
        async with client.post(f"https://{host}/enter", json=body, headers=origin, ssl=trust) as answer:
            cookie = answer.headers["Set-Cookie"].partition(";")[0]
        line = await client.ws_connect(
            f"wss://{host}/live", headers={**origin, "Cookie": cookie}, ssl=trust, max_msg_size=1 << 20
        )
        ready[n].set()
        speaking = asyncio.create_task(speak(line))
        async for message in line:
            now_ns = time.monotonic_ns()
            if '"shows":"standby"' in message.data:
                events = message.data.partition('"standby":[')[2].partition("]")[0].count("Lights")
                seen[n].setdefault(events, now_ns)
            elif message.data.startswith('{"k": "beat"'):
                trips_ms.append((now_ns - json.loads(message.data)["n"]) / 1e6)
        speaking.cancel()
        lost += not stopping.is_set()

    async def speak(line: Any) -> None:
        with contextlib.suppress(ConnectionError):  # it closes in between, at the end
            while not line.closed:
                await line.send_str(json.dumps({"k": "here", "n": time.monotonic_ns()}))
                await asyncio.sleep(BEAT_S)

    ready = [asyncio.Event() for _ in range(count)]
    stopping = asyncio.Event()
    clients, tasks = [], []
    for n in range(count):
        if n % PER_ADDRESS == 0:
            address = (f"127.0.1.{n // PER_ADDRESS + 1}", 0)
            connector = aiohttp.TCPConnector(local_addr=address, limit=0, ssl=trust)
            clients.append(aiohttp.ClientSession(connector=connector, cookie_jar=aiohttp.DummyCookieJar()))
        tasks.append(asyncio.create_task(one(n, clients[-1])))
        if n % 10 == 9:
            await asyncio.wait_for(asyncio.gather(*(r.wait() for r in ready[: n + 1])), 60)
    await asyncio.gather(*(r.wait() for r in ready))
    conn.send("all")
    while not conn.poll():
        await asyncio.sleep(0.05)
    conn.recv()
    stopping.set()
    conn.send((seen, trips_ms, lost))
    for task in tasks:
        task.cancel()
    await asyncio.gather(*tasks, return_exceptions=True)
    for client in clients:
        await client.close()


class Show(Night):
    """The benchmark's night; its server comes later."""

    def __init__(self, folder: Path, text: str) -> None:
        from showcaller.calling.session import open_session
        from showcaller.engine.launch import new_run_folder
        from showcaller.model import show_text

        self.folder = folder
        text = show_text(parse_show(text))
        (folder / "show.json").write_text(text, encoding="utf-8")
        self.run = new_run_folder(folder / "runs", text)
        self.caller = open_session(self.run)


def watch(night: Show, seconds: float) -> None:
    """The caller's desk looks at the run for so long."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        night.caller.poll()
        time.sleep(0.01)


def events(night: Show) -> tuple[list[int], list[int]]:
    """Standbys, one after the other: when each was sent, and when the caller's own link had it (ns)."""
    sent, had = [], []
    for n in range(EVENTS):
        before = len(night.caller.book.records)
        sent.append(time.monotonic_ns())
        night.caller.send(c.Standby(f"l{n}", (f"g{n}",)))
        while not any(r.input.kind == "standby" for r in night.caller.book.records[before:]):
            night.caller.poll()
            time.sleep(0.0005)
        had.append(time.monotonic_ns())
        watch(night, BLOCK_S / EVENTS)
    return sent, had


def rss_mb(pid: int) -> float:
    """Resident memory."""
    text = Path(f"/proc/{pid}/status").read_text()
    return round(int(text.partition("VmRSS:")[2].split()[0]) / 1024, 1)


def cpu_s(pid: int) -> float:
    """Processor time so far."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def percentiles(values: list[float], unit: str = "ms") -> dict[str, float]:
    """p50, p99, worst."""
    p50, p99, worst = np.percentile(values, (50, 99, 100))
    return {f"p50 {unit}": round(p50, 2), f"p99 {unit}": round(p99, 2), f"worst {unit}": round(worst, 2)}


def main() -> None:
    """Measure and keep."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--pages", type=int, default=300)
    parser.add_argument("--minutes", type=float, default=3.0)
    parser.add_argument("--keep", action="store_true", help="keep the figures in results/")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as temporary, helper(receive) as device:
        night = Show(Path(temporary), make_show(device.recv()))
        night.send(c.Start(caller="bench", muted=False))
        night.send(c.Go("s:start"))
        begun_ns = night.caller.book.state.clock_ns or 0
        zero_ns = night.caller.clock.monotonic_of(begun_ns) + time.time_ns() - time.monotonic_ns()
        marks = [time.time_ns()]
        watch(night, BLOCK_S)
        marks.append(time.time_ns())
        night.server = Served(night.folder)
        link = night.server.link("d:lights")
        certificate = str(next((night.folder / "state").glob("showcaller/crew/*/certificate.pem")))
        context = mp.get_context("spawn")
        mine, its = context.Pipe()
        pin = night.server.status["pin"]
        process = context.Process(
            target=pages, args=(its, night.server.host, certificate, link, pin, given.pages), daemon=True
        )
        process.start()
        while not mine.poll():
            watch(night, 0.1)
        mine.recv()
        watch(night, 2)
        pid = night.server.process.pid
        memory, spent_s, began_s = [rss_mb(pid)], cpu_s(pid), time.monotonic()
        marks.append(time.time_ns())
        sent, had = events(night)
        marks.append(time.time_ns())
        share = (cpu_s(pid) - spent_s) / (time.monotonic() - began_s)
        until = time.monotonic() + given.minutes * 60
        while time.monotonic() < until:
            watch(night, 5)
            memory.append(rss_mb(pid))
        mine.send("stop")
        seen, trips_ms, lost = mine.recv()
        process.join()
        night.server.stop()
        marks.append(time.time_ns())
        watch(night, BLOCK_S)
        marks.append(time.time_ns())
        device.send("all")
        stamps: Stamps = device.recv()
        night.close()
    late: dict[str, list[float]] = {"alone": [], "with pages": []}
    for name, at_ns in stamps.items():
        due_ns = zero_ns + round((int(name.rpartition("/")[2]) + 1) * CUE_GAP_S * NS)
        block = sum(due_ns >= mark for mark in marks)
        where = {1: "alone", 3: "with pages", 5: "alone"}.get(block)
        if where:
            late[where].append((at_ns - due_ns) / 1e6)
    reached = [(page[n + 1] - sent[n]) / 1e6 for page in seen for n in range(EVENTS) if n + 1 in page]
    own = [(b - a) / 1e6 for a, b in zip(sent, had, strict=True)]
    alone, beside = np.percentile(late["alone"], 99), np.percentile(late["with pages"], 99)
    found = {
        "pages": given.pages,
        "lines lost": lost,
        "events on pages": f"{len(reached)} of {EVENTS * given.pages}",
        "event to the page": percentiles(reached),
        "event to the caller's own link": percentiles(own),
        "page beside own link, p99": round(float(np.percentile(reached, 99) / np.percentile(own, 99)), 2),
        "a page's heartbeat, there and back": percentiles(trips_ms),
        "automatic cues late, alone": percentiles(late["alone"]),
        "automatic cues late, with pages": percentiles(late["with pages"]),
        "with pages beside alone, p99": round(float(beside / alone), 2),
        "automatic cues": f"{len(late['alone'])} alone, {len(late['with pages'])} with pages",
        "server's share of one processor": round(share, 2),
        "server's memory MB": {
            "first": memory[0],
            "last": memory[-1],
            "most": max(memory),
            "minutes": given.minutes,
        },
    }
    print(json.dumps(found, indent=1))
    if given.keep:
        keep_figures("crew", found)


if __name__ == "__main__":
    main()
