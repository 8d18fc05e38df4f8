"""Make the sound of *First Light* again: ``python sample_shows/build_sound.py``; seconds.

Pad, bass, drums and a bell, reckoned from nothing at the song's own tempo, section by section; it may be
used as the rest of the repository may. Written as Opus in Ogg, one channel.
"""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import numpy.typing as npt

Sound = npt.NDArray[np.float32]
TARGET = Path(__file__).parent / "media" / "first-light.ogg"
RATE = 48_000
BPM, DOWNBEAT_S, LENGTH_S = 92, 16.0, 320.0
BEAT_S = 60 / BPM
BARS = int((LENGTH_S - DOWNBEAT_S) / BEAT_S / 4)
CHORDS = ((45, 52, 57, 60, 64), (41, 48, 57, 60, 65), (36, 48, 55, 64, 67), (43, 50, 55, 59, 62))
"""A minor, F, C, G, a bar each, as MIDI notes; the first is the bass."""
PARTS: tuple[tuple[int, frozenset[str]], ...] = (
    (1, frozenset({"pad"})), (17, frozenset({"pad", "bass", "hat"})),
    (33, frozenset({"pad", "bass", "hat", "drums", "bell"})), (49, frozenset({"pad", "bass", "hat", "kick"})),
    (65, frozenset({"pad", "bass", "hat", "drums", "bell"})), (81, frozenset({"pad", "bell"})),
    (89, frozenset({"pad", "bass", "hat", "drums", "bell"})), (105, frozenset({"pad"})),
)  # fmt: skip
"""From which bar who plays: the sections of the song."""


def _hz(note: float) -> float:
    return float(440 * 2 ** ((note - 69) / 12))


def _times(length_s: float) -> Sound:
    return np.arange(int(length_s * RATE), dtype=np.float32) / RATE


def _kick() -> Sound:
    t = _times(0.35)
    return (np.sin(2 * np.pi * (48 * t + 22 * (1 - np.exp(-t * 34)) / 4)) * np.exp(-t * 11)).astype(
        np.float32
    )


def _snare(noise: np.random.Generator) -> Sound:
    t = _times(0.22)
    hiss = noise.standard_normal(len(t)) * np.exp(-t * 24)
    return (0.5 * hiss + 0.5 * np.sin(2 * np.pi * 190 * t) * np.exp(-t * 30)).astype(np.float32)


def _hat(noise: np.random.Generator) -> Sound:
    t = _times(0.06)
    return (np.diff(noise.standard_normal(len(t) + 1)) * np.exp(-t * 80)).astype(np.float32)


def _bass(note: int) -> Sound:
    t = _times(BEAT_S * 0.9)
    tone = np.sin(2 * np.pi * _hz(note) * t) + 0.35 * np.sin(4 * np.pi * _hz(note) * t)
    return (tone * np.minimum(1, t * 200) * np.exp(-t * 2.4)).astype(np.float32)


def _bell(note: int) -> Sound:
    t = _times(1.8)
    tone = np.sin(2 * np.pi * _hz(note) * t + 1.6 * np.sin(2 * np.pi * _hz(note) * 3.5 * t) * np.exp(-t * 5))
    return (tone * np.exp(-t * 2.6)).astype(np.float32)


def _pad(notes: tuple[int, ...], length_s: float) -> Sound:
    t = _times(length_s)
    made = np.zeros_like(t)
    for note in notes:
        for apart in (-0.07, 0.05):
            hz = _hz(note + apart)
            for over, loud in ((1, 1.0), (2, 0.34), (3, 0.14)):
                made += loud * np.sin(2 * np.pi * hz * over * t + note * over)
    return (made * np.minimum(1, t / 0.6) * np.minimum(1, (length_s - t) / 0.6)).astype(np.float32)


def song() -> Sound:
    """The whole song, from −1 to 1; a drone under its first 16 s hides a late start."""
    whole = np.zeros(int(LENGTH_S * RATE), np.float32)

    def lay(sound: Sound, at_s: float, loud: float) -> None:
        start = int(at_s * RATE)
        end = min(len(whole), start + len(sound))
        whole[start:end] += loud * sound[: end - start]

    noise = np.random.default_rng(92)
    kick, snare, hat = _kick(), _snare(noise), _hat(noise)
    drone = _pad((33, 45, 52), DOWNBEAT_S + 1)
    lay(drone * np.linspace(0, 1, len(drone), dtype=np.float32), 0, 0.05)
    pads = [_pad(chord[1:], BEAT_S * 4 + 0.6) for chord in CHORDS]
    for bar in range(1, BARS + 1):
        who = next(names for start, names in reversed(PARTS) if start <= bar)
        chord, at_s = CHORDS[(bar - 1) % 4], DOWNBEAT_S + (bar - 1) * 4 * BEAT_S
        away = max(0.0, 1 - max(0, bar - 108) / 8)
        lay(pads[(bar - 1) % 4], at_s, 0.035 * away)
        for beat in range(4):
            here = at_s + beat * BEAT_S
            if "bass" in who:
                lay(_bass(chord[0] - 12 if chord[0] > 40 else chord[0]), here, 0.24)
                lay(_bass(chord[0]), here + BEAT_S / 2, 0.13)
            if "hat" in who:
                lay(hat, here, 0.05)
                lay(hat, here + BEAT_S / 2, 0.08)
            if ("drums" in who or "kick" in who) and beat in (0, 2):
                lay(kick, here, 0.6)
            if "drums" in who and beat in (1, 3):
                lay(snare, here, 0.26)
            if "bell" in who:
                lay(_bell(chord[1 + (beat * 2 + bar) % 4] + 12), here, 0.07)
    return np.tanh(whole * 1.25).astype(np.float32)


def write() -> None:
    """Code it."""
    TARGET.parent.mkdir(exist_ok=True)
    made = song()
    with av.open(str(TARGET), "w") as file:
        stream = file.add_stream("libopus", RATE, layout="mono")
        stream.bit_rate = 26_000
        stream.time_base = Fraction(1, RATE)
        for start in range(0, len(made), 960):
            part = np.zeros(960, np.float32)
            chunk = made[start : start + 960]
            part[: len(chunk)] = chunk
            frame = av.AudioFrame.from_ndarray(part[None, :], "flt", "mono")
            frame.sample_rate, frame.pts, frame.time_base = RATE, start, Fraction(1, RATE)
            file.mux(stream.encode(frame))
        file.mux(stream.encode(None))


if __name__ == "__main__":
    write()
