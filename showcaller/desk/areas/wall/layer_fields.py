"""The fields of a layer: as they are shown, and what a typed text means. No Qt."""

import re
from typing import Any

from showcaller.desk.areas.wall.grips import fitted, placed
from showcaller.editing import ChangeError
from showcaller.model import Crop, Layer, Show, Source
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.measures import MeasureError, Unit, length_text, lengths, place_text, size_text
from showcaller.screen.playwords import PLAYS_HINT, plays_from, plays_text
from showcaller.screen.setup.of_wall import SIZE, SIZE_EXAMPLE
from showcaller.screen.surfaces import first_id, surfaces_of
from showcaller.screen.words import WordsError, crop_from, crop_text, treatments_from, treatments_text
from showcaller.values import Struct


class LayerField(Struct, frozen=True):
    """A field of a layer as it is typed: its label, its text, what may be typed."""

    key: str
    label: str
    text: str
    hint: str
    tone: str = "text"


DISTORTED = 0.02
"""From here on a picture is said to be distorted: the share by which it is too wide or too high. Common
practice, no source: less is lost in the rounding of metres and pixels, and nobody sees a circle become an
ellipse."""

PLAYED = frozenset({"source", "size", "shape", "place", "crop", "opacity", "treatments", "flip"})
"""Those that can be typed into while a show is on."""


def surfaces_field(show: Show, layer: Layer) -> tuple[LayerField, ...]:
    """On which surfaces a layer is, its own first; nothing where there is one alone."""
    if len(show.surfaces) < 2:
        return ()
    names = {s.id: s.name for s in show.surfaces}
    on = ", ".join(names.get(s, s) for s in surfaces_of(layer, first_id(show)))
    return (LayerField("surfaces", "surfaces", on, f"any of: {', '.join(names.values())}"),)


def layer_fields(
    layer: Layer, source: Source, sources: tuple[Source, ...] = (), unit: Unit = "m"
) -> tuple[LayerField, ...]:
    """What the side of the wall area shows of a chosen layer; ``sources`` are those it may have."""
    shape = shape_words(layer, source)
    arrives = layer.arrives
    if arrives != "with the look" or layer.arrives_after:
        arrives = f"{layer.arrives} over {layer.arrives_over:g} after {layer.arrives_after:g}"  # type: ignore[assignment]
    names = ", ".join(s.name for s in sources)
    return (
        LayerField("source", "source", source.name, f"a source by its name or a part of it: {names}"),
        LayerField("size", "width × height", size_text(layer.width_m, layer.height_m, unit),
                   "8.5 x 5.1 m, 28' x 16'6\"; or one length, and the picture keeps its shape"),
        LayerField("shape", "its shape", shape, "type undistorted: the height that its picture has",
                   "text" if shape == UNDISTORTED else "caution"),
        LayerField("place", "left, bottom", place_text(layer.left_m, layer.bottom_m, unit),
                   "from its surface's lower left corner: 25.95, 2.42 m; 85', 8'"),
        LayerField("crop", "crop", crop_text(layer.crop), "left 20 % right 10 % top 5 % bottom 0 %; or none"),
        LayerField("opacity", "opacity", f"{layer.opacity * 100:g} %", "0 to 100 %"),
        LayerField("treatments", "treatment", treatments_text(layer.treatments) or "none",
                   "tint #102A43 #FFB347, posterize 4, monochrome, contrast 1.5, blur 2 %, mirror 3 x 2, "
                   "luma key bright 25 %, colour key #00B140; or none"),
        LayerField("flip", "flip", layer.flip, "none, across, down or both"),
        LayerField("soft", "soft edge", length_text(layer.soft_edge_m, unit) + " m" * (unit == "m"),
                   "how wide, 0 for a hard edge: 0.5 m, 1'6\""),
        LayerField("straight", "direct", "yes" if layer.straight else "no",
                   "yes: passed straight to the inputs it fills, taking no channel"),
        LayerField("plays", "clip plays", plays_text(layer.plays), PLAYS_HINT),
        LayerField("arrives", "arrives", arrives,
                   "with the look; or fade over 4 after 2, grow over 4 (beats)"),
    )  # fmt: skip


UNDISTORTED = "undistorted"


def shape_words(layer: Layer, source: Source) -> str:
    """``undistorted``, or ``distorted: 25 % too wide``."""
    aspect = natural_aspect(layer, source)
    if aspect is None:
        return "nothing is left of it: all is cropped"
    off = max(1e-6, layer.width_m / layer.height_m / aspect)
    if max(off, 1 / off) < 1 + DISTORTED:
        return UNDISTORTED
    return f"distorted: {(max(off, 1 / off) - 1) * 100:.0f} % too {'wide' if off > 1 else 'high'}"


_AT = (("left", -10_000.0, 10_000.0), ("bottom", -10_000.0, 10_000.0))


def layer_edit(layer: Layer, source: Source, key: str, text: str, unit: Unit = "m") -> dict[str, Any]:
    """The fields that a typed text means; a length without a unit is in ``unit``.

    Raises:
        ChangeError: it means nothing here; one sentence.
    """
    try:
        if key in _LENGTHS:
            return _LENGTHS[key](layer, source, text.strip(), unit)
        return _EDITS[key](layer, source, text.strip())
    except (WordsError, MeasureError) as error:
        raise ChangeError(str(error)) from None


def _numbers(text: str, what: str, count: tuple[int, ...]) -> list[float]:
    cleaned = text.replace("×", " ").replace("x", " ").replace("m", " ").replace("%", " ").split("(")[0]
    parts = cleaned.replace(", ", " ").replace(";", " ").split()
    try:
        found = [float(p.replace(",", ".")) for p in parts]
    except ValueError:
        found = []
    if len(found) not in count:
        raise ChangeError(f"{what}, not '{text}'")
    return found


def _size(layer: Layer, source: Source, text: str, unit: Unit) -> dict[str, Any]:
    found = lengths(text, unit, "width × height", SIZE, SIZE_EXAMPLE, least=1)
    if len(found) == 1:
        aspect = natural_aspect(layer, source) or layer.width_m / layer.height_m
        found.append(round(found[0] / aspect, 3))
    return {"width_m": found[0], "height_m": found[1]}


def _at(_layer: Layer, _source: Source, text: str, unit: Unit) -> dict[str, Any]:
    left, bottom = lengths(text, unit, "left, bottom", _AT, "25.95, 2.42 m, or 85', 8'")
    return {"left_m": left, "bottom_m": bottom}


def _opacity(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    (percent,) = _numbers(text, "opacity: type 0 to 100 %", (1,))
    if not 0 <= percent <= 100:
        raise ChangeError(f"opacity: type 0 to 100 %, not '{text}'")
    return {"opacity": percent / 100}


def _shape(layer: Layer, source: Source, text: str) -> dict[str, Any]:
    if text == shape_words(layer, source):
        return {}
    if not text or not UNDISTORTED.startswith(text.lower()):
        raise ChangeError(f"its shape: type undistorted; size and crop make it another; not '{text[:30]}'")
    return placed(fitted(layer, source))


def _flip(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    if text.lower() not in ("none", "across", "down", "both"):
        raise ChangeError(f"flip: type none, across, down or both; not '{text[:30]}'")
    return {"flip": text.lower()}


def _straight(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    if text.lower() not in ("yes", "no", "y", "n"):
        raise ChangeError(f"direct: type yes or no, not '{text[:30]}'")
    return {"straight": text.lower().startswith("y")}


def _arrives(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    found = re.fullmatch(
        r"with the look|(?P<how>fade|grow)(?:\s+over\s+(?P<over>\S+))?(?:\s+after\s+(?P<after>\S+))?",
        text.lower(),
    )
    if found is None:
        raise ChangeError(
            f"arrives: type with the look, fade over 4, or grow over 4 after 2; not '{text[:30]}'"
        )
    beats = {}
    for word in ("over", "after"):
        given = (found[word] or "0").replace(",", ".")
        if re.fullmatch(r"\d+(\.\d+)?", given) is None or float(given) > 256:
            raise ChangeError(f"arrives: beats after '{word}' are 0 to 256; not '{given}'")
        beats[f"arrives_{word}"] = float(given)
    return {"arrives": found["how"] or "with the look", **beats}


def _crop(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    crop: Crop = crop_from(text)
    return {"crop": crop.model_dump(mode="json")}


def _treatments(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    return {"treatments": [t.model_dump(mode="json") for t in treatments_from(text)]}


def _soft(_layer: Layer, _source: Source, text: str, unit: Unit) -> dict[str, Any]:
    (metres,) = lengths(text, unit, "soft edge", (("its width", 0.0, 100.0),))
    return {"soft_edge_m": metres}


def _plays(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    plays = plays_from(text)
    return {"plays": None if plays is None else plays.model_dump(mode="json", exclude_defaults=True)}


_EDITS = {
    "shape": _shape, "crop": _crop, "opacity": _opacity, "treatments": _treatments, "flip": _flip,
    "straight": _straight, "plays": _plays, "arrives": _arrives,
}  # fmt: skip
_LENGTHS = {"size": _size, "place": _at, "soft": _soft}
