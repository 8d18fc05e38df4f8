"""Dead panels and strips: where they are, which looks light them, when a crew could get at them. Pure.

Panels are counted from 1, columns from the left and rows from the top, as somebody standing in the house
counts them.
"""

import re
from collections.abc import Iterable, Mapping
from typing import NamedTuple

from showcaller.model import Look, Show, Wall
from showcaller.model.clockwords import m_ss
from showcaller.screen.geometry import Rect, layer_rect, panel_grid, panel_rect
from showcaller.screen.looks import looks_of
from showcaller.screen.surfaces import first_id, look_on, surface_named
from showcaller.timing.plan import Plan
from showcaller.values import Struct

AT_HEIGHT = (
    "Work at height: only trained riggers, clipped on, with the wall's supply locked off and the show caller "
    "told; local codes decide. Dark is not dead: a dark panel is still live."
)


class Panel(NamedTuple):
    """A panel, and the id of the surface it is in; empty: the first one."""

    column: int
    row: int
    surface: str = ""


Names = Mapping[str, str]
"""What surfaces are called where a panel is named, by the ids that panels have."""
ONE_SURFACE: Names = {"": ""}

_NAMED = re.compile(r"\s*(?:([a-z]{1,2})\s*(\d{1,3})|(\d{1,3})\s*[,/ ]\s*(\d{1,3}))\s*$", re.IGNORECASE)


class Window(Struct, frozen=True):
    """The part of the wall is dark from ``start_s`` until ``end_s``, in seconds of the show as planned."""

    start_s: float
    end_s: float
    words: str

    @property
    def length_s(self) -> float:
        """How long."""
        return self.end_s - self.start_s


def surface_names(show: Show) -> Names:
    """The surfaces' names by the ids panels have; where there is one alone none is said."""
    if len(show.surfaces) < 2:
        return ONE_SURFACE
    return {"": show.surfaces[0].name, **{s.id: s.name for s in show.surfaces}}


def surface_of(show: Show, panel: Panel) -> Wall | None:
    """The surface a panel is in; None if the show has it no more."""
    return surface_named(show, panel.surface) if panel.surface else show.wall


def panel_on(show: Show, surface: Wall, column: int, row: int) -> Panel:
    """A panel of a surface."""
    return Panel(column, row, "" if surface is show.wall else surface.id)


def panel_said(panel: Panel, names: Names) -> str:
    """``Side left C4``; where the show has one surface ``C4``."""
    return f"{names.get(panel.surface, panel.surface)} {panel_name(panel)}".strip()


def panel_name(panel: Panel | tuple[int, int]) -> str:
    """``C4``: the column in letters (A to Z, then AA), the row in figures."""
    column, name = panel[0], ""
    while column > 0:
        column, rest = divmod(column - 1, 26)
        name = chr(ord("A") + rest) + name
    return f"{name}{panel[1]}"


def panels_words(panels: Mapping[Panel, str], names: Names = ONE_SURFACE) -> str:
    """``C2 dead, T1 to T10 flickering``: by surface and column, what stands one above another together."""
    runs: list[tuple[Panel, Panel, str]] = []
    for panel in sorted(panels, key=lambda p: (p.surface, p)):
        what = panels[panel]
        if runs and runs[-1][2] == what and runs[-1][1] == panel._replace(row=panel.row - 1):
            runs[-1] = (runs[-1][0], panel, what)
        else:
            runs.append((panel, panel, what))
    said = []
    for first, last, what in runs:
        name = panel_said(first, names) + ("" if first == last else f" to {panel_name(last)}")
        said.append(f"{name} {what}")
    return ", ".join(said)


def panels_meant(show: Show, text: str) -> tuple[Wall, Panel, int] | str:
    """(the surface, the first panel, how many from there down) meant by ``C4``, ``strip C``, or behind
    a surface's name by ``Side left C4``; else one sentence that says what would do."""
    word = " ".join(text.lower().replace(":", " ").split())
    strip = "strip " in word
    word = word.replace("strip ", "").strip()
    known = sorted(show.surfaces, key=lambda s: -len(s.name))
    wall = next((s for s in known if word.startswith(f"{s.name.lower()} ")), None)
    if wall is not None:
        word = word[len(wall.name) :].strip()
    else:
        wall = show.surfaces[0]
    found = panel_named(wall, f"{word}1" if strip else word)
    if isinstance(found, str) and len(show.surfaces) > 1:
        others = " or ".join(s.name for s in show.surfaces[1:])
        return f"{found}; one of {others}: its name first"
    if isinstance(found, str):
        return found
    panel = panel_on(show, wall, found.column, found.row)
    return wall, panel, panel_grid(wall)[1] if strip else 1


def panel_named(wall: Wall, text: str) -> Panel | str:
    """The panel somebody means by ``C4`` or ``3,4``; else one sentence that says what would do."""
    columns, rows = panel_grid(wall)
    found = _NAMED.match(text)
    if found is None:
        return f"'{text.strip()}' is not a panel; type column and row, such as C4 or 3,4"
    if found[1]:
        column = 0
        for letter in found[1].upper():
            column = column * 26 + ord(letter) - ord("A") + 1
        row = int(found[2])
    else:
        column, row = int(found[3]), int(found[4])
    if not (1 <= column <= columns and 1 <= row <= rows):
        last = panel_name((columns, rows))
        return f"'{text.strip()}' is off {wall.name}, whose {columns} × {rows} panels are A1 to {last}"
    return Panel(column, row)


def panel_at(wall: Wall, x_px: float, y_px: float) -> Panel | None:
    """The panel at a place on the wall's grid; None beside the wall."""
    if not (0 <= x_px < wall.width_px and 0 <= y_px < wall.height_px):
        return None
    return Panel(int(x_px // wall.panel_px[0]) + 1, int(y_px // wall.panel_px[1]) + 1)


def lit(wall: Wall, look: Look, rect: Rect) -> bool:
    """Whether a look puts a picture on some of this part of the wall."""
    return any(layer.opacity > 0 and layer_rect(wall, layer).meet(rect) is not None for layer in look.layers)


def looks_lighting(show: Show, panels: Iterable[Panel]) -> tuple[Look, ...]:
    """The looks that light any of these panels, in the show's order."""
    places = _places(show, panels)
    return tuple(look for look in show.looks if _lights(show, look, places))


def _places(show: Show, panels: Iterable[Panel]) -> list[tuple[Wall, Rect]]:
    """Where the panels are, each with its surface; those of surfaces that are no more are left out."""
    found = ((surface_of(show, panel), panel) for panel in panels)
    return [(wall, panel_rect(wall, p.column, p.row)) for wall, p in found if wall is not None]


def _lights(show: Show, look: Look, places: list[tuple[Wall, Rect]]) -> bool:
    first = first_id(show)
    return any(lit(wall, look_on(look, wall.id, first), rect) for wall, rect in places)


def dark_windows(plan: Plan, panels: Iterable[Panel], least_s: float) -> tuple[Window, ...]:
    """When, by the plan, none of these panels shows anything for at least ``least_s``; the longest first.

    The time before the show and after it is not counted.
    """
    show = plan.show
    places = _places(show, panels)
    if not places:
        return ()
    dark: list[tuple[float, float]] = []
    for i in range(len(plan.items)):
        begins = float(plan.starts_s[i])
        looks = looks_of(plan, i)
        spans = [(s.at_s, s.until_s, s.look) for s in looks.standing]
        lights = [(a, b) for a, b, look in spans if _lights(show, look, places)]
        cursor = 0.0
        for a, b in [*sorted(lights), (looks.length_s, looks.length_s)]:
            if a > cursor:
                dark.append((begins + cursor, begins + min(a, looks.length_s)))
            cursor = max(cursor, b)
    joined: list[tuple[float, float]] = []
    for a, b in dark:
        if joined and abs(joined[-1][1] - a) < 1e-6:
            joined[-1] = (joined[-1][0], b)
        else:
            joined.append((a, b))
    found = [Window(a, b, _words(plan, a, b)) for a, b in joined if b - a >= least_s]
    return tuple(sorted(found, key=lambda w: -w.length_s))


def _words(plan: Plan, start_s: float, end_s: float) -> str:
    """``from Salt Letters 3:10 until Talk 0:20``."""
    first, at = _place(plan, start_s, False)
    last, until = _place(plan, end_s, True)
    if first == last:
        return f"{first}, {m_ss(round(at))} to {m_ss(round(until))}"
    return f"{first} {m_ss(round(at))} to {last} {m_ss(round(until))}"


def _place(plan: Plan, at_s: float, ending: bool) -> tuple[str, float]:
    i = 0
    for n, start in enumerate(plan.starts_s):
        if start < at_s - (1e-6 if ending else -1e-6):
            i = n
    return plan.items[i].item.name, at_s - float(plan.starts_s[i])
