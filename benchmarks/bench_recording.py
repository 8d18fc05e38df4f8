"""How soon a frame is there, and how long that holds the window up: ``python benchmarks/bench_recording.py``.

A 1920×1080 recording with long groups of pictures, sought at random from the desk's player. Beside it: the
same frames by the bare reader on one thread.
"""

import os
import random
import sys
import tempfile
import time
from fractions import Fraction
from pathlib import Path
from statistics import median

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")

import av
import numpy as np
from PySide6.QtCore import QEventLoop, QTimer

from showcaller.desk.app import application
from showcaller.desk.areas.drift.player import Player
from showcaller.screen.clips import Clip

FRAMES, RATE, SEEKS = 750, 25, 60


def recording(path: Path) -> None:
    """Thirty seconds of full HD, a key frame every five."""
    with av.open(str(path), "w") as container:
        stream = container.add_stream(
            "libx264", rate=RATE, options={"preset": "ultrafast", "g": "125", "bf": "2"}
        )
        stream.width, stream.height, stream.pix_fmt = 1920, 1080, "yuv420p"
        ground = np.random.default_rng(1).integers(0, 255, (1080, 1920, 3), np.uint8)
        for n in range(FRAMES):
            frame = av.VideoFrame.from_ndarray(np.roll(ground, n * 8, axis=1), format="rgb24")
            frame.pts, frame.time_base = n, Fraction(1, RATE)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())


def main() -> None:
    """Measure and print."""
    app = application()
    draw = random.Random(3)
    wanted = [draw.randrange(FRAMES) for _ in range(SEEKS)]
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "night.mp4"
        recording(path)
        with Clip(path) as clip:
            bare = []
            for n in wanted:
                begun = time.perf_counter()
                clip.frame(n)
                bare.append(time.perf_counter() - begun)
        player = Player()
        player.fit(960, 540)
        player.open(str(path))
        gaps: list[float] = []
        last = time.perf_counter()

        def beat() -> None:
            nonlocal last
            now = time.perf_counter()
            gaps.append(now - last)
            last = now

        timer = QTimer()
        timer.timeout.connect(beat)
        timer.start(1)
        took = []
        for n in wanted:
            loop = QEventLoop()
            player.frame_shown.connect(loop.quit)
            begun = time.perf_counter()
            player.seek((Fraction(n) + Fraction(1, 2)) / RATE)
            loop.exec()
            took.append(time.perf_counter() - begun)
            if player.index != n:
                sys.exit(f"asked for frame {n}, got {player.index}")
        timer.stop()
        player.close()
        app.processEvents()
    held = sorted(gaps)
    print(f"{SEEKS} random frames of a 1920x1080 recording, a key frame every 5 s")
    for name, times in (("bare reader", bare), ("desk's player", took)):
        print(f"{name:<18} {median(times) * 1000:7.1f} ms at the middle, {max(times) * 1000:7.1f} at worst")
    print(f"                   {median(took) / median(bare):7.2f} times as long")
    print(f"event loop held up {held[len(held) // 2] * 1000:7.1f} ms at the middle, "
          f"{held[int(len(held) * 0.99)] * 1000:.1f} at p99, {held[-1] * 1000:.1f} at worst")  # fmt: skip


if __name__ == "__main__":
    main()
