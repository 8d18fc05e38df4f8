"""The sample's pictures for the whole wall: harbour, tide, lamps, ropes, gulls, crane, fires, letters, names."""

from __future__ import annotations

from functools import lru_cache

import cv2
import numpy as np
from media_drawing import TURN, Picture, disc, glow, ground, mixed, shape, stroke, wave
from media_hand import Line, written

WIDE, HIGH = 3500, 875
BOATS = (
    "Marigold", "Ebb and Flow", "Second Wind", "Little Auk", "Salt Sister", "Northern Slip", "Good Ballast",
    "Lantern Jack", "Half Tide Rock", "Ropewalk", "Kittiwake", "Patience II", "Old Bollard", "Sound of Hulls",
)  # fmt: skip


def tide(at: float) -> Picture:
    """Bands of water, the nearest the brightest."""
    made = ground(WIDE, HIGH, (8, 20, 44), (10, 40, 76))
    x = np.linspace(0, 1, 176)
    for n in range(12):
        near = n / 11
        high = 16 + 30 * near
        y = HIGH * (0.16 + 0.075 * n) + wave(
            x, at, (high, 2.2 - near, 1 if n % 2 else -1, n * 1.7), (high * 0.45, 5.1, 2, n * 0.9)
        ) + 14 * np.sin(TURN * at + n * 0.5)  # fmt: skip
        colour = mixed((11, 52, 98), (70, 178, 214), near)
        shape(made, [*zip(x * WIDE, y, strict=True), (WIDE, HIGH), (0, HIGH)], colour)
        stroke(made, np.stack([x * WIDE, y], -1), mixed(colour, (220, 245, 250), 0.28), 2 + 2 * near)
    return made


def harbour(at: float) -> Picture:
    """Dawn behind masts and quays; light on the water."""
    horizon = int(HIGH * 0.62)
    made = ground(WIDE, HIGH, (22, 24, 58), (210, 128, 92))
    sun = WIDE * 0.63
    disc(made, sun, horizon - 40, 190, (255, 214, 150))
    made[horizon:] = ground(WIDE, HIGH - horizon, (120, 74, 84), (16, 20, 46))
    glow(made, sun, horizon, 1500, (150, 84, 40), 0.7)
    far = np.random.default_rng(5)
    x = 0.0
    while x < WIDE:  # roofs of the far quay
        wide, high = far.uniform(60, 210), far.uniform(14, 58)
        shape(made, [(x, horizon), (x, horizon - high), (x + wide, horizon - high), (x + wide, horizon)],
              (46, 34, 62))  # fmt: skip
        x += wide + far.uniform(0, 46)
    for n in range(150):  # light on the water, breathing
        depth = far.uniform(0.02, 1) ** 1.5
        y = horizon + 8 + depth * (HIGH - horizon - 16)
        spread = 70 + 620 * depth
        px = sun + far.normal(0, 1) * spread
        long = (20 + 130 * depth) * (0.55 + 0.45 * np.sin(TURN * (at * far.integers(1, 4) + n * 0.137)))
        if long > 4:
            bright = mixed((190, 110, 84), (255, 206, 150), np.exp(-(((px - sun) / (spread + 1)) ** 2)))
            stroke(made, [(px - long / 2, y), (px + long / 2, y)], bright, 2 + 5 * depth)
    for n, place in enumerate((0.06, 0.13, 0.2, 0.29, 0.37, 0.47, 0.78, 0.86, 0.93)):
        lean = 0.02 * np.sin(TURN * (at + n * 0.21))
        foot_x, foot_y, mast = WIDE * place, HIGH * 0.76 + 18 * (n % 3), 270 + 60 * (n % 4)
        top = foot_x + mast * lean
        hull, ink = 96 + 26 * (n % 3), (18, 16, 34)
        shape(made, [(foot_x - hull, foot_y), (foot_x + hull * 1.15, foot_y), (foot_x + hull * 0.8, foot_y + 44),
                     (foot_x - hull * 0.8, foot_y + 44)], ink)  # fmt: skip
        stroke(made, [(foot_x, foot_y), (top, foot_y - mast)], ink, 7)
        stroke(made, [(foot_x - hull * 0.9, foot_y), (top, foot_y - mast), (foot_x + hull, foot_y)], ink, 2)
        stroke(made, [(foot_x, foot_y - 40), (foot_x + hull, foot_y - 54)], ink, 5)
    return made


def lamps(at: float) -> Picture:
    """Lamps on a quay at night; each breathes in its own time."""
    made = ground(WIDE, HIGH, (18, 10, 12), (30, 16, 14))
    some = np.random.default_rng(11)
    for n in range(46):
        x, y = some.uniform(0, WIDE), HIGH * some.uniform(0.08, 0.92)
        size, turns = some.uniform(0.4, 1.5) ** 1.3, int(some.integers(1, 3))
        x += 26 * np.sin(TURN * (at + n * 0.31)) * size
        light = 0.55 + 0.45 * np.sin(TURN * (at * turns + n * 0.618))
        glow(made, x, y, 330 * size, (255, 168, 70), 0.28 + 0.4 * light)
        disc(made, x, y, 40 * size, mixed((200, 120, 50), (255, 232, 178), light))
    return made


def ropes(at: float) -> Picture:
    """Ropes that hang and swing, drawn strand by strand."""
    wide = WIDE // 2
    made = ground(wide, HIGH, (22, 17, 14), (30, 23, 18))
    y = np.linspace(-20, HIGH + 20, 60)
    for n in range(17):
        far = (n * 7 % 17) / 16
        swing = (18 + 44 * far) * np.sin(TURN * (y / HIGH * (0.55 + 0.5 * far) + at + n * 0.23))
        x = wide * (n + 0.5) / 17 + swing
        colour = mixed((92, 66, 40), (214, 168, 104), far)
        stroke(made, np.stack([x, y], -1), colour, 12 + 20 * far)
        for m in range(30):  # the lay of the strands
            at_y = (m + 0.5 + at * 2 * (1 if n % 2 else -1)) * HIGH / 28
            at_x = np.interp(at_y, y, x)
            r = 5 + 9 * far
            stroke(
                made,
                [(at_x - r, at_y + r * 0.7), (at_x + r, at_y - r * 0.7)],
                mixed(colour, (30, 20, 12), 0.5),
                3,
            )
    return made


def gulls(at: float) -> Picture:
    """Gulls over slate water, two strokes each."""
    made = ground(WIDE, HIGH, (44, 58, 70), (62, 80, 92))
    some = np.random.default_rng(3)
    for _ in range(64):
        size, turns = some.uniform(0.35, 1.25), int(some.integers(5, 9))
        x = (some.uniform(0, 1) + at * (1 if size > 0.8 else 0) + 0.03 * np.sin(TURN * at + size * 9)) % 1.0
        y = some.uniform(0.06, 0.92) + 0.025 * np.sin(TURN * (at * 2 + size * 5))
        flap = np.sin(TURN * (at * turns + size * 7))
        cx, cy, span = x * (WIDE + 240) - 120, y * HIGH, 96 * size
        lift = span * (0.16 + 0.3 * flap)
        wing = np.linspace(0, 1, 9)
        left = np.stack([cx - span * wing, cy - lift * np.sin(wing * 2.4)], -1)[::-1]
        right = np.stack([cx + span * wing, cy - lift * np.sin(wing * 2.4)], -1)[1:]
        stroke(
            made,
            np.concatenate([left, right]),
            mixed((150, 166, 176), (255, 255, 252), size / 1.25),
            3 + 6 * size,
        )
    return made


def crane(at: float) -> Picture:
    """A harbour crane drawn in yellow; its load swings across the wall."""
    made = ground(WIDE, HIGH, (20, 30, 38), (32, 46, 54))
    for y in range(70, HIGH, 70):
        stroke(made, [(0, y), (WIDE, y)], (38, 54, 62), 2)
    foot, head, ink = np.array([620.0, 860.0]), np.array([940.0, 150.0]), (240, 206, 60)
    slew = np.sin(TURN * at)
    tip = np.array([2640 + 190 * slew, 210 + 36 * np.cos(TURN * at)])
    back = head + (head - tip) * 0.26
    stroke(made, [foot, head], ink, 20)
    stroke(made, [foot + (330, 0), head], ink, 20)
    for n in range(7):
        a = foot + (head - foot) * n / 7
        b = foot + (330, 0) + (head - foot - (330, 0)) * (n + 1) / 7
        stroke(made, [a, b], ink, 7)
    stroke(made, [back, tip], ink, 22)
    stroke(made, [back + (0, 50), head + (0, 80), tip], ink, 8)
    for n in range(22):
        low = head + (0, 80) + (tip - head - (0, 80)) * n / 22
        high = head + (tip - head) * (n + 0.5) / 22
        next_low = head + (0, 80) + (tip - head - (0, 80)) * (n + 1) / 22
        stroke(made, [low, high, next_low], ink, 5)
    shape(made, [back + (-70, 10), back + (60, 10), back + (60, 130), back + (-70, 130)], (150, 126, 40))
    trolley = head + (tip - head) * (0.72 + 0.16 * np.sin(TURN * at + 0.9))
    long, swing = 330 + 90 * np.sin(TURN * at + 2.2), 0.12 * np.sin(TURN * at * 2 + 0.4)
    load = trolley + (long * np.sin(swing), long * np.cos(swing))
    stroke(made, [trolley, load], (220, 220, 210), 5)
    glow(made, load[0], load[1] + 46, 520, (255, 150, 40), 0.5)
    shape(made, [load + (-66, 0), load + (66, 0), load + (66, 88), load + (-66, 88)], (232, 150, 30))
    return made


def fires(at: float) -> Picture:
    """Signal fires along a shore."""
    made = ground(WIDE, HIGH, (12, 6, 10), (46, 14, 10))
    some = np.random.default_rng(8)
    shape(made, [(0, HIGH), (0, 800), *((x, 800 - 26 * np.sin(x / 290)) for x in range(0, WIDE + 60, 60)), (WIDE, HIGH)],
          (10, 6, 8))  # fmt: skip
    for n in range(13):
        x, size, turns = WIDE * (n + 0.5 + some.uniform(-0.3, 0.3)) / 13, some.uniform(0.45, 1.25), 4 + n % 4
        foot = 806 - 26 * np.sin(x / 290)
        glow(
            made,
            x,
            foot - 150 * size,
            760 * size,
            (255, 92, 20),
            0.34 + 0.06 * np.sin(TURN * (at * turns + n)),
        )
        for m, (colour, tall, wide) in enumerate((
            ((196, 48, 16), 1.0, 1.0), ((240, 112, 28), 0.74, 0.72), ((255, 190, 84), 0.46, 0.46),
        )):  # fmt: skip
            high = 430 * size * tall * (1 + 0.13 * np.sin(TURN * (at * turns + n * 0.37 + m * 0.21)))
            lean = 34 * size * np.sin(TURN * (at * (turns - 1) + n * 0.53 + m * 0.1))
            up = np.linspace(0, 1, 14)
            body = 74 * size * wide * (1 - up) ** 0.7 * (0.55 + up) * 1.5
            shake = lean * up**1.6 + 12 * size * np.sin(TURN * (up * 1.4 - at * turns)) * up
            left = np.stack([x - body + shake, foot - high * up], -1)
            right = np.stack([x + body + shake, foot - high * up], -1)[::-1]
            shape(made, np.concatenate([left, right]), colour)
        for m in range(5):  # sparks
            rise = (at * (1 + m % 2) + some.uniform(0, 1)) % 1
            sx = x + 90 * size * np.sin(TURN * (rise + some.uniform(0, 1)))
            disc(
                made,
                sx,
                foot - 700 * size * rise,
                9 * (1 - rise) + 2,
                mixed((255, 190, 90), (90, 20, 10), rise),
            )
    return made


_LINES = ("salt on a letter", "the tide has read it", "come home to the lanterns")


@lru_cache(maxsize=1)
def _pen() -> list[Line]:
    return [s for n, words in enumerate(_LINES) for s in written(words, 150 + 190 * n, 262 + 262 * n, 96)]


def letters(at: float) -> Picture:
    """A letter written by hand, line after line, and washed away."""
    made = ground(WIDE, HIGH, (30, 32, 40), (16, 18, 24))
    for n in range(1, 4):  # the paper's lines
        stroke(made, [(120, 12 + n * 262), (WIDE - 120, 12 + n * 262)], (40, 44, 54), 2)
    strokes = _pen()
    left = (at * 1.3 - 0.05) * sum(len(s) for s in strokes)
    gone = min(1.0, max(0.0, (at - 0.88) / 0.12))
    ink = mixed((248, 236, 206), (23, 25, 32), gone)
    for line in strokes:
        if left < 2:
            break
        stroke(made, line[: int(left)], ink, 13)
        left -= len(line)
    return made


def names(at: float) -> Picture:
    """The boats' names, rolling up."""
    wide, high = 1920, 1080
    made = ground(wide, high, (10, 16, 24), (12, 24, 36))
    step = high / 5
    rolled = at * step * len(BOATS)
    for n in range(-1, 7):
        number = n + int(rolled // step)
        y = (n + 0.6) * step - rolled % step
        near = max(0.0, 1 - abs(y - high * 0.52) / (high * 0.52))
        words, face = BOATS[number % len(BOATS)], cv2.FONT_HERSHEY_TRIPLEX
        (long, _), _ = cv2.getTextSize(words, face, 3.6, 6)
        colour = mixed((12, 22, 32), (236, 226, 196), near**0.8)
        cv2.putText(made, words, ((wide - long) // 2, round(y)), face, 3.6, colour, 6, cv2.LINE_AA)
    return made
