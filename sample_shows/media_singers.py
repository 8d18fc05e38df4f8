"""A stand-in for each camera of the sample: somebody who sings, as that camera would see her."""

from __future__ import annotations

import cv2
import numpy as np
from media_drawing import TURN, Colour, Picture, disc, glow, ground, mixed, shape, stroke

WIDE, HIGH = 960, 540


def _beams(made: Picture, at: float, colours: tuple[Colour, ...], from_y: float = -40) -> None:
    """Beams of light through haze."""
    light = np.zeros_like(made)
    for n, colour in enumerate(colours):
        foot = WIDE * (n + 0.5) / len(colours)
        lean = 0.34 * np.sin(TURN * (at + n * 0.29))
        tip = foot + HIGH * 1.3 * lean
        shape(light, [(foot - 7, from_y), (foot + 7, from_y), (tip + 96, HIGH * 1.15), (tip - 96, HIGH * 1.15)],
              mixed((0, 0, 0), colour, 0.42))  # fmt: skip
    cv2.add(made, cv2.GaussianBlur(light, (0, 0), 16), made)


def _sitting(made: Picture, light: tuple[float, float], rim: Colour, mask: Picture, body: Picture) -> None:
    """Put a figure into the picture, with a rim of light on the side that ``light`` (px) comes from."""
    soft = cv2.GaussianBlur(mask, (0, 0), 1.1).astype(np.float32)[..., None] / 255
    move = np.array([[1, 0, light[0]], [0, 1, light[1]]], np.float32)
    behind = cv2.warpAffine(mask, move, (mask.shape[1], mask.shape[0]))
    edge = cv2.GaussianBlur(cv2.subtract(mask, behind), (0, 0), 2.0).astype(np.float32)[..., None] / 255
    lit = body + edge * np.array(rim, np.float32)
    np.copyto(made, (made * (1 - soft) + lit * soft).clip(0, 255).astype(np.uint8))


def _singer(
    made: Picture,
    x: float,
    y: float,
    tall: float,
    at: float,
    rim: Colour,
    turned: float = 0.0,
    sings: int = 3,
) -> None:
    """Head and shoulders: the middle of the head, the height of the head in px; ``turned`` from −1 to 1."""
    mask, body = np.zeros(made.shape[:2], np.uint8), np.full_like(made, 12)
    sway = 0.07 * tall * np.sin(TURN * at)
    nod = 0.045 * tall * np.sin(TURN * at * 2)
    hx, hy = x + sway, y + nod
    coat, hair, skin = (34, 26, 52), (44, 28, 24), (226, 182, 152)
    shoulders = [
        (x - 1.75 * tall, y + 2.6 * tall), (x - 1.55 * tall, y + 1.35 * tall), (x - 1.1 * tall, y + 0.92 * tall),
        (hx - 0.26 * tall, hy + 0.72 * tall), (hx - 0.22 * tall, hy + 0.3 * tall), (hx + 0.22 * tall, hy + 0.3 * tall),
        (hx + 0.26 * tall, hy + 0.72 * tall), (x + 1.1 * tall, y + 0.92 * tall), (x + 1.55 * tall, y + 1.35 * tall),
        (x + 1.75 * tall, y + 2.6 * tall),
    ]  # fmt: skip
    for picture, colour in ((mask, 255), (body, coat)):
        shape(picture, shoulders, colour)
        disc(picture, x - 1.12 * tall, y + 1.3 * tall, 0.86 * tall, colour, 0.78 * tall)
        disc(picture, x + 1.12 * tall, y + 1.3 * tall, 0.86 * tall, colour, 0.78 * tall)
    shape(body, [(hx - 0.21 * tall, hy + 0.25 * tall), (hx + 0.21 * tall, hy + 0.25 * tall),
                 (hx + 0.24 * tall, hy + 0.8 * tall), (hx - 0.24 * tall, hy + 0.8 * tall)], mixed(skin, (90, 50, 60), 0.45))  # fmt: skip
    disc(mask, hx, hy - 0.02 * tall, 0.98 * tall, 255, 1.2 * tall)
    disc(body, hx, hy - 0.08 * tall, 0.98 * tall, hair, 1.14 * tall)
    fx = hx + 0.1 * tall * turned
    disc(body, fx, hy + 0.06 * tall, 0.74 * tall, skin, 0.98 * tall)
    disc(body, fx, hy - 0.36 * tall, 0.8 * tall, hair, 0.34 * tall)  # the fringe
    dark = mixed(skin, (60, 26, 30), 0.75)
    for side in (-1, 1):
        disc(
            body,
            fx + side * 0.16 * tall + 0.05 * tall * turned,
            hy - 0.02 * tall,
            0.13 * tall,
            dark,
            0.035 * tall,
        )
    wide = 0.06 + 0.055 * (1 + np.sin(TURN * at * sings))
    disc(body, fx + 0.05 * tall * turned, hy + 0.33 * tall, 0.2 * tall, (96, 26, 34), wide * tall)
    shade = np.linspace(1.12, 0.5, WIDE, dtype=np.float32)[None, :, None]
    roll = int(x - WIDE / 2)
    body = (body * np.roll(shade, roll, 1)).clip(0, 255).astype(np.uint8)
    # The hand and its microphone, in front of her mouth.
    mx, my = fx + 0.12 * tall + 0.05 * tall * turned, hy + 0.5 * tall
    for picture, arm, hand, stick, head in (
        (mask, 255, 255, 255, 255), (body, (30, 22, 46), skin, (20, 20, 22), (120, 122, 128)),
    ):  # fmt: skip
        elbow, wrist = (x + 1.15 * tall, y + 2.0 * tall), (mx + 0.36 * tall, my + 0.55 * tall)
        stroke(picture, [(x + 1.2 * tall, y + 1.25 * tall), elbow, wrist], arm, 0.34 * tall)
        stroke(picture, [(mx, my), (mx + 0.42 * tall, my + 0.66 * tall)], stick, 0.1 * tall)
        disc(picture, mx + 0.3 * tall, my + 0.46 * tall, 0.3 * tall, hand)
        disc(picture, mx, my, 0.2 * tall, head)
    _sitting(made, (0.07 * tall, 0.02 * tall), rim, mask, body)


def front(at: float) -> Picture:
    """Head and shoulders, from the pit."""
    made = ground(WIDE, HIGH, (52, 26, 74), (16, 10, 26))
    glow(made, WIDE / 2, HIGH * 0.4, 900, (120, 60, 150), 0.6)
    _beams(made, at, ((150, 90, 220), (210, 90, 160), (120, 100, 230), (200, 120, 200)))
    _singer(made, WIDE * 0.5, HIGH * 0.4, 172, at, (150, 190, 255))
    return made


def left(at: float) -> Picture:
    """The guitarist, from the wing."""
    made = ground(WIDE, HIGH, (20, 34, 62), (8, 10, 20))
    glow(made, WIDE * 0.82, HIGH * 0.1, 800, (60, 130, 210), 0.7)
    _beams(made, at, ((70, 140, 230), (60, 100, 200), (120, 200, 240)))
    rock = 9 * np.sin(TURN * at * 2)
    mask, body = np.zeros((HIGH, WIDE), np.uint8), np.full_like(made, 10)
    x, y, t = WIDE * 0.46 + rock, HIGH * 0.3 + abs(rock) * 0.6, 118.0
    strum = 26 * np.sin(TURN * at * 8)
    for picture, coat, skin, hair, wood, neck in (
        (mask, 255, 255, 255, 255, 255),
        (body, (34, 38, 52), (214, 172, 144), (26, 20, 20), (158, 62, 30), (70, 44, 30)),
    ):
        shape(picture, [(x - 150, HIGH + 30), (x - 132, y + 170), (x - 88, y + 98), (x + 74, y + 98), (x + 116, y + 180),
                        (x + 122, HIGH + 30)], coat)  # fmt: skip
        disc(picture, x, y, t * 0.86, hair, t * 1.06)
        disc(picture, x + 14, y + 8, t * 0.62, skin, t * 0.84)
        shape(picture, [(x - 6, y + 44), (x + 34, y + 44), (x + 38, y + 104), (x - 20, y + 104)], skin)
        disc(picture, x - 92, y + 300, 190, wood, 152)
        disc(picture, x + 4, y + 282, 132, wood, 112)
        stroke(picture, [(x - 60, y + 294), (x + 330, y + 186)], neck, 22)
        stroke(picture, [(x + 326, y + 188), (x + 382, y + 172)], wood, 34)
        stroke(picture, [(x + 100, y + 134), (x + 214, y + 268), (x + 246, y + 214)], coat, 44)
        disc(picture, x + 248, y + 208, 48, skin)
        stroke(picture, [(x - 118, y + 140), (x - 150, y + 262), (x - 66, y + 288 + strum)], coat, 46)
        disc(picture, x - 58, y + 290 + strum, 48, skin)
    for n in range(6):
        stroke(body, [(x - 62, y + 288 + n * 3), (x + 330, y + 180 + n * 3)], (190, 180, 160), 1)
    shade = np.linspace(0.45, 1.15, WIDE, dtype=np.float32)[None, :, None]
    _sitting(made, (-8, 2), (120, 200, 255), mask, (body * shade).clip(0, 255).astype(np.uint8))
    return made


def track(at: float) -> Picture:
    """The whole stage, the camera rolling along the pit."""
    made = ground(WIDE, HIGH, (26, 16, 40), (10, 8, 16))
    _beams(
        made,
        at,
        ((220, 120, 70), (200, 80, 110), (120, 90, 210), (80, 150, 220), (200, 120, 90), (150, 90, 200)),
    )
    roll = 60 * np.sin(TURN * at)
    shape(made, [(0, 420), (WIDE, 420), (WIDE, HIGH), (0, HIGH)], (20, 16, 24))
    for n in range(-2, 12):
        stroke(
            made,
            [(WIDE / 2 + (n - 5) * 90 + roll * 0.7, 420), (WIDE / 2 + (n - 5) * 170 + roll * 1.6, HIGH)],
            (34, 28, 40),
            2,
        )
    for n, (px, size, band) in enumerate(
        ((0.2, 0.8, True), (0.42, 1.18, False), (0.66, 0.78, True), (0.84, 0.84, True))
    ):
        x = WIDE * px - roll * size
        foot, tall = 424 + 26 * size, 250 * size
        step = 0.05 * tall * np.sin(TURN * (at * 2 + n * 0.3))
        mask, body = np.zeros((HIGH, WIDE), np.uint8), np.full_like(made, 14)
        coat = (58, 28, 44) if not band else (24, 24, 34)
        for picture, cloth, skin in ((mask, 255, 255), (body, coat, (216, 172, 144))):
            hip = (x + step * 0.5, foot - tall * 0.48)
            chest = (x + step, foot - tall * 0.76)
            for side in (-1, 1):
                stroke(
                    picture,
                    [hip, (x + side * tall * 0.1, foot - tall * 0.24), (x + side * tall * 0.13, foot)],
                    cloth,
                    tall * 0.09,
                )
                reach = -0.05 if band else (0.16 if side > 0 else -0.2 + 0.1 * np.sin(TURN * at))
                hand = (
                    chest[0] + side * tall * (0.16 if band else 0.22),
                    chest[1] + tall * (0.22 if band else 0.2) - abs(reach) * tall * 0.9,
                )
                stroke(
                    picture,
                    [
                        (chest[0] + side * tall * 0.12, chest[1]),
                        (chest[0] + side * tall * 0.2, chest[1] + tall * 0.16),
                        hand,
                    ],
                    cloth,
                    tall * 0.06,
                )
                disc(picture, *hand, tall * 0.06, skin)
            shape(picture, [(chest[0] - tall * 0.15, chest[1] - tall * 0.03), (chest[0] + tall * 0.15, chest[1] - tall * 0.03),
                            (hip[0] + tall * 0.1, hip[1] + tall * 0.04), (hip[0] - tall * 0.1, hip[1] + tall * 0.04)], cloth)  # fmt: skip
            disc(picture, chest[0], chest[1] - tall * 0.14, tall * 0.13, skin, tall * 0.16)
            if band:
                stroke(
                    picture,
                    [(x - tall * 0.16, foot - tall * 0.5), (x + tall * 0.28, foot - tall * 0.64)],
                    cloth,
                    tall * 0.05,
                )
        disc(body, x + step, foot - tall * 0.92, tall * 0.14, (40, 26, 22), tall * 0.12)
        glow(made, x, foot - 60, 330 * size, (120, 60, 70), 0.5)
        _sitting(made, (3, 2), (255, 190, 150), mask, body)
    _crowd(made, at, 512, (6, 6, 10))
    return made


def _crowd(made: Picture, at: float, y: float, ink: Colour) -> None:
    some = np.random.default_rng(2)
    for n in range(44):
        x, size = some.uniform(-10, WIDE + 10), some.uniform(24, 40)
        jump = 7 * abs(np.sin(TURN * (at * 4 + some.uniform(0, 0.12))))
        disc(made, x, y + some.uniform(0, 22) - jump, size, ink, size * 1.1)
        shape(
            made,
            [
                (x - size, HIGH + 40),
                (x - size * 0.8, y + 28 - jump),
                (x + size * 0.8, y + 28 - jump),
                (x + size, HIGH + 40),
            ],
            ink,
        )
        if n % 3 == 0:
            sway = 14 * np.sin(TURN * (at * 2 + n * 0.1))
            stroke(made, [(x + size * 0.6, y + 30), (x + size * 0.7 + sway, y - 46 - jump * 2)], ink, 9)


def crane(at: float) -> Picture:
    """From the crane's head, straight down on the stage, its light on her."""
    made = ground(WIDE, HIGH, (14, 16, 24), (20, 18, 26))
    turn = 0.22 * np.sin(TURN * at)
    middle = np.array([WIDE / 2, HIGH * 0.52])

    def turned(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
        c, s = np.cos(turn), np.sin(turn)
        return [(middle[0] + x * c - y * s, middle[1] + x * s + y * c) for x, y in points]

    shape(made, turned([(-430, -250), (430, -250), (430, 120), (90, 120), (90, 600), (-90, 600), (-90, 120), (-430, 120)]),
          (40, 36, 48))  # fmt: skip
    for n in range(-4, 5):
        stroke(made, turned([(n * 96, -250), (n * 96, 120)]), (50, 46, 60), 2)
    glow(made, middle[0], middle[1], 560, (255, 220, 150), 0.85)
    some = np.random.default_rng(6)
    for _ in range(150):
        x, y = some.uniform(-640, 640), some.uniform(150, 420)
        if abs(x) > 116:
            (hx, hy), *_ = turned([(x, y + 5 * np.sin(TURN * (at * 4 + x)))])
            disc(made, hx, hy, 24, (26, 24, 32))
            disc(made, hx, hy, 15, (60, 46, 40))
    for x, y, colour in ((-270, -120, (60, 70, 90)), (270, -110, (70, 60, 84)), (0, -190, (56, 56, 70))):
        (hx, hy), *_ = turned([(x, y)])
        disc(made, hx, hy, 118, colour, 76)
        disc(made, hx, hy, 40, (70, 50, 40))
    sway = 12 * np.sin(TURN * at * 2)
    disc(made, middle[0] + 26 + sway, middle[1] + 36, 150, (24, 20, 26), 96)  # her shadow
    disc(made, middle[0] + sway, middle[1], 132, (92, 44, 70), 74)
    stroke(
        made,
        [(middle[0] + sway + 54, middle[1] + 6), (middle[0] + sway + 34, middle[1] + 52)],
        (92, 44, 70),
        24,
    )
    stroke(
        made,
        [(middle[0] + sway - 56, middle[1] + 4), (middle[0] + sway - 112, middle[1] - 30 - sway)],
        (92, 44, 70),
        24,
    )
    disc(made, middle[0] + sway, middle[1] - 2, 54, (54, 34, 28), 60)
    return made


def buoy(at: float) -> Picture:
    """At the small stage in the crowd, lamps all around."""
    made = ground(WIDE, HIGH, (16, 14, 30), (30, 20, 26))
    some = np.random.default_rng(4)
    for n in range(120):
        x, y = some.uniform(0, WIDE), HIGH * (0.16 + 0.5 * some.uniform(0, 1))
        size = some.uniform(3, 8) * (0.5 + y / HIGH)
        light = 0.5 + 0.5 * np.sin(TURN * (at * int(some.integers(1, 3)) + n * 0.618))
        glow(made, x + 8 * np.sin(TURN * (at + n * 0.1)), y, size * 7, (255, 190, 110), 0.25 + 0.4 * light)
        disc(
            made,
            x + 8 * np.sin(TURN * (at + n * 0.1)),
            y,
            size,
            mixed((150, 110, 70), (255, 226, 170), light),
        )
    glow(made, WIDE * 0.5, HIGH * 0.42, 760, (240, 150, 80), 0.45)
    _singer(made, WIDE * 0.53, HIGH * 0.4, 138, at, (255, 196, 130), turned=-0.7, sings=2)
    _crowd(made, at, 528, (12, 8, 12))
    return made
