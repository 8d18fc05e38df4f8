"""The house in a few numbers, each a line to type. Pure."""

import re
from typing import Any

from showcaller.editing import Change, ChangeError, SetFields
from showcaller.model import HousePlace, Show, StagePlace, Tower, Wall
from showcaller.screen.from_seats import house_of
from showcaller.screen.measures import Unit, length_text, lengths
from showcaller.screen.on_stage import usual_place
from showcaller.screen.setup.of_wall import named

STAGE_HINT = "width x depth x height: 30 x 12 x 1.8 m"
TOWER_HINT = (
    "name: across, away; width x depth x height, from the middle of the wall: PA left: -20, 15; 3 x 3 x 12 m"
)
_STAGE = (("width", 0.01, 500.0), ("depth", 0.01, 500.0), ("height", 0.0, 200.0))
_TOWER = (("width", 0.01, 500.0), ("depth", 0.01, 500.0), ("height", 0.01, 500.0))
_AT = (("across", -500.0, 500.0), ("away", 0.0, 1000.0))
_AWAY = (("across", -500.0, 500.0), ("away", 0.1, 1000.0))
_LINES = {
    "bottom": "wall above the floor", "stage": "stage", "tower": "what stands before the wall",
    "place": "a place",
}  # fmt: skip
PLACE_HINT = "name: across, away; eyes 1.6 m: desk: 0, 48; 2.2 m. Empty takes it out"


def house_rows(show: Show) -> tuple[tuple[str, str, str, str], ...]:
    """(key, label, text, hint) of every line; the usual places where none is given."""
    if show.wall is None:
        return ()
    house, unit = house_of(show.wall, show.house), show.lengths
    m = " m" * (unit == "m")
    stage = " × ".join(
        length_text(v, unit) for v in (house.stage_width_m, house.stage_depth_m, house.stage_height_m)
    )
    return (
        ("house.bottom", "wall above the floor", length_text(house.wall_bottom_m, unit) + m,
         "to its lower edge: 2.5 m"),
        ("house.stage", "stage", stage + m, STAGE_HINT),
        *((f"house.tower-{n}", "stands before it", _tower_text(t, unit) + m, TOWER_HINT)
          for n, t in enumerate(house.towers)),
        ("house.tower-", "one more", "", TOWER_HINT),
        *((f"house.place-{n}", "place", _place_text(p, unit) + m, PLACE_HINT)
          for n, p in enumerate(house.places)),
        ("house.place-", "one more", "", PLACE_HINT),
    )  # fmt: skip


def _tower_text(tower: Tower, unit: Unit) -> str:
    size = " × ".join(length_text(v, unit) for v in (tower.width_m, tower.depth_m, tower.height_m))
    return f"{tower.name}: {length_text(tower.x_m, unit)}, {length_text(tower.y_m, unit)}; {size}"


def _place_text(place: HousePlace, unit: Unit) -> str:
    at = f"{length_text(place.x_m, unit)}, {length_text(place.y_m, unit)}"
    return f"{place.name}: {at}; {length_text(place.eye_m, unit)}"


PLACED_HINT = (
    "across, away, up from the main wall's middle and the floor, then facing right 20, facing left 20 or "
    "flat: "
    "-28, 0, 3.5 m; facing right 20. Empty: beside the main wall as drawn"
)
_PLACED = (("across", -500.0, 500.0), ("away", -500.0, 1000.0), ("up", 0.0, 200.0))


def placed_text(show: Show, surface: Wall) -> str:
    """``-28, 0, 3.50 m; facing right 20``; empty where nothing is stated."""
    return "" if surface.place is None else _placed_words(surface.place, show.lengths)


def placed_usual(show: Show, surface: Wall) -> str:
    """Where it stands that is not said to stand anywhere."""
    assert show.wall is not None
    place = usual_place(show, surface, house_of(show.wall, show.house))
    return f"not given; usual: {_placed_words(place, show.lengths)}"


def _placed_words(place: StagePlace, unit: Unit) -> str:
    at = ", ".join(length_text(v, unit) for v in (place.x_m, place.y_m, place.bottom_m))
    facing = f"facing {'right' if place.facing_deg > 0 else 'left'} {abs(place.facing_deg):g}"
    turned = [facing] if place.facing_deg else []
    return "; ".join([at + " m" * (unit == "m"), *turned, *(["flat"] if place.flat else [])])


def placed_from(show: Show, text: str) -> dict[str, Any]:
    """Where a surface stands, as it was typed.

    Raises:
        ChangeError: a part of it means nothing; MeasureError: a length that is none.
    """
    if not text.strip():
        return {"place": None}
    at, *more = [p.strip() for p in text.split(";")]
    x, y, up = lengths(at, show.lengths, "on the stage", _PLACED, PLACED_HINT)
    fields: dict[str, Any] = {"x_m": x, "y_m": y, "bottom_m": up}
    for part in (p for p in more if p):
        facing = re.fullmatch(r"facing\s+(right|left)\s+(\d+(?:\.\d+)?)\s*°?", part.lower())
        if part.lower() == "flat":
            fields["flat"] = True
        elif facing is not None and float(facing[2]) <= 180:
            fields["facing_deg"] = float(facing[2]) * (1 if facing[1] == "right" else -1)
        else:
            raise ChangeError(
                "on the stage: after where it stands may come facing right 20, facing left 20 (0 to "
                "180°) or flat; "
                f"not '{part[:30]}'"
            )
    return {"place": fields}


def house_change(show: Show, key: str, text: str) -> tuple[str, Change]:
    """What typing into a line of the house does.

    Raises:
        ChangeError: it means nothing there; MeasureError: a length that is none.
    """
    assert show.wall is not None
    house = house_of(show.wall, show.house)
    fields = house.model_dump(mode="json")
    kind, _, at = key.partition("-")
    words = f"the house, {_LINES[kind]}"
    unit = show.lengths
    if kind == "bottom":
        fields["wall_bottom_m"] = lengths(
            text, unit, "wall above the floor", (("the height", 0.0, 200.0),), "2.5 m, or 8 ft"
        )[0]
    elif kind == "stage":
        size = lengths(text, unit, "stage", _STAGE, STAGE_HINT)
        fields |= dict(zip(("stage_width_m", "stage_depth_m", "stage_height_m"), size, strict=True))
    else:
        listed: list[dict[str, Any]] = fields["towers" if kind == "tower" else "places"]
        n = int(at) if at else len(listed)
        if n < len(listed):
            words = f"{words}: {listed[n]['name']}"
        made = [] if not text.strip() else [_tower(text, unit) if kind == "tower" else _place(text, unit)]
        listed[n : n + 1] = made
    return words, SetFields(at=(), fields={"house": fields})


def _parts(text: str, what: str, hint: str) -> tuple[str, str, str]:
    name, rest = named(what, text, hint)
    at, _, more = (p.strip() for p in rest.partition(";"))
    return name, at, more.removeprefix("eyes").strip()


def _tower(text: str, unit: Unit) -> dict[str, Any]:
    name, at, size = _parts(text, "stands before it", TOWER_HINT)
    x, y = lengths(at, unit, f"{name}, where it stands", _AT, TOWER_HINT)
    fields: dict[str, Any] = {"name": name, "x_m": x, "y_m": y}
    if size:
        wide, deep, high = lengths(size, unit, f"{name}, its size", _TOWER, TOWER_HINT)
        fields |= {"width_m": wide, "depth_m": deep, "height_m": high}
    return fields


def _place(text: str, unit: Unit) -> dict[str, Any]:
    name, at, eye = _parts(text, "place", PLACE_HINT)
    x, y = lengths(at, unit, f"{name}, where it is", _AWAY, PLACE_HINT)
    fields: dict[str, Any] = {"name": name, "x_m": x, "y_m": y}
    if eye:
        within = (("the height", 0.0, 200.0),)
        fields["eye_m"] = lengths(eye, unit, f"{name}, the eyes", within, PLACE_HINT)[0]
    return fields
