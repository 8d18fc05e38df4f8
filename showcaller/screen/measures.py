"""Lengths as people type and read them: metres, or feet and inches. Pure.

The foot is 0.3048 m and the inch 0.0254 m exactly (NIST Special Publication 811, appendix B.8).
"""

import re
from collections.abc import Sequence
from typing import Literal

Unit = Literal["m", "ft"]
"""What a show prefers."""

FOOT_M, INCH_M = 0.3048, 0.0254
EXAMPLES = "such as 8.5 m, 172 ft, 8'6\""
_IN_METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": FOOT_M, "in": INCH_M}
_UNITS = {
    "feet": "ft", "foot": "ft", "ft": "ft", "'": "ft", "′": "ft", "’": "ft",
    "inches": "in", "inch": "in", "in": "in", "''": "in", '"': "in", "″": "in", "”": "in",
    "mm": "mm", "cm": "cm", "metres": "m", "metre": "m", "meters": "m", "meter": "m", "m": "m",
}  # fmt: skip
_WORDS = "|".join(sorted(map(re.escape, _UNITS), key=len, reverse=True))
_PART = re.compile(
    rf"([-−+]?)(\d+(?:\.\d+)?|\.\d+)(?:\s+(\d+)/(\d+)(?=\s*(?:{_WORDS})))?\s*({_WORDS})?", re.IGNORECASE
)
_BETWEEN = re.compile(r"(?:\s|[,;×x]|by)*", re.IGNORECASE)


class MeasureError(ValueError):
    """What was typed is no length; one sentence."""


def lengths(text: str, unit: Unit, what: str, counts: Sequence[int]) -> list[float]:
    """The lengths typed, in metres to a tenth of a millimetre; a number without a unit has that of the next
    one, or the show's.

    Args:
        what: what is asked for, to say so.
        counts: how many there may be.

    Raises:
        MeasureError: it means nothing, or something else was asked for.
    """
    cleaned = re.sub(r"(\d),(?=\d)", r"\1.", text.split("(", maxsplit=1)[0].strip())
    parts: list[tuple[float, str | None]] = []
    end, wrong = 0, ""
    for found in _PART.finditer(cleaned):
        between = cleaned[end : found.start()]
        wrong = wrong or ("" if _BETWEEN.fullmatch(between) else between.strip())
        sign, number, above, below, word = found.groups()
        if below == "0" * len(below or "x"):
            wrong = wrong or f"/{below}"
            continue
        value = float(number) + (int(above) / int(below) if above else 0.0)
        kind = _UNITS[word.lower()] if word else None
        feet = bool(parts) and parts[-1][1] == "ft"
        if feet and (
            (kind == "in" and not between.strip())
            or (kind is None and not between and cleaned[end - 1] in "'′’")
        ):
            was = parts[-1][0]
            parts[-1] = (was + (-value if was < 0 else value) * INCH_M / FOOT_M, "ft+")
        else:
            parts.append((-value if sign in ("-", "−") and sign else value, kind))
        end = found.end()
    wrong = wrong or cleaned[end:].strip()
    if wrong or len(parts) not in counts:
        raise MeasureError(f"type {what}, {EXAMPLES}; not '{text.strip()[:40]}'")
    found_m: list[float] = []
    after: str = unit
    for value, kind in reversed(parts):
        after = (kind or after).rstrip("+")
        found_m.append(round(value * _IN_METRES[after], 4))
    return found_m[::-1]


def length_text(metres: float, unit: Unit) -> str:
    """A length as the show prefers it, as it can be typed again: ``8.5``, or ``8'6"``."""
    if unit == "m":
        text = f"{metres:.3f}"
        return text[:-1] if text.endswith("0") else text
    inches = round(abs(metres) / INCH_M, 2)
    feet, rest = divmod(inches, 12)
    small = f"{rest:.2f}".rstrip("0").rstrip(".")
    sign = "-" if metres < 0 and inches else ""
    if not feet:
        return f'{sign}{small}"'
    return f"{sign}{feet:.0f}'" + (f'{small}"' if rest else "")


def size_text(width_m: float, height_m: float, unit: Unit) -> str:
    """``8.50 × 5.10 m``, ``172' × 62'``."""
    return f"{length_text(width_m, unit)} × {length_text(height_m, unit)}" + (" m" if unit == "m" else "")


def place_text(left_m: float, bottom_m: float, unit: Unit) -> str:
    """``25.95, 2.42 m``."""
    return f"{length_text(left_m, unit)}, {length_text(bottom_m, unit)}" + (" m" if unit == "m" else "")
