"""What is done to a layer, as people type it: ``tint #102A43 #FFB347, posterize 4, blur 2 %``. And back."""

import re
from typing import Any

from pydantic import ValidationError

from showcaller.model import (
    Blur,
    ColourKey,
    Contrast,
    Crop,
    LumaKey,
    Mirror,
    Monochrome,
    Posterize,
    Tint,
)

HINT = (
    "any of, in order: tint #RRGGBB #RRGGBB · posterize 4 · monochrome 60 % · contrast 1.5 · blur 2 % · "
    "mirror 3 x 2 · luma key bright 25 % soft 10 % · colour key #RRGGBB 12 % to 24 %"
)
_COLOUR = re.compile(r"#[0-9a-fA-F]{6}")
_NUMBER = re.compile(r"(?<![#\w.])(\d+(?:[.,]\d+)?)\s*(%?)")


class WordsError(ValueError):
    """Words that mean nothing here; one sentence."""


def treatments_from(text: str) -> tuple[Any, ...]:
    """The treatments that a text lists.

    Raises:
        WordsError: one of them is unknown, or a number is out of range.
    """
    return tuple(_one(part.strip()) for part in text.split(",") if part.strip() and part.strip() != "none")


def _one(text: str) -> Any:
    lower = text.lower()
    colours = _COLOUR.findall(text)
    numbers = [
        float(n.replace(",", ".")) / (100 if percent else 1)
        for n, percent in _NUMBER.findall(_COLOUR.sub(" ", text))
    ]
    try:
        if lower.startswith("tint"):
            return Tint(kind="tint", **dict(zip(("dark", "light"), colours, strict=False)))
        if lower.startswith("poster"):
            return Posterize(kind="posterize", **({"levels": int(numbers[0])} if numbers else {}))
        if lower.startswith("mono"):
            return Monochrome(kind="monochrome", **({"amount": numbers[0]} if numbers else {}))
        if lower.startswith("contrast"):
            return Contrast(kind="contrast", **dict(zip(("amount", "pivot"), numbers, strict=False)))
        if lower.startswith("blur"):
            return Blur(kind="blur", **({"radius": numbers[0]} if numbers else {}))
        if lower.startswith("mirror"):
            whole = [int(n) for n in numbers]
            return Mirror(kind="mirror", **dict(zip(("across", "down"), whole, strict=False)))
        if lower.startswith("luma"):
            keep: Any = "dark" if "dark" in lower else "bright"
            return LumaKey(kind="luma key", keep=keep, **dict(zip(("cut", "soft"), numbers, strict=False)))
        if lower.startswith(("colour key", "color key")):
            given: dict[str, Any] = dict(zip(("near", "far"), numbers, strict=False))
            return ColourKey(kind="colour key", **({"colour": colours[0]} if colours else {}), **given)
    except ValidationError as error:
        first = error.errors()[0]
        raise WordsError(f"{text}: {first['loc'][-1]} {first['msg'].lower()}") from None
    raise WordsError(f"'{text}' is no treatment; {HINT}")


def treatments_text(treatments: tuple[Any, ...]) -> str:
    """A text that :func:`treatments_from` reads back as the same."""
    return ", ".join(_said(t) for t in treatments)


def _said(treatment: Any) -> str:
    match treatment:
        case Tint():
            return f"tint {treatment.dark} {treatment.light}"
        case Posterize():
            return f"posterize {treatment.levels}"
        case Monochrome():
            return "monochrome" if treatment.amount == 1 else f"monochrome {_percent(treatment.amount)}"
        case Contrast():
            pivot = "" if treatment.pivot == 0.5 else f" around {_percent(treatment.pivot)}"
            return f"contrast {_plain(treatment.amount)}{pivot}"
        case Blur():
            return f"blur {_percent(treatment.radius)}"
        case Mirror():
            return f"mirror {treatment.across} x {treatment.down}"
        case LumaKey():
            return f"luma key {treatment.keep} {_percent(treatment.cut)} soft {_percent(treatment.soft)}"
        case _:
            return f"colour key {treatment.colour} {_percent(treatment.near)} to {_percent(treatment.far)}"


def _plain(value: float) -> str:
    return f"{value:.10g}"


def _percent(value: float) -> str:
    return f"{value * 100:.10g} %"


def crop_from(text: str) -> Crop:
    """Parts cut away: ``left 20 % right 10 %``, or ``none``.

    Raises:
        WordsError: it names no side, or a part is not 0 to below 100 %.
    """
    if text.strip().lower() in ("", "none", "0"):
        return Crop()
    sides = re.findall(r"(left|right|top|bottom)\s*(\d+(?:[.,]\d+)?)\s*%?", text.lower())
    if not sides:
        raise WordsError(
            "say what is cut away at each side: left 20 % right 10 % top 0 % bottom 5 %; or none"
        )
    try:
        return Crop(**{side: float(n.replace(",", ".")) / 100 for side, n in sides})
    except ValidationError:
        raise WordsError("each side can lose from 0 to less than 100 %") from None


def crop_text(crop: Crop) -> str:
    """A text that :func:`crop_from` reads back as the same."""
    sides = [(n, getattr(crop, n)) for n in ("left", "right", "top", "bottom")]
    return " ".join(f"{n} {_percent(v)}" for n, v in sides if v) or "none"
