"""Every line of the wall's form: what it says, and what typing into it changes. Pure."""

from collections.abc import Mapping
from typing import Any

from showcaller.editing import Change, ChangeError, Path, SetFields
from showcaller.model import Show, Source, Wall
from showcaller.screen.measures import MeasureError, Unit
from showcaller.screen.media_check import facts_words
from showcaller.screen.setup.of_house import (
    PLACED_HINT,
    house_change,
    house_rows,
    placed_from,
    placed_text,
    placed_usual,
)
from showcaller.screen.setup.of_inputs import INPUT_HINT, equal_inputs, input_change, input_text
from showcaller.screen.setup.of_sources import (
    GRADE_HINT,
    SOURCE_HINT,
    grade_from,
    grade_text,
    source_change,
    source_text,
)
from showcaller.screen.setup.of_surfaces import (
    OWN,
    POOL_HINT,
    SURFACE_HINT,
    from_fields,
    new_surface,
    pool_change,
    pool_text,
    stands_fields,
    taken_from,
    without_surface,
)
from showcaller.screen.setup.of_wall import WALL_FIELDS
from showcaller.screen.surfaces import AT, surface_named
from showcaller.values import Struct


class SetupRow(Struct, frozen=True):
    """A line: ``tone`` is a name of the theme; a ``head`` is not typed into."""

    key: str
    label: str
    text: str
    hint: str
    tone: str = "text"
    head: bool = False


def setup_rows(show: Show, troubles: Mapping[str, str]) -> tuple[SetupRow, ...]:
    """All lines; ``troubles`` says what is wrong with sources' files, by their ids."""
    wall = show.wall
    if wall is None:
        return ()
    return (
        *(_more_rows(show) if len(show.surfaces) > 1 else ()),
        *(row for surface in show.surfaces for row in _surface_rows(show, surface)),
        *(_more_rows(show) if len(show.surfaces) == 1 else ()),
        SetupRow("lengths", "lengths shown in", "feet and inches" if show.lengths == "ft" else "metres",
                 "metres, or feet and inches; both can be typed anywhere: 42 m, 172 ft, 8'6\""),
        SetupRow("", "FROM THE SEATS", "", "", "quiet", head=True),
        *(SetupRow(*row) for row in house_rows(show)),
        SetupRow("", "SOURCES", "", "", "quiet", head=True),
        *(row for s in show.sources for row in _source_rows(s, troubles.get(s.id, ""))),
        SetupRow("source+", "one more", "", SOURCE_HINT),
    )  # fmt: skip


def _more_rows(show: Show) -> tuple[SetupRow, ...]:
    """What several surfaces share, and one more of them: at the top where there are several."""
    return (
        SetupRow("", "SURFACES", "", "", "quiet", head=True),
        SetupRow("surface+", "one more", "", SURFACE_HINT),
        *(SetupRow(f"pool.{p.id}", "channels shared", pool_text(p), POOL_HINT) for p in show.pools),
        SetupRow("pool+", "a pool to share", "", POOL_HINT),
    )


def _surface_rows(show: Show, wall: Wall) -> tuple[SetupRow, ...]:
    """A surface's own lines, its inputs under them; the keys of all but the first name it."""
    alone, first = len(show.surfaces) == 1, wall is show.wall
    at = "" if first else f"{AT}{wall.id}"
    name = "its name" if first else "its name; empty takes the surface out, with what lies on it"
    fields = [f for f in WALL_FIELDS if f.key != "channels" or wall.pool is None]
    return (
        SetupRow("", "WALL" if alone else wall.name.upper(), "", "", "quiet", head=True),
        SetupRow(f"wall.name{at}", "name", wall.name, name),
        *(() if first else _stands_rows(show, wall, at)),
        *(SetupRow(f"wall.{f.key}{at}", f.label, f.text(wall, show.lengths), f.hint) for f in fields),
        *(() if not show.pools else (SetupRow(f"wall.from{at}", "channels", taken_from(show, wall),
                                              f"{OWN}, or a pool by its name"),)),
        SetupRow("", "INPUTS" if alone else f"INPUTS OF {wall.name.upper()}", "", "", "quiet", head=True),
        *(SetupRow(f"input.{i.id}{at}", f"input {n}", input_text(i), INPUT_HINT)
          for n, i in enumerate(wall.inputs, 1)),
        SetupRow(f"input+{at}", "one more", "", INPUT_HINT),
        SetupRow(f"inputs{at}", "in equal parts", "", "4 x 1: four across and one down; replaces all inputs"),
    )  # fmt: skip


def _stands_rows(show: Show, wall: Wall, at: str) -> tuple[SetupRow, ...]:
    """Where a further surface is drawn, and where it stands."""
    stated = wall.place is not None
    where = placed_text(show, wall) if stated else placed_usual(show, wall)
    return (
        SetupRow(f"wall.stands{at}", "is drawn", wall.stands, "left, right, above or below the first"),
        SetupRow(f"wall.place{at}", "on the stage", where, PLACED_HINT, "text" if stated else "quiet"),
    )


def _source_rows(source: Source, trouble: str) -> tuple[SetupRow, ...]:
    file = "a path beside the show; empty: none"
    words = facts_words(source) if source.media is not None else ""
    return (
        SetupRow(f"source.{source.id}", "source", source_text(source), SOURCE_HINT),
        SetupRow(f"file.{source.id}", "     file", trouble or words, file, "missed" if trouble else "quiet"),
        SetupRow(f"grade.{source.id}", "     grade", grade_text(source.grade), GRADE_HINT),
    )


def typed_text(show: Show, key: str) -> str:
    """What stands in a line when it is typed into: of a file its path, not what is known of it."""
    kind, _, ident = key.partition(".")
    if kind == "file":
        return next((s.media or "" for s in show.sources if s.id == ident), "")
    surface = surface_named(show, key.partition(AT)[2])
    if key.startswith("wall.place") and surface is not None:
        return placed_text(show, surface)
    return next((r.text for r in setup_rows(show, {}) if r.key == key), "")


def setup_change(show: Show, key: str, text: str) -> tuple[str, Change]:
    """What typing ``text`` into a line does: words for undo, and the change.

    Raises:
        ChangeError: it means nothing there; one sentence that names the field and what would do.
    """
    line, _, surface = key.partition(AT)
    kind, _, ident = line.partition(".")
    wall = surface_named(show, surface) or show.wall
    assert wall is not None
    try:
        match kind:
            case "wall":
                return _wall_change(show, wall, ident, text)
            case "surface+":
                return new_surface(show, text)
            case "pool" | "pool+":
                return pool_change(show, ident, text)
            case "lengths":
                return "lengths shown", SetFields(at=(), fields={"lengths": _unit(text)})
            case "input" | "input+":
                return input_change(show, wall, ident, text)
            case "inputs":
                return f"{wall.name}: inputs in equal parts", SetFields(
                    at=("surfaces", wall.id), fields={"inputs": equal_inputs(show, wall, text)}
                )
            case "house":
                return house_change(show, ident, text)
            case "file":
                fields: dict[str, Any] = {"media": text.strip() or None, "file": None}
                return f"the file of {_source(show, ident).name}", SetFields(
                    at=("sources", ident), fields=fields
                )
            case "grade":
                return f"the grade of {_source(show, ident).name}", SetFields(
                    at=("sources", ident), fields={"grade": grade_from(text)}
                )
            case _:
                return source_change(show, ident, text)
    except MeasureError as error:
        raise ChangeError(str(error)) from None


def _wall_change(show: Show, wall: Wall, field: str, text: str) -> tuple[str, Change]:
    at: Path = ("surfaces", wall.id)
    called = "the wall" if len(show.surfaces) == 1 else wall.name
    match field:
        case "name" if not text.strip() and len(show.surfaces) > 1:
            return without_surface(show, wall)
        case "name":
            return f"{called}'s name", SetFields(at=at, fields={"name": text.strip()})
        case "stands":
            return f"{called}: where it is drawn", SetFields(at=at, fields=stands_fields(text))
        case "place":
            return f"{called}: where it stands on the stage", SetFields(at=at, fields=placed_from(show, text))
        case "from":
            return f"{called}'s channels", SetFields(at=at, fields=from_fields(show, wall, text))
    found = next(f for f in WALL_FIELDS if f.key == field)
    return f"{called}'s {found.label}", SetFields(at=at, fields=found.typed(text, show, wall))


def _unit(text: str) -> Unit:
    word = text.strip().lower()
    if word.startswith(("m", "f")):
        return "m" if word[0] == "m" else "ft"
    raise ChangeError(f"lengths shown in: type metres, or feet and inches; not '{text.strip()}'")


def _source(show: Show, ident: str) -> Source:
    return next(s for s in show.sources if s.id == ident)
