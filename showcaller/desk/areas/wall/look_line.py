"""A look in a line, read: its name, from where in the song, what is on it where, and how it comes. Pure.

``chorus at 33: Tide, Left camera left, Right camera right, fade over 4 after 2, mix over 8``. What stands
behind a source counts for that layer, until the next source is named.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from showcaller.desk.areas.wall.covering import covered, place_named
from showcaller.desk.areas.wall.grips import Box, placed
from showcaller.desk.areas.wall.layer_fields import UNDISTORTED, layer_edit, layer_fields
from showcaller.desk.areas.wall.named import found
from showcaller.editing import ChangeError
from showcaller.editing.forms.look_change import EASES, WAYS, parse_how
from showcaller.editing.naming import free_id
from showcaller.model import Layer, Show, Source, Wall
from showcaller.screen.costs import unmatched
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.surfaces import first_id, surface_named
from showcaller.values import Struct, replace

LOOK_HINT = (
    "a name, and if you like the bar and what is on it: chorus at 33: Tide, Left camera left, "
    "fade over 4 after 2, mix over 8. A name alone begins as the look that is shown"
)
LAYER_HINT = "and where: all, left, middle, right, left half …; fade over 4 after 2, posterize 4, 70 %, …"
SEVERAL = re.compile(r"\s*[;,](?!\d)\s*")
"""Between the parts of a line; a comma before a digit may be a decimal one."""

_PLACE = re.compile(r"^(?P<name>.*?)\s+at\s+(?:bar\s+)?(?P<place>\d[\d:/.]*)\s*$", re.IGNORECASE)
_OPTIONS = (
    ("treatments", re.compile(r"(tint|posteri[sz]e|monochrome|contrast|blur|mirror|luma key|colou?r key)\b")),
    ("arrives", re.compile(r"(fade|grow|with the look)\b")),
    ("crop", re.compile(r"crop\b")),
    ("flip", re.compile(r"flip\b")),
    ("soft", re.compile(r"soft( edge)?\b(?! (start|end|both))")),
    ("straight", re.compile(r"direct\b")),
    ("opacity", re.compile(r"(opacity\b|\d+([.,]\d+)?\s*%)")),
    ("plays", re.compile(r"(from \d|at \d|in \d|(loop|hold|anew|runs on)$)")),
)
"""How what is said of a layer begins, by the field that it goes to."""
_LED = ("crop", "flip", "soft edge", "soft", "opacity")
"""Words before a field's text that are not of it."""


class LookLine(Struct, frozen=True):
    """A look as it is typed: ``place`` is empty for here, ``layers`` is None where none are listed."""

    name: str
    place: str
    layers: tuple[dict[str, Any], ...] | None
    how: dict[str, Any]


class _Said(Struct):
    """A layer as far as it was read: where it is to lie, and what else is said of it."""

    source: Source
    part: str = ""
    options: list[tuple[str, str]] | None = None


def read_look(show: Show, wall: Wall, text: str) -> LookLine:
    """A look in a line, its layers as a document has them.

    Raises:
        ChangeError: it has no name, or a part of the line means nothing; one sentence.
    """
    head, colon, rest = text.partition(": ") if ": " in text else text.strip().partition(":")
    if colon and head[-1:].isdigit() and rest[:1].isdigit():  # a time, and no list behind it
        head, colon, rest = text, "", ""
    there = _PLACE.match(head.strip())
    name, place = (there["name"], there["place"]) if there is not None else (head, "")
    if re.match(r"at\s+(?:bar\s+)?[-−\d]", head.strip(), re.IGNORECASE) or not name.strip():
        raise ChangeError("a look needs a name, before at and before the colon: type one, or press Escape")
    if below := re.search(r"\bat\s+(?:bar\s+)?([-−]\s*\d+)\s*$", name):
        raise ChangeError(f"there is no bar {below[1]}; bars and beats count from 1")
    if not colon:
        _colon_forgotten(show, head)
        return LookLine(name.strip(), place, None, {})
    layers, how = _read(show, wall, rest)
    return LookLine(
        name.strip(), place, tuple(_parts(show, wall, layers, ())), parse_how(how, beats_needed=True)
    )


def _colon_forgotten(show: Show, head: str) -> None:
    """Whether layers are listed behind a bar, or a source behind a comma, with no colon before them.

    Raises:
        ChangeError: they are.
    """
    begun = re.match(r"(.*?\s+at\s+(?:bar\s+)?\d[\d:/.]*)[\s;,]+(.+)$", head.strip(), re.IGNORECASE)
    if begun is None:
        begun = re.match(r"([^;,]+)[;,]\s*(.+)$", head.strip())
    word = "" if begun is None else SEVERAL.split(begun[2])[0].split(" ")[0].lower()
    if begun is not None and any(word in s.name.lower().split() for s in show.sources):
        raise ChangeError(f"a colon is missing before what is on it: {begun[1]}: {begun[2]}"[:200])


def layers_words(show: Show, parts: Sequence[dict[str, Any]]) -> str:
    """Layers as they were understood: ``Tide all over, posterize 4; Left camera 13 × 10 m at 0, 0 m``."""
    return "; ".join(_layer_words(show, part) for part in parts) or "nothing on it yet"


def _layer_words(show: Show, part: dict[str, Any]) -> str:
    layer = Layer.model_validate(part)
    source = next(s for s in show.sources if s.id == layer.source)
    fields = {f.key: f.text for f in layer_fields(layer, source, (), show.lengths)}
    wall = surface_named(show, layer.surface or "") or show.surfaces[0]
    whole = (layer.width_m, layer.height_m) == (round(wall.width_m, 4), round(wall.height_m, 4))
    lies = "all over" if whole else f"{fields['size']} at {fields['place']}"
    if len(show.surfaces) > 1:
        lies = f"{lies} on {wall.name}" if not whole else f"all over {wall.name}"
    usual = {"opacity": "100 %", "treatments": "none", "flip": "none", "straight": "no", "plays": "as it is",
             "arrives": "with the look"}  # fmt: skip
    said = {"flip": f"flip {fields['flip']}", "straight": "direct"}
    done = [said.get(key, fields[key]) for key, text in usual.items() if fields[key] != text]
    if fields["shape"] != UNDISTORTED:
        done.insert(0, fields["shape"])
    if (layer.crop.left, layer.crop.top) != (layer.crop.right, layer.crop.bottom):
        done.insert(0, f"crop {fields['crop']}")
    return ", ".join([f"{source.name} {lies}", *done])


def read_layers(show: Show, wall: Wall, text: str, there: Sequence[Layer]) -> tuple[dict[str, Any], ...]:
    """Layers in a line, in front of those that are ``there``, as a document has them.

    Raises:
        ChangeError: none is named, or a part of the line means nothing; one sentence.
    """
    layers, how = _read(show, wall, text)
    if not layers:
        raise ChangeError("type a source's name")
    if how:
        raise ChangeError(f"'{how}' is how a look comes, and no layer; the transition is asked for by itself")
    return tuple(_parts(show, wall, layers, there))


def _read(show: Show, wall: Wall, text: str) -> tuple[list[_Said], str]:
    layers: list[_Said] = []
    how = ""
    waiting = [piece for piece in SEVERAL.split(text.strip()) if piece]
    while waiting:
        piece = " ".join(waiting.pop(0).split())
        lower = piece.lower()
        named = _begins_with(show.sources, piece)
        option = next((key for key, begins in _OPTIONS if begins.match(lower)), "")
        if named is None and lower.split()[0] in WAYS:
            if how:
                raise ChangeError(f"'{how}' and '{piece}': a look comes in one way; take one of them out")
            how = piece
        elif named is None and how and lower in EASES:
            how = f"{how} {piece}"
        elif named is None and layers and option:
            layers[-1] = _with(layers[-1], option, piece)
        elif named is None and layers and place_named(show, wall, piece) is not None:
            layers[-1].part = piece
        else:
            source, rest = named or _meant(show, piece, layers)
            part, rest = _part_at_head(show, wall, rest)
            layers.append(_Said(source, part))
            if rest:
                key = next((key for key, begins in _OPTIONS if begins.match(rest.lower())), "")
                if not key:
                    raise ChangeError(f"{source.name}: '{rest[:30]}' means nothing there; type {LAYER_HINT}")
                waiting.insert(0, rest)
    return layers, how


def _with(layer: _Said, key: str, piece: str) -> _Said:
    led = next((w for w in _LED if key != "treatments" and piece.lower().startswith(f"{w} ")), "")
    text = "yes" if key == "straight" else piece[len(led) :].strip()
    return replace(layer, options=[*(layer.options or []), (key, text)])


def _begins_with(sources: Iterable[Source], piece: str) -> tuple[Source, str] | None:
    """The source whose whole name a piece begins with, the longest such; and the rest."""
    for source in sorted(sources, key=lambda s: len(s.name), reverse=True):
        name = source.name
        rest = piece[len(name) :]
        if piece.lower().startswith(name.lower()) and rest[:1] in ("", " "):
            return source, rest.strip()
    return None


def _meant(show: Show, piece: str, layers: Sequence[_Said]) -> tuple[Source, str]:
    """A source by a part of its name, of as many words as any source has; and the rest."""
    words = piece.split()
    for n in range(len(words), 0, -1):
        head = " ".join(words[:n]).lower()
        if any(head in s.name.lower() for s in show.sources):
            return found(show.sources, head, "source"), " ".join(words[n:])
    if layers:
        said = f"'{piece[:30]}' is no source, and nothing that is done to {layers[-1].source.name}"
        raise ChangeError(f"{said}; type {LAYER_HINT}")
    return found(show.sources, piece, "source"), ""


def _part_at_head(show: Show, wall: Wall, text: str) -> tuple[str, str]:
    words = text.split()
    for n in range(len(words), 0, -1):
        if place_named(show, wall, " ".join(words[:n])) is not None:
            return " ".join(words[:n]), " ".join(words[n:])
    return "", text


def _parts(
    show: Show, wall: Wall, layers: Sequence[_Said], there: Sequence[Layer]
) -> Iterator[dict[str, Any]]:
    """Each layer as a document has it; what is not said to lie anywhere fills an empty look, else lies in
    front about the middle."""
    before = list(there)
    for said in layers:
        source = said.source
        layer = Layer(source=source.id, left_m=0, bottom_m=0, width_m=wall.width_m, height_m=wall.height_m)
        place = place_named(show, wall, said.part or ("" if before else "all"))
        on = wall if place is None else place[0]
        fields = covered(place[1], layer, source) if place else _aside(wall, layer, source, before)
        keys = {x.key for x in before}
        if source.id in keys:
            fields["id"] = free_id(source.id, keys)
        if on.id != first_id(show):
            fields["surface"] = on.id
        layer = Layer.model_validate({"source": source.id, **fields})
        for key, text in _joined(said.options or []):
            layer = Layer.model_validate(
                {**layer.model_dump(mode="json"), **layer_edit(layer, source, key, text, show.lengths)}
            )
        wrong = unmatched(on, layer, source) if layer.straight else ""
        if wrong:
            raise ChangeError(f"{source.name} cannot go direct: {wrong}; scale its file to that, or move it")
        before.append(layer)
        yield layer.model_dump(mode="json", exclude_defaults=True)


def _joined(options: Sequence[tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """What goes to one field as one text, in the order in which it was typed."""
    for key in dict.fromkeys(key for key, _ in options):
        yield key, ", ".join(text for k, text in options if k == key)


def _aside(wall: Wall, layer: Layer, source: Source, before: Sequence[Layer]) -> dict[str, Any]:
    """A third of the width about the middle, beside the one that was put there last, so that both can be
    seen and taken hold of."""
    width = wall.width_m / 3
    height = min(wall.height_m, width / (natural_aspect(layer, source) or 16 / 9))
    aside = sum(abs(x.width_m - width) < 0.01 for x in before) % 5 * wall.width_m * 0.03
    left, bottom = (wall.width_m - width) / 2 + aside, (wall.height_m - height) / 2 - aside / 2
    return placed(Box(left, bottom, width, height))
