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


_SHAPES = {
    "tint": (r"tint(\s+C\s+C)?", "tint #RRGGBB #RRGGBB, what is dark and what is light"),
    "poster": (r"posteri[sz]e(\s+N)?", "posterize 2 to 64"),
    "mono": (r"monochrome(\s+N\s*%)?", "monochrome 0 to 100 %"),
    "contrast": (r"contrast(\s+N)?(\s+around\s+N\s*%)?", "contrast 1.5 around 50 %"),
    "blur": (r"blur(\s+N\s*%)?", "blur 0 to 20 %"),
    "mirror": (r"mirror(\s+N\s*[x×]\s*N)?", "mirror 3 x 2"),
    "luma": (r"luma key(\s+(bright|dark))?(\s+N\s*%)?(\s+soft\s+N\s*%)?", "luma key bright 25 % soft 10 %"),
    "colour key": (r"colou?r key(\s+C)?(\s+N\s*%)?(\s+to\s+N\s*%)?", "colour key #RRGGBB 12 % to 24 %"),
}
"""What each begins with → how it may be typed (C: a colour, N: a number), and how that is said."""


def _shaped(lower: str) -> None:
    """Whether all of a treatment's words mean something.

    Raises:
        WordsError: not.
    """
    for begins, (shape, said) in _SHAPES.items():
        if lower.startswith((begins, begins.replace("colour", "color"))):
            pattern = shape.replace("C", _COLOUR.pattern).replace("N", r"\d+(?:[.,]\d+)?")
            if re.fullmatch(pattern, lower) is None:
                raise WordsError(f"treatment: type {said}; not '{lower[:40]}'")


def _one(text: str) -> Any:
    lower = text.lower()
    _shaped(lower)
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
        first, said = error.errors()[0], next(s for b, (_, s) in _SHAPES.items() if lower.startswith(b[:5]))
        why = first["msg"].lower().replace("input should be ", "")
        raise WordsError(f"treatment '{text[:40]}': {first['loc'][-1]} is to be {why}; type {said}") from None
    raise WordsError(f"treatment: '{text[:30]}' is none; {HINT}")


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
    one = r"(left|right|top|bottom)\s*(\d+(?:[.,]\d+)?)\s*%?"
    rest = re.sub(rf"{one}[,;\s]*", "", text.lower()).strip()
    if rest:
        raise WordsError(
            f"crop: type left 20 % right 10 % top 0 % bottom 5 %, any of them, or none; not '{rest[:30]}'"
        )
    cut = {side: float(n.replace(",", ".")) for side, n in re.findall(one, text.lower())}
    for side, percent in cut.items():
        if percent >= 100:
            raise WordsError(f"crop: {side} is 0 to less than 100 %; not {percent:g} %")
    for a, b in (("left", "right"), ("top", "bottom")):
        if cut.get(a, 0) + cut.get(b, 0) >= 100:
            raise WordsError(f"crop: {a} and {b} together cut away all of it; keep them under 100 %")
    return Crop(**{side: percent / 100 for side, percent in cut.items()})


def crop_text(crop: Crop) -> str:
    """A text that :func:`crop_from` reads back as the same."""
    sides = [(n, getattr(crop, n)) for n in ("left", "right", "top", "bottom")]
    return " ".join(f"{n} {_percent(v)}" for n, v in sides if v) or "none"
