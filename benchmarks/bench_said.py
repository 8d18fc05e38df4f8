"""The caller's lines found in a headset track: recall, false finds, the error of *go*, with noise, music and others.

Run: python benchmarks/bench_said.py [--quick]      some twenty minutes; needs espeak-ng
espeak-ng speaks the sample's first five songs in three voices as the plan has them, some lines wrongly (another
number), some not at all, with other people talking in between and music under it. Where *go* ends is told by the
synthesiser's own clean sound: its last sample above -40 dB of the peak.
"""

import argparse
import io
import json
import random
import subprocess
import tempfile
import time
import wave
from pathlib import Path
from typing import Any

import numpy as np
from scipy.signal import resample_poly

from showcaller.hearing import ASKED, SURE
from showcaller.hearing.listening import LineExpected, LineFound, listen
from showcaller.model import read_show
from showcaller.timing.calls.compiling import compile_show_calls
from showcaller.timing.plan import compile_plan

HZ = 16_000
VOICES = ("en-us", "en-gb+f3", "en-gb-scotland")
SONGS = 5
TALK = (
    "can somebody look at the monitor on stage left, it is buzzing again",
    "copy that, I will be there in two minutes", "the crowd is really loud tonight, isn't it",
    "lights, are you with me", "spot two, your beam is a little low", "standing by is boring",
    "who has the key to the store", "tell sound to turn the click down in my ears",
    "that was a lovely go", "we need more water up here please", "is the drummer back on his riser",
    "okay everyone, good show so far", "video, can we try camera four there tomorrow",
)  # fmt: skip
Sound = np.ndarray[Any, np.dtype[np.float32]]


def spoken(text: str, voice: str, speed: int) -> Sound:
    """espeak-ng's sound at 16 kHz."""
    words = ["espeak-ng", "-v", voice, "-s", str(speed), "--stdout", text]
    made = subprocess.run(words, capture_output=True, check=True).stdout
    with wave.open(io.BytesIO(made)) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), np.int16).astype(np.float32) / 32768
        return np.asarray(resample_poly(samples, 160, file.getframerate() // 100), np.float32)


def music(count: int, seed: int) -> Sound:
    """Chords that change every two seconds, with a beat."""
    rng, t = np.random.default_rng(seed), np.arange(count) / HZ
    out = np.zeros(count, np.float32)
    for begin in range(0, count, 2 * HZ):
        part = t[begin : begin + 2 * HZ]
        for note in rng.choice([110, 131, 147, 165, 196, 220, 262, 330], 4, replace=False):
            for k in range(1, 5):
                out[begin : begin + 2 * HZ] += (np.sin(2 * np.pi * note * k * part) / k).astype(np.float32)
    beat = (np.exp(-40 * (t % 0.5)) * rng.normal(0, 2, count)).astype(np.float32)
    return out + beat


class Night:
    """A track, and what was said in it."""

    def __init__(self, voice: str, seed: int, songs: int = SONGS) -> None:
        show = read_show(Path(__file__).parents[1] / "sample_shows" / "breakwater.json")
        plan = compile_plan(show)
        self.departments = [d.spoken for d in show.departments]
        self.expected: list[LineExpected] = []
        self.ends_s: dict[str, float] = {}
        pick = random.Random(seed)
        begin_s, placed = 40.0, []
        for item, sheet in list(zip(plan.items, compile_show_calls(plan), strict=True))[:songs]:
            for line in sheet.lines:
                at_s = begin_s + float(line.starts_s) + pick.gauss(0, 0.6)
                self.expected.append(LineExpected(line.id, line.text, begin_s + float(line.lands_s)))
                kind = pick.random()
                if kind < 0.06:
                    continue  # forgotten
                text = line.text if kind > 0.14 else _wrong(line.text, pick)
                sound = spoken(text, voice, pick.randint(140, 185))
                loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
                placed.append((at_s, sound))
                if text == line.text:
                    self.ends_s[line.id] = at_s + int(loud[-1]) / HZ
            begin_s += float(item.item.length_s) + 20
        spans = sorted((at_s, at_s + len(sound) / HZ) for at_s, sound in placed)
        for _ in range(18 * songs):  # others, where nobody calls
            at_s, sound = pick.uniform(5, begin_s), spoken(pick.choice(TALK), pick.choice(VOICES), 165)
            until_s = at_s + len(sound) / HZ
            if all(until_s + 0.8 < a or at_s > b + 0.8 for a, b in spans):
                placed.append((at_s, sound))
                spans.append((at_s, until_s))
        self.voice = np.zeros(int((begin_s + 20) * HZ), np.float32)
        for at_s, sound in placed:
            first = int(at_s * HZ)
            self.voice[first : first + len(sound)] += sound
        self.level = float(np.sqrt(np.mean(np.concatenate([s for _, s in placed]) ** 2)))

    def at(self, snr_db: float, with_music: bool, seed: int) -> Sound:
        """The track with noise, half of it music if asked for, so far below the voice."""
        rng = np.random.default_rng(seed)
        noise = rng.normal(0, 1, len(self.voice)).astype(np.float32)
        if with_music:
            song = music(len(self.voice), seed)
            noise = song / np.sqrt(np.mean(song**2)) + 0.3 * noise
        noise *= self.level / 10 ** (snr_db / 20) / np.sqrt(np.mean(noise**2))
        mixed = self.voice + noise
        return np.asarray(mixed / max(1.0, float(np.abs(mixed).max())), np.float32)


def _wrong(text: str, pick: random.Random) -> str:
    """Another number than the plan's: a line that nobody may find."""
    words = text.split()
    places = [n for n, w in enumerate(words) if w.strip(",").isdigit()]
    if not places:
        return text + " again"
    n = pick.choice(places)
    words[n] = str(int(words[n].strip(",")) + pick.choice([20, 31, 44])) + (
        "," if words[n].endswith(",") else ""
    )
    return " ".join(words)


def judged(night: Night, found: tuple[LineFound, ...]) -> dict[str, Any]:
    """What was found of what was said; false: not said there, or another line."""

    def right(one: LineFound) -> bool:
        said_s = night.ends_s.get(one.id)
        return said_s is not None and bool(abs(one.ends_s - said_s) < 1.0)

    sure = [f for f in found if f.confidence >= SURE]
    asked = [f for f in found if ASKED <= f.confidence < SURE]
    gos = [f for f in sure if right(f) and f.id.endswith(":go")]
    errors = [(f.ends_s - night.ends_s[f.id]) * 1000 for f in gos]
    middle = float(np.median(errors)) if errors else 0.0
    return {
        "said": len(night.ends_s), "found": sum(map(right, sure)), "false": sum(not right(f) for f in sure),
        "asked about, right": sum(map(right, asked)), "asked about, wrong": sum(not right(f) for f in asked),
        "go ends, offset ms": round(middle, 1),
        "95 of 100 within ms": round(float(np.percentile(np.abs(np.array(errors) - middle), 95)), 1) if errors else None,
        "scores": [(round(f.confidence, 3), right(f)) for f in found],
    }  # fmt: skip


def main() -> None:
    """All voices with noise at 30, 15 and 10 dB, and with music at 10 dB."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true", help="one voice, noise at 15 dB, music at 10 dB")
    parser.add_argument("--songs", type=int, default=SONGS)
    given = parser.parse_args()
    quick, songs = given.quick, given.songs
    rows: dict[str, Any] = {}
    took_s = sound_s = 0.0
    for n, voice in enumerate(VOICES[:1] if quick else VOICES):
        night = Night(voice, n, songs)
        every = [(30.0, False), (15.0, False), (10.0, False), (10.0, True)]
        kinds = [(15.0, False), (10.0, True)] if quick else every
        for snr_db, with_music in kinds:
            with tempfile.TemporaryDirectory() as folder:
                path = Path(folder) / "headset.wav"
                track = night.at(snr_db, with_music, n)
                with wave.open(str(path), "wb") as file:
                    file.setnchannels(1)
                    file.setsampwidth(2)
                    file.setframerate(HZ)
                    file.writeframes((track * 32767).astype(np.int16).tobytes())
                began = time.perf_counter()
                found = listen(path, night.expected, night.departments)
                took_s += time.perf_counter() - began
                sound_s += len(track) / HZ
            row = judged(night, found)
            scores = row.pop("scores")
            name = f"{voice}, {'music' if with_music else 'noise'} {snr_db:g} dB"
            rows[name] = row
            print(json.dumps({name: row}), flush=True)
            if quick:
                print(sorted(scores))
    rows["sound a second of listening, s"] = round(sound_s / took_s, 1)
    print(rows["sound a second of listening, s"])
    if not quick:
        from results import keep

        keep("said", {"what": f"the first {songs} items of the sample as espeak-ng speaks them", **rows})


if __name__ == "__main__":
    main()
