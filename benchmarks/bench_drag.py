"""Dragging through two hours of full HD: ``python benchmarks/bench_drag.py [--hours 2]``; some minutes.

A recording of inter frames, a key frame every ten seconds, as cameras make them: a minute of it is encoded and its
packets repeated. A hand drags along the bar at 60 moves a second; measured is how long after a move a picture of
it is there. Beside it: the bare reader going to the same frames.
"""

import argparse
import os
import random
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import av
import numpy as np
from PySide6.QtCore import QEventLoop, QTimer
from results import keep

from showcaller.desk.app import application
from showcaller.desk.areas.drift.player import Player
from showcaller.desk.areas.drift.scrubbing import Scrubbing
from showcaller.screen.clips import Clip

RATE, MOVES, BARE = 25, 400, 40


def minute(path: Path) -> None:
    """A minute of full HD, key frames every ten seconds."""
    with av.open(str(path), "w") as container:
        options = {
            "preset": "veryfast",
            "crf": "30",
            "g": "250",
            "keyint_min": "250",
            "sc_threshold": "0",
            "bf": "2",
        }
        stream = container.add_stream("libx264", rate=RATE, options=options)
        stream.width, stream.height, stream.pix_fmt = 1920, 1080, "yuv420p"
        ground = np.linspace(0, 255, 1920, dtype=np.uint8)[None, :, None].repeat(1080, 0).repeat(3, 2)
        for n in range(60 * RATE):
            picture = np.roll(ground, n * 6, axis=1)
            picture[200 + n % 600 : 400 + n % 600, 300:800] = (200, 60, n % 255)
            frame = av.VideoFrame.from_ndarray(np.ascontiguousarray(picture), format="rgb24")
            frame.pts, frame.time_base = n, Fraction(1, RATE)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())


def repeated(one: Path, path: Path, times: int) -> None:
    """The same packets again and again, each time a minute later."""
    with av.open(str(path), "w") as made:
        out = None
        for n in range(times):
            with av.open(str(one)) as source:
                stream = source.streams.video[0]
                out = out or made.add_stream_from_template(stream)
                shift = round(60 * n / stream.time_base)
                for packet in source.demux(stream):
                    if packet.dts is not None:
                        packet.pts, packet.dts = packet.pts + shift, packet.dts + shift
                        packet.stream = out
                        made.mux(packet)


def waits(milliseconds: float) -> None:
    """Let the window's events go on for so long."""
    loop = QEventLoop()
    QTimer.singleShot(max(0, round(milliseconds)), loop.quit)
    loop.exec()


def spread(found: list[float]) -> dict[str, float]:
    """In ms."""
    ordered = sorted(found)
    at = {"p50": 0.5, "p95": 0.95, "worst": 1.0}
    return {
        name: round(1000 * ordered[min(len(ordered) - 1, int(q * len(ordered)))], 1) for name, q in at.items()
    }


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser()
    options.add_argument("--hours", type=float, default=2.0)
    hours = options.parse_args().hours
    application()
    draw = random.Random(4)
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "night.mp4"
        minute(Path(folder) / "minute.mp4")
        repeated(Path(folder) / "minute.mp4", path, round(hours * 60))
        bare = []
        with Clip(path) as clip:
            length_s = float(clip.facts.length_s)
            for _ in range(BARE):
                begun = time.perf_counter()
                clip.frame_at(draw.uniform(0, length_s))
                bare.append(time.perf_counter() - begun)
        player = Player()
        scrubbing = Scrubbing(player, player, Path(folder) / "tape")
        scrubbing.fit(960, 540)
        player.fit(960, 540)
        player.open(str(path))
        begun = time.perf_counter()
        player.seek(0)
        while not scrubbing._small.path:
            waits(20)
        made_s = time.perf_counter() - begun
        there: list[float] = []
        scrubbing.moved.connect(lambda: there.append(time.perf_counter()))
        late: list[float] = []
        at_s, step_s = 0.1 * length_s, length_s / 600
        for n in range(MOVES):
            at_s = (at_s + step_s * (1 if n // 100 % 2 == 0 else -1) * draw.uniform(0.5, 2)) % length_s
            asked = time.perf_counter()
            there.clear()
            scrubbing.drag(Fraction(at_s))
            while not there:
                waits(1)
            late.append(there[0] - asked)
            waits(1000 / 60 - 1000 * (time.perf_counter() - asked))
        size = sum(p.stat().st_size for p in (Path(folder) / "tape").iterdir())
        scrubbing.close()
        player.close()
    found = {
        "what": f"{MOVES} moves along {length_s / 3600:.1f} h of 1920x1080, a key frame every 10 s",
        "a picture after a move, ms": spread(late),
        "the frame itself by the bare reader, ms": spread(bare),
        "small pictures made in, s": round(made_s, 1),
        "small pictures, MB": round(size / 1e6, 1),
    }
    sys.stdout.write("\n".join(f"{name}: {value}" for name, value in found.items()) + "\n")
    keep("drag", found)


if __name__ == "__main__":
    main()
