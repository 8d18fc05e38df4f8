"""What a wall is, in figures: pitch, viewing distance, readable text, brightness, power. For orientation.

Every fact carries its formula, where that comes from, and the caution that goes with it.
"""

from math import radians, sqrt, tan

from showcaller.model import Wall
from showcaller.screen.geometry import pixel_pitch_mm
from showcaller.values import Struct

ARC_MINUTE = radians(1 / 60)
LETTER_ARC_MIN = 5.0
"""The smallest letter that 20/20 sight reads: five details of one arc minute each (Snellen)."""
EASY_ARC_MIN = 20.0
"""A height read without effort: 20 to 22 arc minutes preferred, 16 the least (ISO 9241-303; from memory)."""
LETTER_PX = 7
"""A capital letter needs about so many pixels of height (common practice, no source)."""
LEVELS = (0.0, 0.1, 0.3, 0.5, 1.0)
"""Content levels: mean relative luminance of the picture, from black to all white."""

ELECTRIC = (
    "For orientation only. Supply, cable, protection and earthing are for a licensed electrician, by the "
    "local code and the maker's figures."
)


class Fact(Struct, frozen=True):
    """One line of the wall's facts. Where something it needs is not given ``value`` is None and ``text`` says
    what.
    """

    name: str
    value: float | None
    text: str
    formula: str
    source: str
    caution: str = ""


def viewing_distance_m(pitch_mm: float) -> float:
    """From here on a pixel is under one arc minute, so pixels are not told apart: 3.438 m for each mm."""
    return pitch_mm / 1000 / (2 * tan(ARC_MINUTE / 2))


def letter_height_m(distance_m: float, arc_minutes: float, pitch_mm: float) -> float:
    """The height of letters read at a distance, never less than the pixels that make a letter."""
    return max(2 * distance_m * tan(arc_minutes * ARC_MINUTE / 2), LETTER_PX * pitch_mm / 1000)


def contrast_ratio(white_cd_m2: float, black_cd_m2: float, ambient_cd_m2: float) -> float:
    """White to black, both with the light that the wall throws back."""
    black = black_cd_m2 + ambient_cd_m2
    return (white_cd_m2 + ambient_cd_m2) / black if black > 0 else float("inf")


def power_w(wall: Wall, level: float) -> float | None:
    """What the wall draws at a content level, 0 to 1; None without the maker's figures."""
    if wall.white_w_m2 is None:
        return None
    black = wall.black_w_m2 if wall.black_w_m2 is not None else 0.0
    return wall.width_m * wall.height_m * (black + (wall.white_w_m2 - black) * level)


def leg_current_a(watts: float, phase_v: float, power_factor: float) -> float:
    """The current in each of three evenly loaded legs: I = P / (√3 · V · pf), V between two of them."""
    return watts / (sqrt(3) * phase_v * power_factor)


def facts_of(wall: Wall, level: float | None = None) -> tuple[Fact, ...]:
    """All facts. ``level`` is the mean relative luminance of the picture that is on, if there is one."""
    pitch = pixel_pitch_mm(wall)
    area = wall.width_m * wall.height_m
    found = [
        Fact(
            "size",
            area,
            f"{wall.width_m:.2f} × {wall.height_m:.2f} m, {area:.1f} m²",
            "width × height",
            "the show",
        ),
        Fact(
            "pixel pitch",
            pitch,
            f"{pitch:.2f} mm, {wall.width_px} × {wall.height_px} px",
            "width ÷ pixels across",
            "the show",
        ),
        Fact(
            "pixels blend from",
            viewing_distance_m(pitch),
            f"{viewing_distance_m(pitch):.1f} m",
            "pitch ÷ (2 · tan ½′)",
            "acuity of 1 arc minute (Snellen 20/20): 3.438 m a mm",
            "Nearer seats see single pixels.",
        ),
        _letters(wall, pitch),
        _contrast(wall),
    ]
    at = LEVELS if level is None else (level, *LEVELS[-2:])
    return (*found, *(_power(wall, n, now=level is not None and n == level) for n in at))


def _letters(wall: Wall, pitch: float) -> Fact:
    formula = "height = 2 · distance · tan(½ · 5′), at least 7 px"
    source = "5 arc minutes (Snellen); 20′ with ease (ISO 9241-303)"
    if wall.back_row_m is None:
        return Fact("smallest text", None, "give the distance of the back row, m", formula, source)
    least = letter_height_m(wall.back_row_m, LETTER_ARC_MIN, pitch)
    easy = letter_height_m(wall.back_row_m, EASY_ARC_MIN, pitch)
    words = f"{least:.2f} m at {wall.back_row_m:g} m, {easy:.2f} m with ease"
    return Fact("smallest text", least, words, formula, source, "Worn eyes and moving text need more.")


def _contrast(wall: Wall) -> Fact:
    formula, source = (
        "(white + ambient) ÷ (black + ambient)",
        "luminance ratio; relative luminance by ITU-R BT.709",
    )
    if wall.white_cd_m2 is None:
        return Fact("contrast", None, "give the wall's peak white, cd/m²", formula, source)
    ratio = contrast_ratio(wall.white_cd_m2, wall.black_cd_m2, wall.ambient_cd_m2)
    said = f"{ratio:.0f} : 1" if ratio < 1e6 else "no ambient light given"
    caution = "Flashes can harm: above three a second, warn the audience (ITU-R BT.1702)."
    return Fact("contrast", ratio, f"{said}, white {wall.white_cd_m2:g} cd/m²", formula, source, caution)


def _power(wall: Wall, level: float, now: bool) -> Fact:
    name = f"power now, {level * 100:.0f} %" if now else f"power at {level * 100:.0f} % white"
    formula = "P = area × (black + (white − black) · level); I = P ÷ (√3 · V · pf)"
    source = "the maker's W/m²; three-phase power, evenly loaded"
    watts = power_w(wall, level)
    if watts is None:
        return Fact(name, None, "give the wall's power at full white, W/m²", formula, source, ELECTRIC)
    current = leg_current_a(watts, wall.phase_v, wall.power_factor)
    words = f"{watts / 1000:.1f} kW, {current:.0f} A a leg at {wall.phase_v:g} V"
    return Fact(name, watts, words, formula, source, ELECTRIC)
