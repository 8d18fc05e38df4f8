"""The fields of a layer: as they are shown, and what a typed text means. No Qt."""

from dataclasses import dataclass
from typing import Any

from showcaller.editing import ChangeError
from showcaller.model import Crop, Layer, Source
from showcaller.screen.geometry import natural_aspect
from showcaller.screen.words import WordsError, crop_from, crop_text, treatments_from, treatments_text


@dataclass(frozen=True, slots=True)
class LayerField:
    """A field of a layer as it is typed: its label, its text, what may be typed."""

    key: str
    label: str
    text: str
    hint: str


def _m(metres: float) -> str:
    """Two decimals, or a third where it matters."""
    text = f"{metres:.3f}"
    return text[:-1] if text.endswith("0") else text


PLAYED = frozenset({"source", "size", "place", "crop", "opacity", "treatments", "flip"})
"""Those that can be typed into while a show is on."""


def layer_fields(layer: Layer, source: Source, sources: tuple[Source, ...] = ()) -> tuple[LayerField, ...]:
    """What the side of the wall area shows of a chosen layer; ``sources`` are those it may have."""
    aspect = natural_aspect(layer, source)
    keeps = aspect is not None and abs(layer.width_m / layer.height_m / aspect - 1) < 0.01
    shape = "" if aspect is None else " (undistorted)" if keeps else " (distorted)"
    arrives = layer.arrives
    if arrives != "with the look" or layer.arrives_after:
        arrives = f"{layer.arrives} over {layer.arrives_over:g} after {layer.arrives_after:g}"  # type: ignore[assignment]
    names = ", ".join(s.name for s in sources)
    return (
        LayerField("source", "source", source.name, f"a source by its name or a part of it: {names}"),
        LayerField("size", "width × height", f"{_m(layer.width_m)} × {_m(layer.height_m)} m{shape}",
                   "metres: 8.5 x 5.1; or one number, and the picture keeps its shape"),
        LayerField("place", "left, bottom", f"{_m(layer.left_m)}, {_m(layer.bottom_m)} m",
                   "metres from the wall's lower left corner: 25.95, 2.42"),
        LayerField("crop", "crop", crop_text(layer.crop), "left 20 % right 10 % top 5 % bottom 0 %; or none"),
        LayerField("opacity", "opacity", f"{layer.opacity * 100:g} %", "0 to 100 %"),
        LayerField("treatments", "treatment", treatments_text(layer.treatments) or "none",
                   "tint #102A43 #FFB347, posterize 4, monochrome, contrast 1.5, blur 2 %, mirror 3 x 2, "
                   "luma key bright 25 %, colour key #00B140; or none"),
        LayerField("flip", "flip", layer.flip, "none, across, down or both"),
        LayerField("soft", "soft edge", f"{layer.soft_edge_m:g} m", "metres, 0 for a hard edge"),
        LayerField("straight", "direct", "yes" if layer.straight else "no",
                   "yes: passed straight to the inputs it fills, taking no channel"),
        LayerField("arrives", "arrives", arrives,
                   "with the look; or fade over 4 after 2, grow over 4 (beats)"),
    )  # fmt: skip


def layer_edit(layer: Layer, source: Source, key: str, text: str) -> dict[str, Any]:
    """The fields that a typed text means.

    Raises:
        ChangeError: it means nothing here; one sentence.
    """
    try:
        return _EDITS[key](layer, source, text.strip())
    except WordsError as error:
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


def _size(layer: Layer, source: Source, text: str) -> dict[str, Any]:
    found = _numbers(text, "type the size in metres, such as 8.5 x 5.1", (1, 2))
    if len(found) == 1:
        aspect = natural_aspect(layer, source) or layer.width_m / layer.height_m
        found.append(round(found[0] / aspect, 3))
    return {"width_m": found[0], "height_m": found[1]}


def _at(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    left, bottom = _numbers(text, "type left and bottom in metres, such as 25.95, 2.42", (2,))
    return {"left_m": left, "bottom_m": bottom}


def _opacity(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    (percent,) = _numbers(text, "type 0 to 100 %", (1,))
    return {"opacity": percent / 100}


def _flip(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    return {"flip": text.lower()}


def _straight(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    if text.lower() not in ("yes", "no", "y", "n"):
        raise ChangeError(f"type yes or no, not '{text}'")
    return {"straight": text.lower().startswith("y")}


def _arrives(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    words = text.lower().split()
    if not words or words[0] not in ("with", "fade", "grow"):
        raise ChangeError(f"type: with the look; fade over 4; grow over 4 after 2; not '{text}'")
    fields: dict[str, Any] = {
        "arrives": "with the look" if words[0] == "with" else words[0],
        "arrives_after": 0.0, "arrives_over": 0.0,
    }  # fmt: skip
    for word, name in (("over", "arrives_over"), ("after", "arrives_after")):
        if word in words:
            at = words.index(word) + 1
            fields[name] = _numbers(" ".join(words[at : at + 1]), f"type the beats after '{word}'", (1,))[0]
    return fields


def _crop(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    crop: Crop = crop_from(text)
    return {"crop": crop.model_dump(mode="json")}


def _treatments(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    return {"treatments": [t.model_dump(mode="json") for t in treatments_from(text)]}


def _soft(_layer: Layer, _source: Source, text: str) -> dict[str, Any]:
    (metres,) = _numbers(text, "type the soft edge in metres", (1,))
    return {"soft_edge_m": metres}


_EDITS = {
    "size": _size, "place": _at, "crop": _crop, "opacity": _opacity, "treatments": _treatments,
    "flip": _flip, "soft": _soft, "straight": _straight, "arrives": _arrives,
}  # fmt: skip
