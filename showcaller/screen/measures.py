"""Lengths as people type and read them: metres, or feet and inches. Pure.

The foot is 0.3048 m and the inch 0.0254 m exactly (NIST Special Publication 811, appendix B.8).
"""

import re
from collections.abc import Sequence
from typing import Literal

Unit = Literal["m", "ft"]
"""What a show prefers."""

FOOT_M, INCH_M = 0.3048, 0.0254
EXAMPLE = "8.5 m, 172 ft or 8'6\""
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


Range = tuple[str, float, float]
"""What a length is called, the least and the most it may be, m."""


def lengths(
    text: str,
    unit: Unit,
    what: str,
    within: Sequence[Range],
    example: str = EXAMPLE,
    least: int | None = None,
) -> list[float]:
    """The lengths typed, in metres to a tenth of a millimetre; a number without a unit has that of the next
    one, or the show's.

    Args:
        what: the field, to say so.
        within: what is asked for, in this order.
        example: what may be typed.
        least: how many will do, if not all are needed.

    Raises:
        MeasureError: it means nothing, or something else was asked for; a sentence with the field, the part
            that is wrong and what would do.
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
    wrong = wrong.strip(" ,;×x") or wrong
    if parts and wrong:
        raise MeasureError(f"{what}: '{wrong[:30]}' is no length; type {example}")
    if wrong or not parts:
        raise MeasureError(f"{what}: type {example}; not '{text.strip()[:40]}'")
    if not (least or len(within)) <= len(parts) <= len(within):
        missing = [name for name, _, _ in within[len(parts) :]]
        why = f"{' and '.join(missing)} missing" if missing else f"{len(parts)} lengths are too many"
        raise MeasureError(f"{what}: {why}; type {example}; not '{text.strip()[:40]}'")
    found_m: list[float] = []
    after: str = unit
    for value, kind in reversed(parts):
        after = (kind or after).rstrip("+")
        found_m.append(round(value * _IN_METRES[after], 4))
    for metres, (name, low, high) in zip(found_m[::-1], within, strict=False):
        if not low <= metres <= high:
            least_, most, given = (_short(x, unit) for x in (low, high, metres))
            raise MeasureError(f"{what}: {name} is {least_} to {most}; not {given}")
    return found_m[::-1]


def _short(metres: float, unit: Unit) -> str:
    return f"{metres:g} m" if unit == "m" else length_text(metres, unit)


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
