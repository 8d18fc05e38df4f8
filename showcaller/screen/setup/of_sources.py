"""The sources, and their grades, each a line to type. Pure."""

import re
from typing import Any

from showcaller.editing import Change, ChangeError, Put, SetFields, Take
from showcaller.editing.naming import free_id
from showcaller.model import Show, Source
from showcaller.model.media import Grade
from showcaller.screen.setup.of_wall import PAIR, in_px, named

KINDS = ("camera", "clip", "still", "generator", "live")
SOURCE_HINT = (
    "name: camera, clip, still, generator or live; 3500x875; holds its last frame. Empty takes it out"
)
GRADE_HINT = "black 2 %, white 95 %, gamma 1.1, saturation 90 %; or none"


def source_text(source: Source) -> str:
    """``Tide: clip; 3500 × 875 px; pixels 1.0667 wide; holds its last frame``."""
    words = f"{source.name}: {source.kind}; {source.width_px} × {source.height_px} px"
    words += f"; pixels {source.pixel_aspect:.5g} wide" if source.pixel_aspect != 1 else ""
    return words + ("" if source.loops else "; holds its last frame")


def source_change(show: Show, ident: str, text: str) -> tuple[str, Change]:
    """What typing into a source's line does; ``ident`` is empty for one more.

    Raises:
        ChangeError: it means nothing, or a look still has the source that is to go.
    """
    if not text.strip() and ident:
        called = next(s.name for s in show.sources if s.id == ident)
        used = [k.name for k in show.looks if any(x.source == ident for x in k.layers)]
        if used:
            raise ChangeError(f"{called} is in “{'”, “'.join(used[:3])}”; take it out of these looks first")
        return f"source {called} taken out", Take(at=("sources",), key=ident)
    fields = source_from(text)
    if any(s.name == fields["name"] and s.id != ident for s in show.sources):
        raise ChangeError(f"a source is called {fields['name']} already; type another name before the colon")
    if ident:
        return f"source {fields['name']}", SetFields(at=("sources", ident), fields=fields)
    made = free_id(fields["name"], {s.id for s in show.sources})
    return f"new source {fields['name']}", Put(
        at=("sources",), index=len(show.sources), part={"id": made, **fields}
    )


def source_from(text: str) -> dict[str, Any]:
    """The fields of a source that was typed.

    Raises:
        ChangeError: it says no name or no kind, or something that no source has.
    """
    # The question for a new source takes commas throughout: so does this line.
    name, rest = named("source", text if ":" in text else text.replace(",", ":", 1), SOURCE_HINT)
    kind, *more = [p.strip() for p in re.split(r"[;,]", rest)]
    if kind.lower() not in KINDS:
        raise ChangeError(
            f"source {name}: after its name comes camera, clip, still, generator or live; not '{kind[:30]}'"
        )
    fields: dict[str, Any] = {"name": name, "kind": kind.lower(), "loops": True, "pixel_aspect": 1.0}
    for part in more:
        size = re.fullmatch(PAIR + r"\s*(?:px)?", part)
        wide = re.fullmatch(r"pixels\s*(\d+(?:\.\d+)?)\s*(?:wide)?", part)
        if size is not None:
            wide_px, high_px = in_px(f"source {name}", int(size[1]), int(size[2]))
            fields |= {"width_px": wide_px, "height_px": high_px}
        elif wide is not None and 0.1 < float(wide[1]) < 10:
            fields["pixel_aspect"] = float(wide[1])
        elif part.startswith("hold"):
            fields["loops"] = False
        elif part and not part.startswith("loop"):
            raise ChangeError(
                f"source {name}: after its kind may stand its size in px (3500x875), pixels 1.0667 wide, "
                "loops or "
                f"holds; not '{part[:30]}'. Its file goes into the line under it"
            )
    return fields


_GRADES = {"black": 100.0, "white": 100.0, "gamma": 1.0, "saturation": 100.0}
"""Each with how many of what is typed make one."""
_WITHIN = {
    "black": (-50, 50, " %"), "white": (20, 200, " %"), "gamma": (0.2, 5, ""), "saturation": (0, 400, " %"),
}  # fmt: skip
"""The least and the most of each, as typed."""


def grade_text(grade: Grade | None) -> str:
    """``black 2 %, gamma 1.1``; only what is not as it comes."""
    if grade is None:
        return ""
    plain, words = Grade(), []
    for name, per in _GRADES.items():
        value = getattr(grade, name)
        if value != getattr(plain, name):
            words.append(f"{name} {value * per:g}" + (" %" if per == 100 else ""))
    return ", ".join(words)


def grade_from(text: str) -> dict[str, Any] | None:
    """A grade that was typed; None for none.

    Raises:
        ChangeError: a word that no grade has, or a number that will not do.
    """
    if text.strip().lower() in ("", "none", "–"):
        return None
    fields: dict[str, Any] = {}
    for part in re.split(r"[,;]\s+|;", text.strip()):
        found = re.fullmatch(r"(\w+)\s*([-−]?\d+(?:[.,]\d+)?)\s*%?", part.strip())
        if found is None or found[1].lower() not in _GRADES:
            raise ChangeError(f"grade: type {GRADE_HINT}; not '{part.strip()[:30]}'")
        name, value = found[1].lower(), float(found[2].replace(",", ".").replace("−", "-"))
        low, high, unit = _WITHIN[name]
        if not low <= value <= high:
            raise ChangeError(f"grade: {name} is {low:g} to {high:g}{unit}; not {value:g}{unit}")
        fields[name] = round(value / _GRADES[name], 6)
    try:
        return Grade.model_validate(fields).model_dump(mode="json", exclude_defaults=True) or None
    except ValueError:  # each is within its range: only the two beside each other can be wrong
        raise ChangeError(
            f"grade: white ({fields.get('white', 1) * 100:g} %) must be at least 10 % above black "
            f"({fields.get('black', 0) * 100:g} %)"
        ) from None
