"""How much there is of a layer's opacity, or of its treatment, from 0 to 1 as a fader has it. Pure."""

from typing import Any

from showcaller.editing import ChangeError
from showcaller.model import Layer

RANGES: dict[str, tuple[str, float, float]] = {
    "posterize": ("levels", 64, 2),
    "monochrome": ("amount", 0, 1),
    "contrast": ("amount", 1, 4),
    "luma key": ("cut", 0, 1),
    "colour key": ("near", 0, 0.8),
    "blur": ("radius", 0.0005, 0.1),
}
"""Of each treatment: the field, and what it is with a fader down and up (the ends are our choice)."""


def present(layer: Layer, what: str) -> float:
    """Where a fader would stand; ``what`` is ``opacity`` or ``amount``.

    Raises:
        ChangeError: the layer has no treatment with an amount.
    """
    if what == "opacity":
        return float(layer.opacity)
    n, (name, down, up) = _treatment(layer)
    return min(1.0, max(0.0, (float(getattr(layer.treatments[n], name)) - down) / (up - down)))


def fields(layer: Layer, what: str, value: float) -> dict[str, Any]:
    """What is played for a fader that stands at ``value``, 0 to 1.

    Raises:
        ChangeError: the layer has no treatment with an amount.
    """
    if what == "opacity":
        return {"opacity": round(value, 4)}
    n, (name, down, up) = _treatment(layer)
    amount = round(down + value * (up - down), 4)
    made = [t.model_dump(mode="json") for t in layer.treatments]
    made[n][name] = round(amount) if name == "levels" else amount
    return {"treatments": made}


def _treatment(layer: Layer) -> tuple[int, tuple[str, float, float]]:
    for n, treatment in enumerate(layer.treatments):
        if treatment.kind in RANGES:
            return n, RANGES[treatment.kind]
    raise ChangeError(f"the chosen layer has no treatment with an amount; give it one: {', '.join(RANGES)}")
