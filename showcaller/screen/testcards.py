"""Test pictures of a wall at its own pixels: grid, ramp, levels, colours, a moving bar, circles.

Pictures are (height, width, 3) arrays, blue, green, red.
"""

import re
from functools import lru_cache
from itertools import product

import cv2
import numpy as np

from showcaller.model import Show, Wall
from showcaller.screen.compose.pool import Pixels
from showcaller.screen.errors import ClipError
from showcaller.screen.faults import panel_name
from showcaller.screen.geometry import Rect, input_rect, panel_grid, panel_rect, raster_px
from showcaller.values import Struct

KINDS = ("grid", "map", "ramp", "white", "red", "green", "blue", "black", "bar", "circles")
HINT = "grid, map, ramp, white 50 %, red, green, blue, black, bar or circles; files: all of them as files"
ON_HINT = "; of another surface: its name behind it, such as grid, {}"
SAFE = ((0.93, (90, 170, 220), "action"), (0.90, (200, 170, 64), "title"))
"""Of each input: the part of its width and height, its line, its name (SMPTE ST 2046-1, EBU R 95)."""
_COLOURS = {"white": (1, 1, 1), "red": (0, 0, 1), "green": (0, 1, 0), "blue": (1, 0, 0), "black": (0, 0, 0)}
_FONT = cv2.FONT_HERSHEY_SIMPLEX
_LINE, _FAINT, _INK = (150, 150, 150), (58, 58, 58), (235, 235, 235)
BAR_S = 4.0
"""How long the bar takes across the wall."""


class TestCard(Struct, frozen=True):
    """Which picture; ``level`` of a flat colour, 0 to 1 of the signal."""

    kind: str
    level: float = 1.0

    @property
    def words(self) -> str:
        """``white 50 %``, as it can be typed."""
        flat = self.kind in _COLOURS and self.kind != "black"
        return f"{self.kind} {self.level * 100:g} %" if flat and self.level < 1 else self.kind


def card_named(text: str) -> TestCard:
    """The test picture that a text means.

    Raises:
        ClipError: there is none of that name, or its level is not 0 to 100 %.
    """
    found = re.fullmatch(r"\s*([a-z]+)\s*(?:(\d+(?:[.,]\d+)?)\s*%?)?\s*", text.lower())
    if found is None or found[1] not in KINDS:
        raise ClipError(f"there is no test picture '{text.strip()[:30]}'; there are {', '.join(KINDS)}")
    level = float(found[2].replace(",", ".")) / 100 if found[2] else 1.0
    if not 0 <= level <= 1:
        raise ClipError(f"the level of a test picture is 0 to 100 %, not {found[2]}")
    return TestCard(found[1], level)


def meant_on(show: Show, text: str) -> tuple[str, Wall | None]:
    """(what is left of a text, the surface that it names): ``grid, Side left``; None where it names none."""
    word = text.strip()
    for wall in sorted(show.surfaces, key=lambda s: -len(s.name)):
        found = re.fullmatch(rf"(.*?)[\s,:]+(?:on\s+)?{re.escape(wall.name)}", word, re.IGNORECASE)
        if found is not None:
            return found[1].strip(" ,:"), wall
    return word, None


def drawn(card: TestCard, wall: Wall, since_s: float = 0.0) -> Pixels:
    """The picture at the wall's own pixels; not to be written into."""
    if card.kind == "bar":
        return _bar(wall, since_s)
    return _still(card, _Same(wall))


class _Same:
    """A wall, hashed by identity."""

    def __init__(self, wall: Wall) -> None:
        self.wall = wall

    def __hash__(self) -> int:
        return id(self.wall)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.wall is self.wall


@lru_cache(maxsize=4)
def _still(card: TestCard, same: _Same) -> Pixels:
    wall = same.wall
    made = np.zeros((wall.height_px, wall.width_px, 3), np.uint8)
    match card.kind:
        case "grid":
            _panels(made, wall)
            _circles(made, wall)
            _inputs(made, wall, safe=False)
        case "map":
            _panels(made, wall, names=False)
            _inputs(made, wall, safe=True)
        case "ramp":
            _ramp(made)
        case "circles":
            _circles(made, wall)
        case _:
            made[:] = [round(255 * card.level * part) for part in _COLOURS[card.kind]]
    made.setflags(write=False)
    return made


def _box(made: Pixels, rect: Rect, colour: tuple[int, int, int], thick: int = 1) -> None:
    """A frame whose outer edge is the rectangle's: its first and last pixel row and column are lit."""
    x0, y0, x1, y1 = round(rect.x), round(rect.y), round(rect.right), round(rect.bottom)
    made[y0 : y0 + thick, x0:x1] = made[max(0, y1 - thick) : y1, x0:x1] = colour
    made[y0:y1, x0 : x0 + thick] = made[y0:y1, max(0, x1 - thick) : x1] = colour


def _panels(made: Pixels, wall: Wall, names: bool = True) -> None:
    """Every panel's edge, its column and row."""
    columns, rows = panel_grid(wall)
    for column, row in product(range(1, columns + 1), range(1, rows + 1)):
        rect = panel_rect(wall, column, row)
        _box(made, rect, _LINE if names else _FAINT)
        if names:
            _words(made, rect, panel_name((column, row)), 0.24, _INK)


def _words(
    made: Pixels, rect: Rect, words: str, share: float, colour: tuple[int, int, int], up: float = 0.5
) -> None:
    """Words in the middle of a rectangle, as high as ``share`` of it, or as its width allows."""
    (wide, high), _ = cv2.getTextSize(words, _FONT, 1.0, 2)
    scale = min(rect.height * share / max(1, high), rect.width * 0.84 / max(1, wide))
    thick = max(1, round(scale * 1.6))
    at = round(rect.x + (rect.width - wide * scale) / 2), round(rect.y + rect.height * up + high * scale / 2)
    cv2.putText(made, words, at, _FONT, scale, colour, thick, cv2.LINE_AA)


def _inputs(made: Pixels, wall: Wall, safe: bool) -> None:
    """Each input's edge, name, pixels and place; with ``safe`` its safe areas."""
    thick = max(2, wall.height_px // 300)
    for one in wall.inputs:
        rect = input_rect(one)
        _box(made, rect, (110, 230, 120), thick)
        wide, high = raster_px(one)
        turned = f", turned {one.rotation}" if one.rotation else ""
        # Of the panels' names as few as can be are covered.
        high_part, name_part = (0.3, 0.12) if safe else (0.12, 0.055)
        top = rect.y + rect.height * (0.5 - high_part / 2)
        plate = Rect(rect.x + rect.width * 0.14, top, rect.width * 0.72, rect.height * high_part)
        _plate(made, plate)
        _words(made, rect, _plain(one.name), name_part, (110, 230, 120), up=0.5 - high_part * 0.2)
        words = f"{wide} x {high} px at {one.x_px}, {one.y_px}{turned}"
        _words(made, plate, words, 0.16 if safe else 0.3, _INK, up=0.78)
        if safe:
            for share, colour, name in SAFE:
                inner = Rect(
                    rect.x + rect.width * (1 - share) / 2, rect.y + rect.height * (1 - share) / 2,
                    rect.width * share, rect.height * share,
                )  # fmt: skip
                _box(made, inner, colour, max(1, thick // 2))
                label = Rect(inner.x, inner.y, inner.width, rect.height * 0.06)
                if name == "title":
                    _words(made, label, "safe: 93 % action, 90 % title", 0.5, colour)


def _plate(made: Pixels, rect: Rect) -> None:
    """Darken what lies under words."""
    part = made[round(rect.y) : round(rect.bottom), round(rect.x) : round(rect.right)]
    part //= 4


def _plain(words: str) -> str:
    import unicodedata  # noqa: PLC0415 - the letters of test pictures have no accents

    return unicodedata.normalize("NFKD", words).encode("ascii", "ignore").decode() or "?"


def _circles(made: Pixels, wall: Wall) -> None:
    """Circles as the house sees them: round in metres, also where the grid's pixels are not square."""
    across, down = wall.width_px / wall.width_m, wall.height_px / wall.height_m
    thick = max(1, wall.height_px // 300)
    radius_m = min(wall.width_m, wall.height_m) / 2
    middles = [(wall.width_m / 2, wall.height_m / 2, radius_m)]
    along = range(int(wall.width_m // (2 * radius_m)))
    middles += [((2 * n + 1) * radius_m, wall.height_m / 2, radius_m * 0.98) for n in along]
    for x_m, y_m, r_m in middles:
        axes = round(r_m * across), round(r_m * down)
        cv2.ellipse(
            made, (round(x_m * across), round(y_m * down)), axes, 0, 0, 360, _LINE, thick, cv2.LINE_AA
        )
    cv2.line(made, (0, 0), (wall.width_px - 1, wall.height_px - 1), _FAINT, 1)
    cv2.line(made, (0, wall.height_px - 1), (wall.width_px - 1, 0), _FAINT, 1)


def _ramp(made: Pixels) -> None:
    """From black to white across; under it steps of 5 %, then the darkest and the brightest values singly."""
    height, width = made.shape[:2]
    made[: height // 2] = np.round(np.linspace(0, 255, width)).astype(np.uint8)[None, :, None]
    edges = np.linspace(0, width, 22).round().astype(int)
    for n in range(21):
        made[height // 2 : height * 3 // 4, edges[n] : edges[n + 1]] = round(255 * n / 20)
    edges = np.linspace(0, width, 33).round().astype(int)
    for n, value in enumerate((*range(16), *range(240, 256))):
        made[height * 3 // 4 :, edges[n] : edges[n + 1]] = value


def _bar(wall: Wall, since_s: float) -> Pixels:
    """A white bar on its way across and one down: a torn picture shows it broken."""
    made = np.zeros((wall.height_px, wall.width_px, 3), np.uint8)
    part = since_s / BAR_S % 1
    wide = max(2, wall.width_px // 60)
    x, y = int(part * wall.width_px), int(part * wall.height_px)
    made[:, x : x + wide] = 235
    made[y : y + max(2, wide // 2)] = 235
    return made
