"""The wall's inputs, each a line to type. Pure."""

import re
from typing import Any

from showcaller.editing import Change, ChangeError, Path, Put, SetFields, Take
from showcaller.editing.naming import free_id
from showcaller.model import Show, Wall, WallInput
from showcaller.screen.setup.of_wall import PAIR, in_px, named

INPUT_HINT = "name: width x height at left, top (px); turned 90; cable 1920x1080. Empty takes it out"


def input_text(one: WallInput) -> str:
    """``Left: 875 × 875 px at 875, 0; turned 90; cable 1920 × 1080``."""
    words = f"{one.name}: {one.width_px} × {one.height_px} px at {one.x_px}, {one.y_px}"
    words += f"; turned {one.rotation}" if one.rotation else ""
    return words + (f"; cable {one.raster_px[0]} × {one.raster_px[1]}" if one.raster_px else "")


def input_change(show: Show, wall: Wall, ident: str, text: str) -> tuple[str, Change]:
    """What typing into an input's line of a surface does; ``ident`` is empty for one more.

    Raises:
        ChangeError: it means nothing, or the last input is to go.
    """
    at: Path = ("surfaces", wall.id, "inputs")
    if not text.strip():
        if len(wall.inputs) < 2:
            raise ChangeError(
                f"{wall.inputs[0].name} is the only input of {wall.name}, which needs one; type another "
                "into this line"
            )
        name = next(i.name for i in wall.inputs if i.id == ident)
        return f"input {name} of {wall.name} taken out", Take(at=at, key=ident)
    fields = input_from(text)
    if fields["x_px"] >= wall.width_px or fields["y_px"] >= wall.height_px:
        raise ChangeError(
            f"input {fields['name']}: {fields['x_px']}, {fields['y_px']} lies off {wall.name}, which is "
            f"{wall.width_px} × {wall.height_px} px; type its left, top edge within that"
        )
    if ident:
        return f"input {fields['name']} of {wall.name}", SetFields(at=(*at, ident), fields=fields)
    made = free_id(fields["name"], {i.id for s in show.surfaces for i in s.inputs})
    return f"input {fields['name']} of {wall.name}", Put(
        at=at, index=len(wall.inputs), part={"id": made, **fields}
    )


def input_from(text: str) -> dict[str, Any]:
    """The fields of an input that was typed.

    Raises:
        ChangeError: it says no name, size or place.
    """
    name, rest = named("input", text, INPUT_HINT)
    head, *more = [p.strip() for p in rest.split(";")]
    size, _, place = head.partition("at")
    sized = re.fullmatch(PAIR + r"\s*(?:px)?\s*", size)
    placed = re.fullmatch(r"\s*(\d+)\s*,\s*(\d+)\s*(?:px)?", place)
    if sized is None:
        raise ChangeError(
            f"input {name}: its size is width x height in px, such as 1920 x 1080; not '{size.strip()[:30]}'"
        )
    if placed is None:
        wrong = (
            f"'{place.strip()[:30]}' is no place"
            if place.strip()
            else "where it begins on the wall is missing"
        )
        raise ChangeError(f"input {name}: {wrong}; type at left, top (px) behind its size: at 875, 0")
    wide, high = in_px(f"input {name}", int(sized[1]), int(sized[2]))
    left, top = map(int, placed.groups())
    fields: dict[str, Any] = {
        "name": name, "x_px": left, "y_px": top, "width_px": wide, "height_px": high, "rotation": 0,
        "raster_px": None,
    }  # fmt: skip
    for part in more:
        turned, cable = (
            re.fullmatch(r"turned\s*(\d+)°?", part),
            re.fullmatch(rf"cable\s*{PAIR}\s*(?:px)?", part),
        )
        if turned is not None and int(turned[1]) in (0, 90, 180, 270):
            fields["rotation"] = int(turned[1])
        elif cable is not None:
            fields["raster_px"] = list(in_px(f"input {name}, cable", int(cable[1]), int(cable[2])))
        elif part:
            raise ChangeError(
                f"input {name}: after its place may stand turned 0, 90, 180 or 270, or cable "
                "1920x1080; not "
                f"'{part[:30]}'"
            )
    return fields


def equal_inputs(show: Show, wall: Wall, text: str) -> list[dict[str, Any]]:
    """A surface in equal parts, ``4 x 1``; those there are keep their ids and names.

    Raises:
        ChangeError: not two numbers, or more than the wall has pixels for.
    """
    found = re.fullmatch(rf"\s*{PAIR}\s*", text)
    across, down = (int(found[1]), int(found[2])) if found else (0, 0)
    if not (
        1 <= across <= min(64, wall.width_px)
        and 1 <= down <= min(64, wall.height_px)
        and across * down <= 128
    ):
        raise ChangeError(
            f"in equal parts: type how many across x down, 1 to 64 each and 128 together, such as 4 x 1; not "
            f"'{text.strip()[:30]}'"
        )
    columns = [round(n * wall.width_px / across) for n in range(across + 1)]
    rows = [round(n * wall.height_px / down) for n in range(down + 1)]
    made: list[dict[str, Any]] = []
    taken = {i.id for s in show.surfaces for i in s.inputs}
    for n in range(across * down):
        column, row = n % across, n // across
        old = wall.inputs[n] if n < len(wall.inputs) else None
        called = "input" if wall is show.wall else wall.name
        name = old.name if old else f"{called} {chr(65 + n) if n < 26 else n + 1}"
        ident = old.id if old else free_id(name, taken)
        taken.add(ident)
        made.append({
            "id": ident, "name": name, "x_px": columns[column], "y_px": rows[row],
            "width_px": columns[column + 1] - columns[column], "height_px": rows[row + 1] - rows[row],
        })  # fmt: skip
    return made
