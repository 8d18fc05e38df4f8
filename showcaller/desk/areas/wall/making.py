"""A wall and its sources made from a typed line, for a show that has none yet. No Qt."""

import re
from math import gcd
from typing import Any

from showcaller.calling.wording import plural
from showcaller.editing import Change, ChangeError, Put, SetFields, Together
from showcaller.editing.naming import free_id
from showcaller.model import Show
from showcaller.model.upgrading import MAIN
from showcaller.screen.measures import MeasureError, lengths
from showcaller.screen.setup.of_wall import SIZE, SIZE_EXAMPLE, in_px

WALL_HINT = (
    "42 x 10.5 m (or 172 ft x 62 ft), 3500 x 875 px, 4 inputs, 10 channels; then, if you like: panels 125"
)
SOURCE_HINT = (
    "its name, then camera, clip, still, generator or live; a clip's or a still's file; 3500x875. "
    "Several with ; between: Left camera, camera; Tide, clip, tide.mp4"
)
KINDS = ("camera", "clip", "still", "generator", "live")

_LEAST_PANEL_PX = 16

_PAIR = r"(\d+(?:\.\d+)?)\s*[x×]\s*(\d+(?:\.\d+)?)"


def new_wall(show: Show, text: str) -> Change:
    """A wall of equal inputs side by side.

    Raises:
        ChangeError: its size, pixels, inputs or channels are missing.
    """
    if show.wall is not None:
        raise ChangeError("this show has a wall already")
    first = text.split("px", maxsplit=1)[0].rpartition(",")[0]
    pixels = re.search(_PAIR + r"\s*px\b", text)
    inputs = re.search(r"(\d+)\s*inputs?\b", text)
    channels = re.search(r"(\d+)\s*channels?\b", text)
    panel = re.search(r"panels?\s*(\d+)", text)
    given = {"size": first.strip(), "pixels": pixels, "inputs": inputs, "channels": channels}
    missing = [name for name, found in given.items() if not found]
    if missing or pixels is None or inputs is None or channels is None:
        raise ChangeError(f"{' and '.join(missing)} missing; type {WALL_HINT}")
    try:
        width_m, height_m = lengths(first, show.lengths, "the wall's size", SIZE, SIZE_EXAMPLE)
    except MeasureError as error:
        raise ChangeError(str(error)) from None
    (wide, high), count = in_px("pixels", int(float(pixels[1])), int(float(pixels[2]))), int(inputs[1])
    if not 1 <= count <= min(26, wide):
        raise ChangeError(f"inputs: 1 to {min(26, wide)}; not {count}")
    if int(channels[1]) > 512:
        raise ChangeError(f"channels: 0 to 512; not {channels[1]}")
    edges = [round(n * wide / count) for n in range(count + 1)]
    side = int(panel[1]) if panel else _panel_px(wide, high)
    wall: dict[str, Any] = {
        **MAIN, "width_m": width_m, "height_m": height_m, "width_px": wide, "height_px": high,
        "panel_px": [side, side], "channels": int(channels[1]),
        "inputs": [
            {"id": f"input-{chr(97 + n)}", "name": f"input {chr(65 + n)}", "x_px": edges[n], "y_px": 0,
             "width_px": edges[n + 1] - edges[n], "height_px": high}
            for n in range(count)
        ],
    }  # fmt: skip
    feet = re.search(r"ft|feet|foot|['′’]", first) is not None
    return SetFields(at=(), fields={"surfaces": [wall], **({"lengths": "ft"} if feet else {})})


def _panel_px(wide: int, high: int) -> int:
    """A panel's side where nobody gave it: about an eighth of the height, and whole panels if any divide the
    wall (our choice)."""
    about, common = max(1, high // 8), gcd(wide, high)
    whole = [n for n in range(_LEAST_PANEL_PX, common + 1) if common % n == 0]
    return min(whole, key=lambda n: abs(n - about), default=about)


def new_sources(show: Show, text: str) -> tuple[Change, tuple[str, ...]]:
    """Sources with a semicolon between them, as one change; and their ids.

    Raises:
        ChangeError: one has no name, or no kind, or a name that is taken.
    """
    made: list[Put] = []
    taken = {s.name.lower() for s in show.sources}, {s.id for s in show.sources}
    for one in [one for one in text.split(";") if one.strip()] or [""]:
        part = _source(taken, one)
        made.append(Put(at=("sources",), index=len(show.sources) + len(made), part=part))
        taken[0].add(part["name"].lower())
        taken[1].add(part["id"])
    ids = tuple(str(put.part["id"]) for put in made)
    return made[0] if len(made) == 1 else Together(changes=tuple(made)), ids


def sources_words(show: Show, text: str) -> str:
    """What a line makes, in words: ``4 sources: Tide, clip, tide.mp4; …``.

    Raises:
        ChangeError: as :func:`new_sources`.
    """
    made = new_sources(show, text)[0]
    parts = [
        put.part for put in (made.changes if isinstance(made, Together) else (made,)) if isinstance(put, Put)
    ]
    said = [", ".join(_said_of(p)) for p in parts]
    return f"{plural(len(parts), 'source')}: {'; '.join(said)}"


def _said_of(part: dict[str, Any]) -> list[str]:
    size = [f"{part['width_px']} × {part['height_px']} px"] if "width_px" in part else []
    return [*(str(part[k]) for k in ("name", "kind", "media") if k in part), *size]


def _source(taken: tuple[set[str], set[str]], text: str) -> dict[str, Any]:
    """A source as a document has it; ``taken`` are the names and the ids of the others."""
    parts = [p.strip() for p in text.split(",") if p.strip()]
    kind = next((p.lower() for p in parts[1:] if p.lower() in KINDS), None)
    if not parts:
        raise ChangeError(f"a new source: type {SOURCE_HINT}")
    name = parts[0]
    if kind is None:
        said = f"not '{parts[1][:30]}'" if len(parts) > 1 else "nothing follows"
        raise ChangeError(
            f"source {name}: after its name comes camera, clip, still, generator or live; {said}. "
            f"Such as: {name}, camera"
        )
    if name.lower() in taken[0]:
        raise ChangeError(f"a source is called {name} already; type another name first")
    part: dict[str, Any] = {"id": free_id(name, taken[1]), "name": name, "kind": kind}
    for rest in parts[1:]:
        size = re.fullmatch(r"(\d+)\s*[x×]\s*(\d+)", rest)
        if size is not None:
            wide, high = in_px(f"source {name}", int(size[1]), int(size[2]))
            part |= {"width_px": wide, "height_px": high}
        elif rest.lower() not in KINDS:
            part["media"] = rest
    return part
