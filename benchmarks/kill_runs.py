"""Kill a real engine again and again, and keep an account of every message beside it.

``python benchmarks/kill_runs.py [--kills 1000]``; about a second a kill. Every run is a show of called and
automatic cues, each with a message of its own to a UDP device; the engine is killed at random moments, every
tenth time at a step between journal and wire (tests/support/killed_engine.py), a tenth while it restarts, a
tenth while its log is first made. What is in doubt afterwards is left or, for half of those that never
arrived, sent. The account: how often each message arrived, against what the log says.
"""

import argparse
import json
import os
import random
import socket
import statistics
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path
from typing import Any

from results import keep

from showcaller.engine.client import EngineClient
from showcaller.engine.launch import LaunchError, new_run_folder, start_engine
from showcaller.engine.protocol import NoEngine, read_endpoint

KILLED = Path(__file__).parents[1] / "tests" / "support" / "killed_engine.py"
KILLS_A_RUN, CUES_A_RUN = 50, 1000
STEPS = ("before the journal", "before the front", "journaled", "one message left", "all left", "published",
         "before the disk", "on the disk", "synced")  # fmt: skip
FIRST = ("first made", "first line", "front begun")


def show_text(port: int) -> str:
    """Half called, half automatic every 30 ms; one message each."""

    def cue(name: str, number: int, at_s: float, fires: str) -> dict[str, Any]:
        return {
            "id": name, "department": "lights", "number": str(number), "label": name, "fires": fires,
            "anchor": {"at": "time", "seconds": round(at_s, 3)},
            "messages": [{"kind": "osc", "outlet": "u", "address": f"/{name}", "args": []}],
        }  # fmt: skip

    half = CUES_A_RUN // 2
    cues = [cue(f"g{n}", n + 1, n * 4.0, "called") for n in range(half)]
    cues += [cue(f"a{n}", n + 1 + half, 0.5 + n * 0.03, "by itself") for n in range(half)]
    return json.dumps(
        {
            "format": "showcaller/show", "version": 1, "id": "kills", "name": "Kills", "act": "Nobody",
            "venue": "Nowhere", "starts_at": "20:00",
            "departments": [
                {"id": "lights", "name": "Lights", "letters": "LX", "shape": "circle", "hue": "yellow"}
            ],
            "outlets": [{"kind": "osc_udp", "id": "u", "name": "U", "port": port}],
            "items": [{"kind": "song", "id": "s", "name": "S", "length_s": 4.0 * half + 60, "cues": cues}],
        }
    )  # fmt: skip


class Device:
    """Counts what arrives."""

    def __init__(self) -> None:
        self.sock = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
        self.sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 22)
        self.sock.bind(("127.0.0.1", 0))
        self.sock.setblocking(False)
        self.port = self.sock.getsockname()[1]
        self.arrived: Counter[str] = Counter()

    def look(self) -> None:
        """Take in what has come."""
        while True:
            try:
                self.arrived[self.sock.recv(200).split(b"\0")[0].decode().strip("/")] += 1
            except BlockingIOError:
                return


class Campaign:
    """One run folder after another, each with its fifty kills."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.counts: Counter[str] = Counter()
        self.ready_s: list[float] = []
        self.wrong: list[str] = []

    def run(self, runs: Path) -> None:
        """One run: kill, take up, settle, and so on; then the account."""
        self.device = Device()
        folder = new_run_folder(runs, show_text(self.device.port))
        self.acknowledged: set[str] = set()
        self.listed: set[str] = set()
        self.sent_later: set[str] = set()
        kills = 0
        for _ in range(KILLS_A_RUN // 10):  # while the log is first made
            process = self.dying(folder, self.random.choice(FIRST), "1")
            try:
                process.wait(3)
            except subprocess.TimeoutExpired:  # an earlier one had come past that step
                process.kill()
                process.wait()
            kills += 1
        process = start_engine(folder)
        while kills < KILLS_A_RUN:
            way = kills % 10
            if way == 0:
                process.kill()
                process.wait()
                kills += 1
                step = self.random.choice(STEPS)
                # Half of those at a go itself: killed there, its message has never left.
                at_go = step in ("before the journal", "journaled") and self.random.random() < 0.5
                at = '"kind":"go"' if at_go else str(self.random.randint(1, 12))
                process = self.dying(folder, step, at)
                self.wait_for(folder, process)
            self.call(folder, process, self.random.uniform(0.02, 0.35))
            if process.poll() is None:
                process.kill()
                process.wait()
            kills += 1
            if way == 5:  # while it restarts
                spawned = subprocess.Popen(
                    [sys.executable, "-m", "showcaller.engine", str(folder), "1.0", "now"],
                    stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                )  # fmt: skip
                time.sleep(self.random.uniform(0, 0.4))
                spawned.kill()
                spawned.wait()
                kills += 1
            began = time.monotonic()
            try:
                process = start_engine(folder)
            except LaunchError as error:
                self.wrong.append(f"could not be taken up: {error}")
                break
            self.ready_s.append(time.monotonic() - began)
            self.settle(folder)
        self.account(folder)
        process.kill()
        process.wait()
        self.counts["kills"] += kills
        self.device.sock.close()

    def dying(self, folder: Path, step: str, n: str) -> subprocess.Popen[bytes]:
        """An engine that will kill itself at ``step``."""
        args = [sys.executable, str(KILLED), step, n, str(folder), "1.0", "now"]
        self.counts[f"killed {step}"] += 1
        return subprocess.Popen(args, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)

    def wait_for(self, folder: Path, process: subprocess.Popen[bytes]) -> None:
        """Until it answers or has died."""
        until = time.monotonic() + 5
        while time.monotonic() < until and process.poll() is None:
            endpoint = read_endpoint(folder)
            if endpoint is not None and endpoint["pid"] == process.pid:
                return
            time.sleep(0.01)

    def call(self, folder: Path, process: subprocess.Popen[bytes], for_s: float) -> None:
        """Give go after go until the time is up or the engine has died."""
        until = time.monotonic() + for_s
        try:
            with EngineClient(folder) as client:
                state = self.place(client)
                if not state["started"]:
                    client.ask("start", caller="Ada", timeout_s=0.3)
                for n in range(state["next"], CUES_A_RUN // 2):
                    if time.monotonic() > until or process.poll() is not None:
                        return
                    go = "s:start" if n == 0 else f"s:g{n}"
                    if client.ask("go", go=go, timeout_s=0.3)["ok"]:
                        self.acknowledged.add(f"g{n}")
                    self.device.look()
                    time.sleep(self.random.uniform(0, 0.02))
        except NoEngine:
            return

    def place(self, client: EngineClient) -> dict[str, Any]:
        """Where the log says the run is."""
        gos = [r.input.go for r in client.log() if r.input.kind == "go" and _fired(r)]
        started = any(e.kind == "run_started" for r in client.log() for e in r.events)
        return {"started": started, "next": len(gos)}

    def settle(self, folder: Path) -> None:
        """A person's word on everything in doubt: sent if the device has not seen it, or left."""
        time.sleep(0.01)
        self.device.look()
        with EngineClient(folder) as client:
            asked = [e for r in client.log() for e in r.events if e.kind == "doubtful"]
            settled = {e.cue for r in client.log() for e in r.events if e.kind == "settled"}
            for cue in {c for e in asked for c in e.cues}:
                self.listed.add(cue)
                if cue in settled:
                    continue
                send = self.device.arrived[cue] == 0 and self.random.random() < 0.5
                if client.ask("settle", cue=cue, send=send)["ok"] and send:
                    self.sent_later.add(cue)

    def account(self, folder: Path) -> None:
        """Every message against the log."""
        time.sleep(0.3)
        self.device.look()
        with EngineClient(folder) as client:
            events = [e for r in client.log() for e in r.events]
        fired = Counter(e.cue for e in events if e.kind == "fired")
        named = {e.cue for e in events if e.kind in ("missed", "skipped", "failed")}
        for cue, times in self.device.arrived.items():
            if times > 1:
                self.wrong.append(f"{cue} arrived {times} times")
        self.wrong += [f"{cue} fired {n} times in the log" for cue, n in fired.items() if n > 1]
        for cue in fired:
            if self.device.arrived[cue] == 0 and cue not in self.listed | named:
                self.wrong.append(f"{cue} was fired, never arrived and is not named")
        self.wrong += [f"{cue} was told done and is not in the log" for cue in self.acknowledged - set(fired)]
        self.wrong += [
            f"{cue} arrived and is not in the log" for cue in set(self.device.arrived) - set(fired)
        ]
        self.counts["cues"] += CUES_A_RUN
        self.counts["fired"] += len(fired)
        self.counts["in doubt, listed"] += len(self.listed)
        self.counts["of those sent later"] += len(self.sent_later)
        self.counts["listed though it had arrived"] += sum(
            self.device.arrived[c] > 0 and c not in self.sent_later for c in self.listed
        )


def _fired(record: Any) -> bool:
    return any(e.kind == "fired" for e in record.events)


def interpreter_s() -> float:
    """The bare start of the interpreter, the median of ten."""
    took = []
    for _ in range(10):
        began = time.monotonic()
        subprocess.run([sys.executable, "-c", "pass"], check=True)
        took.append(time.monotonic() - began)
    return statistics.median(took)


def main() -> int:
    """Run the campaign; exit status 1 when anything went wrong."""
    options = argparse.ArgumentParser()
    options.add_argument("--kills", type=int, default=1000)
    options.add_argument("--seed", type=int, default=int.from_bytes(os.urandom(3)))
    given = options.parse_args()
    campaign = Campaign(given.seed)
    with tempfile.TemporaryDirectory() as folder:
        while campaign.counts["kills"] < given.kills and len(campaign.wrong) < 20:
            campaign.run(Path(folder))
            print(campaign.counts["kills"], "kills,", len(campaign.wrong), "wrong", flush=True)
    ready = sorted(campaign.ready_s)
    bare = interpreter_s()
    found = {
        "seed": given.seed,
        **dict(campaign.counts),
        "wrong": campaign.wrong,
        "ready again s p50": round(statistics.median(ready), 3),
        "ready again s worst": round(ready[-1], 3),
        "bare interpreter s": round(bare, 3),
    }
    keep("kills", found)
    print(json.dumps(found, indent=1))
    return 1 if campaign.wrong else 0


if __name__ == "__main__":
    sys.exit(main())
