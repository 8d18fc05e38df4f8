"""Five recordings of one night whose recorders' clocks differ: ``python benchmarks/bench_tapes.py [--hours 2]``.

The first is as long as the night, the others begin and end in it; each runs up to 80 parts per million fast or
slow, and burns into every frame which twenty-fifth of a real second it was. One is aligned by linear timecode
on its sound, the others by its sound. Then moments of the run are looked up in each: the frame that is shown
must have the moment's own number, or that of a frame beside it. About a quarter of an hour.
"""

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
from results import keep

sys.path.insert(0, str(Path(__file__).parents[1] / "tests" / "support"))
from burned import HEIGHT, WIDTH, burned, read_number

from showcaller.review.aligning import first_frame_s
from showcaller.review.tape_clock import TapeClock
from showcaller.review.tapes import by_another, by_its_code
from showcaller.run import commands as c
from showcaller.run.runlog import Record
from showcaller.screen.clips import Clip
from showcaller.timing.ltc.encode import encode
from showcaller.timing.timecode import frame_number

NS, RATE, HZ, CODE_HZ = 1_000_000_000, 25, 8_000, 48_000
MOMENTS = 40
"""Looked up in each recording: 200 in all."""


def hall(from_s: float, to_s: float) -> np.ndarray:
    """The hall's sound between two whole seconds, the same whenever it is asked for."""
    found = []
    for second in range(int(from_s), int(to_s)):
        draw = np.random.default_rng(second + 10_000)
        at_s = second + np.arange(HZ) / HZ
        swell = 0.4 + 0.3 * np.sin(2 * np.pi * at_s / 17) + 0.2 * np.sin(2 * np.pi * at_s / 3.1)
        beat = 0.1 * np.sin(2 * np.pi * 110 * at_s) * (at_s * 2 % 1 < 0.2)
        found.append(0.2 * swell * draw.standard_normal(HZ) + beat)
    return np.concatenate(found)


def heard(zero_s: float, ppm: float, length_s: float, seed: int) -> Iterator[np.ndarray]:
    """What a recorder hears of it, minute by minute: the hall's echo, its own noise."""
    draw = np.random.default_rng(seed)
    for first in range(0, int(length_s * HZ), 60 * HZ):
        count = min(60 * HZ, int(length_s * HZ) - first)
        real_s = zero_s + (first + np.arange(count)) / HZ / (1 + ppm * 1e-6)
        begin_s = int(np.floor(real_s[0])) - 1
        whole = hall(begin_s, int(real_s[-1]) + 2)
        there = begin_s + np.arange(len(whole)) / HZ
        sound = np.interp(real_s, there, whole) + 0.4 * np.interp(real_s - 0.08, there, whole)
        yield sound + 0.05 * draw.standard_normal(count)


def code(zero_s: float, ppm: float, length_s: float) -> Iterator[np.ndarray]:
    """Linear timecode of the time of day from 20:00:00 at the run's 0, as that recorder hears it."""
    day = frame_number("20:00:00:00", "25")
    for first in range(0, int(length_s * CODE_HZ), 60 * CODE_HZ):
        count = min(60 * CODE_HZ, int(length_s * CODE_HZ) - first)
        real_s = zero_s + (first + np.arange(count)) / CODE_HZ / (1 + ppm * 1e-6)
        begin = int(np.floor(real_s[0] * RATE)) - 1
        whole = encode(day + begin, int((real_s[-1] - real_s[0]) * RATE) + 4, "25", CODE_HZ)
        yield np.interp(real_s, begin / RATE + np.arange(len(whole)) / CODE_HZ, whole)


def record(
    path: Path, zero_s: float, ppm: float, length_s: float, sound: Iterator[np.ndarray], hz: int
) -> None:
    """Write it: inter frames only, a key frame every ten seconds."""
    with av.open(str(path), "w") as container:
        options = {"preset": "ultrafast", "crf": "30", "bf": "2", "g": "250"}
        stream = container.add_stream("libx264", rate=RATE, options=options)
        stream.width, stream.height, stream.pix_fmt = WIDTH, HEIGHT, "yuv420p"
        track = container.add_stream("pcm_s16le", rate=hz)
        track.layout = "mono"
        at = 0
        for n in range(int(length_s * RATE)):
            if n % (60 * RATE) == 0:
                part = next(sound, None)
                if part is not None:
                    whole = (np.clip(part, -1, 1) * 32767).astype(np.int16)[None, :]
                    for k in range(0, whole.shape[1], 4800):
                        frame = av.AudioFrame.from_ndarray(
                            whole[:, k : k + 4800], format="s16", layout="mono"
                        )
                        frame.sample_rate, frame.pts, frame.time_base = hz, at + k, Fraction(1, hz)
                        container.mux(track.encode(frame))
                    at += whole.shape[1]
            real_s = zero_s + n / RATE / (1 + ppm * 1e-6)
            picture = av.VideoFrame.from_ndarray(burned(int(real_s * RATE)), format="rgb24")
            picture.pts, picture.time_base = n, Fraction(1, RATE)
            container.mux(stream.encode(picture))
        container.mux(stream.encode())
        container.mux(track.encode())


def main() -> None:
    """Make them, align them, look the moments up."""
    options = argparse.ArgumentParser()
    options.add_argument("--hours", type=float, default=2.0)
    hours = options.parse_args().hours
    night_s = hours * 3600
    tapes = [
        ("programme", 30.0, 35.0, night_s - 60),
        ("camera-gate", 65.5, 80.0, night_s * 0.6),
        ("camera-quay", night_s * 0.3, -80.0, night_s * 0.6),
        ("house-wide", 41.25, -61.3, night_s * 0.9),
        ("headset", night_s * 0.1, 12.5, night_s * 0.5),
    ]
    wall_ns = round(datetime(2026, 8, 1, 20, 0, tzinfo=UTC).timestamp()) * NS
    records = [Record(1, 0, wall_ns, c.Start("Ada"), ())]
    records.append(Record(2, round(night_s * NS), wall_ns + round(night_s * NS), c.End("e"), ()))
    draw, rows, right, whole = random.Random(5), {}, 0, 0
    with tempfile.TemporaryDirectory() as folder:
        first: tuple[Path, TapeClock] | None = None
        coded = Path(folder) / "programme-code.mkv"
        for n, (name, zero_s, ppm, length_s) in enumerate(tapes):
            path = Path(folder) / f"{name}.mkv"
            record(path, zero_s, ppm, length_s, heard(zero_s, ppm, length_s, n), HZ)
            begun = time.perf_counter()
            if first is None:
                # Its timecode is on a track of its own: a file beside it with the same clock.
                record(coded, zero_s, ppm, length_s, code(zero_s, ppm, length_s), CODE_HZ)
                begun = time.perf_counter()
                found = by_its_code(coded, None, True, "25", records, UTC)
            else:
                found = by_another(path, *first)
            took_s = time.perf_counter() - begun
            clock = TapeClock(found.zero_ns, found.drift_ppm)
            first = first or (path, clock)
            good = exact = 0
            with Clip(path) as clip:
                for _ in range(MOMENTS):
                    t_ns = round(draw.uniform(zero_s + 1, zero_s + length_s - 2) * NS)
                    pixels = clip.frame_at(first_frame_s(clock.file_s(t_ns), Fraction(RATE))).pixels
                    away = read_number(pixels) - -(-t_ns * RATE // NS)
                    good += abs(away) <= 1
                    exact += away == 0
            right, whole = right + good, whole + MOMENTS
            rows[name] = {
                "long, minutes": round(length_s / 60),
                "drift made, ppm": ppm,
                "found, ppm": round(found.drift_ppm, 2),
                "95 %, ppm": None if found.drift_error_ppm is None else round(found.drift_error_ppm, 2),
                "moments within a frame": f"{good} of {MOMENTS}",
                "on the very frame": exact,
                "aligned in, s": round(took_s, 1),
            }
            print(name, rows[name], flush=True)
    kept = {
        "what": f"five recordings of a night of {hours:g} hours, clocks apart by up to 160 ppm, echo and noise",
        "moments within a frame": f"{right} of {whole}",
        "recordings": rows,
    }
    print(kept["moments within a frame"])
    keep("tapes", kept)


if __name__ == "__main__":
    main()
