"""The theme's colours for Qt, by name."""

from functools import lru_cache

from showcaller.desk.qt import QColor
from showcaller.desk.theme import theme


@lru_cache(maxsize=64)
def colour(name: str) -> QColor:
    """A colour by its name in the theme, or as ``#RRGGBB``."""
    return QColor(name if name.startswith("#") else theme().colours[name])


def forget_colours() -> None:
    """Another theme is in use."""
    colour.cache_clear()
