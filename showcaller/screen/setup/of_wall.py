"""The wall's own numbers, each as it is typed. Pure."""

import re
from collections.abc import Callable
from typing import Any

from showcaller.editing import ChangeError
from showcaller.model import Show, Wall
from showcaller.screen.measures import Unit, length_text, lengths, size_text
from showcaller.values import Struct

PAIR = r"(\d+)\s*[x×]\s*(\d+)"
SIZE = (("width", 0.01, 1000.0), ("height", 0.01, 1000.0))
SIZE_EXAMPLE = "width x height: 42 x 10.5 m, or 172 ft x 62 ft"
MOST_PX = 100_000


def named(what: str, text: str, hint: str) -> tuple[str, str]:
    """What stands before the colon of a line and what behind it.

    Raises:
        ChangeError: no name or no colon; ``what`` and ``hint`` say what the line is and what may be typed.
    """
    name, colon, rest = (p.strip() for p in text.partition(":"))
    if not text.strip():
        raise ChangeError(f"{what}: type {hint}")
    if not name or not colon:
        missing = (
            f"a colon is missing after the name in '{name[:40]}'" if name else "a name is missing before ':'"
        )
        raise ChangeError(f"{what}: {missing}; type {hint}")
    return name, rest


class WallField(Struct, frozen=True):
    """A number of the wall: how it is shown in a unit, and the fields that a typed text means."""

    key: str
    label: str
    hint: str
    text: Callable[[Wall, Unit], str]
    typed: Callable[[str, Show, Wall], dict[str, Any]]


def _number(text: str, what: str, low: float, high: float) -> float:
    found = re.fullmatch(r"\s*(\d+(?:[.,]\d+)?)\s*[^\d]*", text)
    value = float(found[1].replace(",", ".")) if found else -1.0
    if not low <= value <= high:
        raise ChangeError(f"{what}: type {low:g} to {high:g}; not '{text.strip()[:30]}'")
    return value


def _channels(text: str, show: Show, wall: Wall) -> dict[str, Any]:
    """How many of its own; whose they are is typed into another line."""
    if wall.pool is not None:
        pool = next((p.name for p in show.pools if p.id == wall.pool), wall.pool)
        raise ChangeError(
            f"processing channels: {wall.name} takes them from {pool}; type 'its own' into its line "
            "'channels' "
            "first, or change the pool's count under SURFACES"
        )
    if re.fullmatch(r"\s*\d+\s*(channels?)?\s*", text) is None:
        where = (
            "to share a pool, type its name into the line 'channels'"
            if show.pools
            else "to share them, make a pool under SURFACES"
        )
        raise ChangeError(f"processing channels: type 0 to 512; not '{text.strip()[:30]}'; {where}")
    return {"channels": round(_number(text, "processing channels", 0, 512))}


def _numeric(key: str, label: str, unit: str, name: str, low: float, high: float) -> WallField:
    def text(wall: Wall, _unit: Unit) -> str:
        value = getattr(wall, name)
        return "" if value is None else f"{value:g} {unit}".strip()

    def typed(given: str, _show: Show, _wall: Wall) -> dict[str, Any]:
        if not given.strip() and Wall.model_fields[name].default is None:
            return {name: None}
        return {name: _number(given, f"{label}{f', {unit}' if unit else ''}", low, high)}

    return WallField(key, label, f"{low:g} to {high:g} {unit}".strip(), text, typed)


def _size(text: str, show: Show, _wall: Wall) -> dict[str, Any]:
    wide, high = lengths(text, show.lengths, "size", SIZE, SIZE_EXAMPLE)
    return {"width_m": wide, "height_m": high}


def _pixels(text: str, what: str, example: str) -> tuple[int, int]:
    found = re.fullmatch(rf"\s*{PAIR}\s*(?:px)?\s*", text)
    if found is None:
        raise ChangeError(f"{what}: type {example}; not '{text.strip()[:30]}'")
    return in_px(what, int(found[1]), int(found[2]))


def in_px(what: str, wide: int, high: int) -> tuple[int, int]:
    """A width and a height in px, where there can be so many.

    Raises:
        ChangeError: there cannot.
    """
    for name, value in (("width", wide), ("height", high)):
        if not 1 <= value <= MOST_PX:
            raise ChangeError(f"{what}: {name} is 1 to {MOST_PX} px; not {value}")
    return wide, high


def _grid(text: str, _show: Show, wall: Wall) -> dict[str, Any]:
    """Other pixels: the inputs keep their shares of the wall."""
    wide, high = _pixels(text, "pixels", "width x height in px, such as 3500 x 875")
    across, down = wide / wall.width_px, high / wall.height_px
    inputs = []
    for one in wall.inputs:
        x0, x1 = round(one.x_px * across), round((one.x_px + one.width_px) * across)
        y0, y1 = round(one.y_px * down), round((one.y_px + one.height_px) * down)
        part = one.model_dump(mode="json", exclude_defaults=True)
        inputs.append(
            {**part, "x_px": x0, "y_px": y0, "width_px": max(1, x1 - x0), "height_px": max(1, y1 - y0)}
        )
    return {"width_px": wide, "height_px": high, "inputs": inputs}


def _back_row(text: str, show: Show, _wall: Wall) -> dict[str, Any]:
    if not text.strip():
        return {"back_row_m": None}
    within = (("the distance", 0.1, 1000.0),)
    return {"back_row_m": lengths(text, show.lengths, "last row, from the wall", within)[0]}


def _panel(text: str, _show: Show, wall: Wall) -> dict[str, Any]:
    wide, high = _pixels(text, "panel", "width x height of one panel in px, such as 125 x 125")
    if wide > wall.width_px or high > wall.height_px:
        raise ChangeError(
            f"panel: one of {wide} × {high} px is larger than {wall.name}, {wall.width_px} × "
            f"{wall.height_px} px"
        )
    return {"panel_px": [wide, high]}


WALL_FIELDS = (
    WallField("size", "size", "width x height: 42 x 10.5 m, or 172 ft x 62 ft",
               lambda w, unit: size_text(w.width_m, w.height_m, unit), _size),
    WallField("pixels", "pixels", "width x height: 3500 x 875; the inputs keep their shares",
               lambda w, _: f"{w.width_px} × {w.height_px} px", _grid),
    WallField("panels", "panel", "width x height of one panel in px: 125 x 125",
               lambda w, _: f"{w.panel_px[0]} × {w.panel_px[1]} px",
               _panel),
    WallField("channels", "processing channels", "0 to 512 of its own",
               lambda w, _: str(w.channels), _channels),
    WallField("back_row", "last row, from the wall", "how far away the last seats are: 96 m, 315 ft",
               lambda w, unit: "" if w.back_row_m is None
               else length_text(w.back_row_m, unit) + " m" * (unit == "m"),
               _back_row),
    _numeric("white", "peak white", "cd/m²", "white_cd_m2", 1, 100_000),
    _numeric("black", "black", "cd/m²", "black_cd_m2", 0, 10_000),
    _numeric("ambient", "light it throws back", "cd/m²", "ambient_cd_m2", 0, 10_000),
    _numeric("black_w", "power drawn black", "W/m²", "black_w_m2", 0, 10_000),
    _numeric("white_w", "power drawn at full white", "W/m²", "white_w_m2", 1, 10_000),
    _numeric("volts", "between two phases", "V", "phase_v", 50, 1000),
    _numeric("factor", "power factor", "", "power_factor", 0.2, 1),
)  # fmt: skip
