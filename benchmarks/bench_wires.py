"""What reaches this machine from outside, and what it makes of it: outlets, remotes, timecode, stops, sums.

Run: python benchmarks/bench_wires.py      some three minutes; as root on Linux for a network of its own
Writes benchmarks/wires_results.json: what was done, how often, what happened. Each speed stands beside a bare
baseline of the same run. The shows, walls and networks are those of the tests.
"""

import json
import os
import platform
import random
import socket
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
for folder in ("support", "timing", "screen", "engine", "engine/outlets", "engine/remote"):
    sys.path.insert(0, str(ROOT / "tests" / folder))

RESULTS = ROOT / "benchmarks" / "wires_results.json"


def best_s(work: Callable[[], object], runs: int = 7) -> float:
    """Seconds of the fastest of some runs."""
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        times.append(time.perf_counter() - start)
    return min(times)


def flapping(seconds: float = 20.0) -> dict[str, Any]:
    """A TCP peer that takes a connection and closes it at once, with a cue every 10 ms."""
    from test_outlets_come_back import letter

    from showcaller.engine.outlets import TcpPort
    from showcaller.model import OscTcpOutlet

    said: list[Any] = []
    accepted = cues = 0
    with socket.create_server(("127.0.0.1", 0)) as server:
        server.settimeout(0.01)
        port = TcpPort(
            OscTcpOutlet(kind="osc_tcp", id="t", name="T", port=server.getsockname()[1]), said.append
        )
        end_s = time.monotonic() + seconds
        while time.monotonic() < end_s:
            try:
                server.accept()[0].close()
                accepted += 1
            except TimeoutError:
                pass
            port.send(letter(f"c{cues}"))
            cues += 1
        port.close()
    lines = sum(e.kind == "outlet" for e in said)
    return {
        "what": "a TCP peer that closes every connection at once, a cue every 10 ms",
        "seconds": seconds, "cues": cues, "connections": accepted, "lines in the log about the outlet": lines,
        "cues told sent or failed": sum(e.kind in ("sent", "failed") for e in said),
    }  # fmt: skip


def coming_back(times: int = 8) -> dict[str, Any]:
    """A UDP outlet whose network goes and comes back, in a namespace of its own."""
    import test_outlets_come_back as theirs
    from networks import Net

    with tempfile.TemporaryDirectory() as scratch:
        net = Net(theirs.CHILD.format(host="10.77.0.2"), Path(scratch) / "hosts")
        try:
            up = "sh ip link set lo up && ip addr add 10.77.0.2/24 dev lo"
            net.ask(up)
            net.ask("listen 10.77.0.2")
            net.ask("open")
            lines, back_s, send_us = 0, [], []
            for n in range(times):
                said = net.ask("sh ip addr del 10.77.0.2/24 dev lo && ip link set lo down")
                for k in range(20):
                    said += net.ask(f"send gone{n}.{k}")
                send_us += [float(e["s"]) * 1e6 for e in said if e["kind"] == "took"]  # type: ignore[arg-type]
                said += net.ask(up)
                start = time.monotonic()
                heard = False
                while not heard:
                    said += net.ask(f"send back{n}")
                    said += (more := net.ask("hear 10.77.0.2"))
                    heard = any(e["kind"] == "heard" and e["what"] == f"back{n}" for e in more)
                back_s.append(time.monotonic() - start)
                until = time.monotonic() + 12
                while not any(e.get("state") == "open" for e in said) and time.monotonic() < until:
                    said += net.ask("hear 10.77.0.2")
                lines += sum(e["kind"] == "outlet" for e in said)
        finally:
            net.close()
    return {
        "what": "a UDP outlet whose network is taken away and given back, 20 cues while it is away",
        "times": times, "came back": len(back_s), "lines in the log": lines,
        "first message heard after, s (median)": round(statistics.median(back_s), 2),
        "first message heard after, s (longest)": round(max(back_s), 2),
        "a send while it is away, us (median)": round(statistics.median(send_us), 1),
        "a send while it is away, us (longest)": round(max(send_us), 1),
    }  # fmt: skip


def udp_send_cost() -> dict[str, Any]:
    """A letter to an open UDP outlet beside a bare send."""
    from showcaller.engine.outlets import OutboundBatch, UdpPort
    from showcaller.model import OscUdpOutlet

    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sink:
        sink.bind(("127.0.0.1", 0))
        port = UdpPort(
            OscUdpOutlet(kind="osc_udp", id="u", name="U", port=sink.getsockname()[1]), lambda _: None
        )
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as bare:
            bare.connect(sink.getsockname())
            one = OutboundBatch("c", time.monotonic_ns(), (b"x" * 32,))
            base = best_s(lambda: [bare.send(b"x" * 32) for _ in range(2000)])
            ours = best_s(lambda: [port.send(one) for _ in range(2000)])
        port.close()
    return {
        "what": "2,000 messages by a UDP outlet, and by a bare socket", "bare us": round(base / 2e-3, 2),
        "ours us": round(ours / 2e-3, 2), "ratio": round(ours / base, 2),
    }  # fmt: skip


def rubbish(packets: int = 30_000) -> dict[str, Any]:
    """Random and damaged packets to a listening remote, then a press and release fifty times."""
    from test_packets import GO, bundle, osc

    from showcaller.engine.remote.osc import OscListener
    from showcaller.model.remote import OscRemote

    seeds = [GO, osc("/showcaller/note", "words", 3, True), bundle(GO, bundle(osc("/showcaller/hold")))]
    pick = random.Random(11)
    asked: list[Any] = []
    said: list[tuple[str, str, str]] = []
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        probe.bind(("127.0.0.1", 0))
        number = probe.getsockname()[1]
    listener = OscListener(
        OscRemote(kind="osc", port=number, allow=("127.0.0.1",)), asked.append, lambda *one: said.append(one)
    )
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sender:
        for n in range(packets):
            data = bytearray(pick.choice(seeds))
            for _ in range(pick.randrange(4)):
                at = pick.randrange(len(data))
                data[at : at + 1] = pick.randbytes(pick.randrange(3))
            sender.sendto(
                pick.randbytes(pick.randrange(60)) if n % 3 == 0 else bytes(data), ("127.0.0.1", number)
            )
            if n % 20 == 0:
                time.sleep(0.001)
        marker = osc("/showcaller/note", "all of it has been read")
        while not asked or asked[-1].text != "all of it has been read":
            sender.sendto(marker, ("127.0.0.1", number))
            time.sleep(0.01)
        before = len(said)
        time.sleep(1.1)  # until what came before counts as another press
        asked.clear()
        heard = 0
        for _ in range(50):
            for value in (b"\x3f\x80\0\0", bytes(4)):
                sender.sendto(b"/showcaller/go\0\0,f\0\0" + value, ("127.0.0.1", number))
            until = time.monotonic() + 2
            while len(asked) <= heard and time.monotonic() < until:
                time.sleep(0.001)
            heard = len(asked)
    listener.close()
    return {
        "what": "random and damaged packets to a remote, then 50 presses of 1.0 each with its release of 0.0",
        "packets": packets, "sentences written": before, "listener alive": bool(asked),
        "presses": 50, "asks for a go": len(asked),
    }  # fmt: skip


def flooded() -> dict[str, Any]:
    """How late cues fire by themselves while a remote is sent rubbish by another process, and without."""
    import subprocess

    from test_clock_changes import Night, ticking

    from showcaller.engine.client import EngineClient
    from showcaller.engine.launch import new_run_folder, start_engine

    flood = (
        "import socket, sys, time; s = socket.socket(socket.AF_INET, socket.SOCK_DGRAM); n = 0\n"
        "while True:\n s.sendto(b'\\xb2\\0\\0\\0', ('127.0.0.1', int(sys.argv[1]))); n += 1\n"
        " if n % 20 == 0: time.sleep(0.001)"
    )
    rows = {}
    for name in ("quiet", "flooded"):
        with (
            tempfile.TemporaryDirectory() as scratch,
            socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock,
        ):
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 21)
            sock.bind(("127.0.0.1", 0))
            with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
                probe.bind(("127.0.0.1", 0))
                number = probe.getsockname()[1]
            show = ticking(sock.getsockname()[1], 200)
            show["remotes"] = [{"kind": "osc", "port": number, "allow": ["127.0.0.1"]}]
            folder = new_run_folder(Path(scratch), json.dumps(show))
            process = start_engine(folder)
            with EngineClient(folder) as client:
                client.ask("start", caller="bench")
                client.ask("go", go="s:start")
            args = [sys.executable, "-c", flood, str(number)]
            sender = subprocess.Popen(args) if name == "flooded" else None
            night = Night(folder, process, sock, folder / "day")
            night.hear(200)
            if sender is not None:
                sender.kill()
                sender.wait()
            records = night.end()
        late = sorted(e.late_ms for r in records for e in r.events if e.kind == "sent")
        rows[name] = {
            "median ms": late[len(late) // 2], "99 of 100 ms": late[int(len(late) * 0.99)],
            "worst ms": late[-1], "records": len(records),
        }  # fmt: skip
    return {"what": "200 cues by themselves, with and without a flood of rubbish to a remote", **rows}


def timecode() -> dict[str, Any]:
    """Five minutes of libltc's own code with hum and an offset, read by us and by libltc."""
    import ctypes

    import test_ltc_libltc as theirs

    from showcaller.timing.ltc import LtcDecoder, encode
    from showcaller.timing.timecode import frame_number

    try:
        ctypes.CDLL("libltc.so.11")
    except OSError:
        return {"what": "libltc is not here"}
    lib = theirs.loaded()
    found = {}
    for rate in theirs.STANDARDS:
        first = frame_number("01:00:00:00", rate)
        _, clean = theirs.theirs(lib, rate, first, 7502)
        amplitude = (clean.max() - clean.min()) / 2
        for hz in (50, 60):
            n = np.arange(len(clean))
            samples = (clean + 0.5 * amplitude * np.sin(2 * np.pi * hz * n / 48_000 + 1) + 0.1) / 2
            ours = {f.frame for f in LtcDecoder(rate).feed(samples)}
            libs = set(theirs.read_by_libltc(lib, rate, samples))
            whole = set(range(first, first + 7502))
            found[f"{rate}, {hz} Hz"] = {
                "ours": len(ours & whole), "libltc": len(libs & whole), "wrong": len(ours - whole),
            }  # fmt: skip
    sound = encode(0, 250, "25")
    base = best_s(lambda: np.convolve(sound, np.ones(3)))
    ours_s = best_s(lambda: LtcDecoder("25").feed(sound))
    return {
        "what": "7,502 frames made by libltc, hum at half amplitude and an offset of 0.1: frames read",
        "frames read": found, "10 s of code, ratio to one convolution over it": round(ours_s / base, 1),
    }  # fmt: skip


def forecasts() -> dict[str, Any]:
    """500 random shows against a convolution, and the speed of it."""
    from test_forecast import a_show, convolved

    from showcaller.timing.durations import from_three_points, left_of
    from showcaller.timing.forecast import forecast, is_near_normal

    worst, compared, normal = 0.0, 0, 0
    for seed in range(500):
        items = a_show(seed)
        sd = sum(d.sd_s**2 for d in items) ** 0.5
        mean = sum(d.mean_s for d in items)
        normal += is_near_normal(items)
        for spare in (-1.7, -0.8, -0.2, 0.1, 0.6, 1.3, 2.4):
            if sd > 0:
                at_s = mean + spare * sd
                p = forecast(0, items, at_s).p_make
                assert p is not None
                worst = max(worst, abs(p - convolved(items, at_s)))
                compared += 1
    pick = random.Random(1)
    lengths = [
        from_three_points(180, 180 + pick.uniform(5, 20), 220 + pick.uniform(0, 60)) for _ in range(29)
    ]
    skewed = [*lengths, from_three_points(60, 90, 3000)]
    shapes = [(d.shape(), d.low_s, d.high_s - d.low_s) for d in skewed]

    def bare() -> None:
        generator = np.random.default_rng(1)
        total = np.zeros(10_000)
        for shape, low, span in shapes:
            total += generator.beta(*shape, 10_000) * span + low

    base = best_s(bare)
    ours = best_s(lambda: forecast(100, [left_of(skewed[0], 100), *skewed[1:]], 7000))
    one = forecast(0, [from_three_points(300, 300, 1200)], 420).p_make
    return {
        "what": "the probability of the curfew on 500 random shows against a convolution",
        "compared": compared, "largest difference, percentage points": round(100 * worst, 3),
        "by closed form": normal,
        "one song 5:00, 5:00 to 20:00, curfew after 7 minutes, %": round(100 * (one or 0), 2),
        "30 items, one skewed, ms": round(ours * 1e3, 2),
        "ratio to 10,000 samples of them by bare numpy": round(ours / base, 3),
    }  # fmt: skip


def tempos() -> dict[str, Any]:
    """Random maps with ramps from anywhere against numeric integration."""
    from test_tempo import integrated_s

    from showcaller.model import TempoMark
    from showcaller.timing.tempo import TempoMap

    worst = 0.0
    for seed in range(200):
        pick = random.Random(seed)
        bars = sorted(pick.sample(range(1, 40), pick.randint(1, 6)))
        marks = [TempoMark(bar=b, bpm=pick.randint(40, 220), ramp=pick.random() < 0.6) for b in bars]
        for bar in pick.sample(range(1, 50), 5):
            worst = max(worst, abs(float(TempoMap(tuple(marks)).seconds(bar)) - integrated_s(marks, bar)))
    asked = TempoMap((TempoMark(bar=5, bpm=60, ramp=True), TempoMark(bar=9, bpm=120)))
    return {
        "what": "200 random tempo maps, five bars each, against numeric integration", "compared": 1000,
        "largest difference, s": float(f"{worst:.2g}"),
        "bar 5: 60 ramp, bar 9: 120; seconds to bar 9": round(float(asked.seconds(9)), 3),
    }  # fmt: skip


def stops() -> dict[str, Any]:
    """A running engine stopped for a while: what fired, what was named."""
    import signal

    from test_clock_changes import GAP_S, Night, ticking

    from showcaller.engine.client import EngineClient
    from showcaller.engine.launch import new_run_folder, start_engine

    rows = {}
    for stop_s in (0.5, 2.0, 10.0):
        count = 60 + int(stop_s / GAP_S)
        with (
            tempfile.TemporaryDirectory() as scratch,
            socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as sock,
        ):
            sock.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 1 << 21)
            sock.bind(("127.0.0.1", 0))
            folder = new_run_folder(Path(scratch), json.dumps(ticking(sock.getsockname()[1], count)))
            process = start_engine(folder)
            with EngineClient(folder) as client:
                client.ask("start", caller="bench")
                client.ask("go", go="s:start")
            night = Night(folder, process, sock, folder / "day")
            night.hear(10)
            os.kill(process.pid, signal.SIGSTOP)
            time.sleep(stop_s)
            os.kill(process.pid, signal.SIGCONT)
            while night.heard[-1][0] != count - 1:
                night.hear(len(night.heard) + 1)
            records = night.end()
        missed = [e for r in records for e in r.events if e.kind == "missed"]
        numbers = [n for n, _ in night.heard]
        after = [at - n * GAP_S for n, at in night.heard if n > count - 20]
        rows[f"{stop_s:g} s"] = {
            "cues": count, "fired": len(numbers), "twice": len(numbers) - len(set(numbers)),
            "named missed": len(missed), "lost unnamed": count - len(set(numbers)) - len(missed),
            "out of order": sum(a > b for a, b in pairwise(numbers)),
            "spread of the last 19, ms": round(1000 * (max(after) - min(after)), 2),
        }  # fmt: skip
    return {"what": "an engine stopped (SIGSTOP) in mid-run, a cue by itself every 50 ms", "stopped": rows}


def crops(times: int = 400) -> dict[str, Any]:
    """Cropped layers anywhere, turned anyhow, against Pillow: every pixel."""
    from PIL import Image
    from test_canvas import FLIPS, WALL, cropped, layer, still

    from showcaller.model import Crop
    from showcaller.screen.compose.canvas import Canvas

    pick, worst, red = random.Random(5), 0, 0
    for n in range(times):
        width, height = pick.randrange(24, 60), pick.randrange(16, 40)
        left, right, top, bottom = (pick.randrange(7) for _ in range(4))
        source = cropped(width, height, (left, top, right, bottom), n)
        x, y = pick.randrange(-90, 200), pick.randrange(-60, 90)
        wide, high = pick.randrange(2 * width, 420), pick.randrange(2 * height, 240)
        flip = pick.choice(list(FLIPS))
        crop = Crop(left=left / width, top=top / height, right=right / width, bottom=bottom / height)
        shown = layer(x, 160 - y - high, wide, high, flip=flip, crop=crop)
        made = Canvas(WALL, 320, 160).compose(still(shown), lambda *_, s=source: (s, None))
        theirs = Image.fromarray(source).crop((left, top, width - right, height - bottom))
        theirs = theirs if FLIPS[flip] is None else theirs.transpose(FLIPS[flip])
        expected = Image.new("RGB", (320, 160))
        expected.paste(theirs.resize((wide, high), Image.Resampling.BILINEAR), (x, y))
        worst = max(worst, int(np.abs(made.astype(int) - np.asarray(expected).astype(int)).max()))
        red += int((made[..., 2] > 0).sum())
    return {
        "what": "cropped layers of noise enlarged anywhere, turned anyhow, against Pillow, every pixel",
        "pictures": times, "pixels with colour from beside the crop": red,
        "largest difference of 255": worst,
    }  # fmt: skip


def main() -> None:
    """Measure everything and write it down."""
    found: dict[str, Any] = {
        "machine": {
            "system": f"{platform.system()} {platform.release()}", "cores": os.cpu_count(),
            "python": platform.python_version(),
        },
    }  # fmt: skip
    for name, work in (
        ("tempo", tempos), ("forecast", forecasts), ("timecode", timecode), ("udp send", udp_send_cost),
        ("rubbish", rubbish), ("flood", flooded), ("peer that closes", flapping), ("crops", crops),
        ("outlet comes back", coming_back), ("stopped", stops),
    ):  # fmt: skip
        found[name] = work()
        print(json.dumps({name: found[name]}, ensure_ascii=False), flush=True)
    RESULTS.write_text(json.dumps(found, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
    print(f"written to {RESULTS}")


if __name__ == "__main__":
    main()
