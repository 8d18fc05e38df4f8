"""Colours and sizes, read from ``resources/theme``; contrast by the WCAG formula."""

import json
from functools import lru_cache

from showcaller.resources import resource
from showcaller.values import Struct


class Theme(Struct, frozen=True):
    """Colours as ``#RRGGBB`` by name, department hues, type sizes in px at 1920×1080."""

    colours: dict[str, str]
    hues: dict[str, str]
    sizes: dict[str, int]

    def __getattr__(self, name: str) -> str:
        try:
            return str(self.colours[name])
        except KeyError:
            raise AttributeError(name) from None


USUAL, NIGHT = "dark", "night"
_chosen = [USUAL]


def theme_name() -> str:
    """Which theme is in use."""
    return _chosen[0]


def choose_theme(name: str) -> None:
    """Use another theme from now on; who has drawn draws again."""
    _chosen[0] = name


def theme() -> Theme:
    """The desk's theme."""
    return read_theme(_chosen[0])


@lru_cache
def read_theme(name: str) -> Theme:
    """A theme by its name."""
    data = json.loads(resource("theme", f"{name}.json").read_text(encoding="utf-8"))
    return Theme({k: v for k, v in data.items() if isinstance(v, str)}, data["hue"], data["size"])


def luminance(colour: str) -> float:
    """Relative luminance of ``#RRGGBB``, 0 to 1 (WCAG 2.x, from the sRGB transfer curve)."""
    channels = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two colours, 1 to 21 (WCAG 2.x)."""
    dark, light = sorted((luminance(first), luminance(second)))
    return (light + 0.05) / (dark + 0.05)
