"""What is on the wall at an instant: every layer as it lies then, in the middle of a change too. Pure."""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Any

from showcaller.model import Crop, Layer, Wall
from showcaller.model.wall import Flip, LookChange
from showcaller.screen.geometry import Rect, layer_rect
from showcaller.screen.looks import Looks, Standing, beats_since, layer_keys
from showcaller.screen.playback import Playing, playing
from showcaller.values import Struct, replace

ONE_AREA: Mapping[str, Rect] = MappingProxyType({})


class Placed(Struct, frozen=True):
    """A layer at an instant.

    Attributes:
        key: what it goes by in its look.
        source: the source's id.
        rect: where it lies, px of the wall's grid.
        since_s: how long its source has been on the wall, s.
        soft_px: how far inside its edges it is at full opacity, px of the wall's grid.
        moving: it is on its way, so its place must be kept to a part of a pixel.
        plays: how its clip is played; None: from its first frame on, by time.
        area: of the wall's grid, px, where it may be seen; None: all of it.
    """

    key: str
    source: str
    rect: Rect
    crop: Crop
    opacity: float
    flip: Flip
    treatments: tuple[Any, ...]
    soft_px: float
    since_s: float
    straight: bool = False
    moving: bool = False
    plays: Playing | None = None
    area: Rect | None = None


class Picture(Struct, frozen=True):
    """Layers from back to front. During a mix or a wipe ``before`` holds those of the look that goes, and
    ``progress`` (0 to 1, eased) says how far ``layers`` have come; otherwise it is 1. ``areas`` are the
    surfaces on the wall's grid, the first one first, each wiped by itself; none: the grid is one.
    """

    layers: tuple[Placed, ...]
    before: tuple[Placed, ...] = ()
    by: str = "cut"
    progress: float = 1.0
    areas: tuple[Rect, ...] = ()

    @property
    def sources(self) -> frozenset[str]:
        """Ids of the sources seen."""
        return frozenset(p.source for p in (*self.before, *self.layers) if p.opacity > 0)


def eased(progress: float, ease: str) -> float:
    """How far a change has come, from how much of its beats has gone by; 0 to 1.

    Even, or a parabola at the slow ends; both: smoothstep, 3p² − 2p³.
    """
    p = min(1.0, max(0.0, progress))
    match ease:
        case "slow start":
            return p * p
        case "slow end":
            return 1 - (1 - p) * (1 - p)
        case "slow both":
            return p * p * (3 - 2 * p)
        case _:
            return p


def picture_at(wall: Wall, looks: Looks, at_s: float, areas: Mapping[str, Rect] = ONE_AREA) -> Picture:
    """The picture at an instant of an item. ``areas`` are the surfaces by id, where layers name theirs."""
    n = looks.index_at(at_s)
    now = looks.standing[n]
    layers, parts = _placed(wall, looks, now, at_s, areas), tuple(areas.values())
    if n == 0 or now.change.by == "cut":
        return Picture(layers, areas=parts)
    progress = _progress(looks, now, at_s)
    if progress >= 1:
        return Picture(layers, areas=parts)
    before = _placed(wall, looks, looks.standing[n - 1], at_s, areas)
    if now.change.by == "move":
        return Picture(tuple(_moved(before, layers, progress)), by="move", progress=progress, areas=parts)
    return Picture(layers, before, now.change.by, progress, parts)


def _progress(looks: Looks, now: Standing, at_s: float) -> float:
    """Eased progress of a change, in beats, so that it follows the tempo."""
    if now.change.beats <= 0:
        return 1.0
    start = _exact(now.at_s)
    whole = beats_since(looks.planned, start, _exact(now.arrived_s))
    gone = beats_since(looks.planned, start, _exact(at_s))
    return eased(gone / whole, now.change.ease) if whole > 0 else 1.0


def _exact(seconds: float) -> Fraction:
    return Fraction(round(seconds * 1_000_000), 1_000_000)


def _placed(
    wall: Wall, looks: Looks, standing: Standing, at_s: float, areas: Mapping[str, Rect]
) -> tuple[Placed, ...]:
    found = []
    keys = layer_keys(standing.look)
    for key, layer, since_s in zip(keys, standing.look.layers, standing.since_s, strict=True):
        come = _come(looks, standing, layer, at_s)
        if come > 0:
            how = playing(layer.plays, looks.planned, since_s, at_s)
            there = place(wall, layer, key, at_s - since_s, how, areas.get(layer.surface or ""))
            found.append(arriving(there, layer.arrives, come))
    return tuple(found)


def place(
    wall: Wall,
    layer: Layer,
    key: str,
    since_s: float,
    plays: Playing | None = None,
    area: Rect | None = None,
) -> Placed:
    """A layer at rest; without ``plays`` its clip is played by time."""
    return Placed(
        key,
        layer.source,
        layer_rect(wall, layer),
        layer.crop,
        layer.opacity,
        layer.flip,
        layer.treatments,
        layer.soft_edge_m * wall.width_px / wall.width_m,
        since_s,
        layer.straight,
        plays=plays or playing(layer.plays, None, 0.0, 0.0),
        area=area,
    )


def _come(looks: Looks, standing: Standing, layer: Layer, at_s: float) -> float:
    """How far a layer has come on its own, 0 to 1."""
    if layer.arrives_after == 0 and layer.arrives_over == 0:
        return 1.0
    gone = beats_since(looks.planned, _exact(standing.at_s), _exact(at_s)) - layer.arrives_after
    if gone < 0:
        return 0.0
    return 1.0 if layer.arrives_over == 0 else eased(gone / layer.arrives_over, "slow end")


def arriving(placed: Placed, how: str, come: float) -> Placed:
    """A layer that has come so far, by fading or growing from its middle."""
    if come >= 1 or how == "with the look":
        return placed
    if how == "fade":
        return replace(placed, opacity=placed.opacity * come)
    r = placed.rect
    wide, high = r.width * come, r.height * come
    grown = Rect(r.x + (r.width - wide) / 2, r.y + (r.height - high) / 2, wide, high)
    return replace(placed, rect=grown, moving=True)


def _moved(before: Iterable[Placed], after: Iterable[Placed], p: float) -> Iterable[Placed]:
    """Layers of the same name and source, on one surface, on their way; the others fade."""
    old = {(b.key, b.source, b.area): b for b in before}
    there = {(a.key, a.source, a.area) for a in after}
    for key, b in old.items():
        if key not in there:
            yield replace(b, opacity=b.opacity * (1 - p))
    for a in after:
        if (a.key, a.source, a.area) not in old:
            yield replace(a, opacity=a.opacity * p)
            continue
        b = old[a.key, a.source, a.area]
        if replace(b, since_s=a.since_s, plays=a.plays) == a:
            yield a
            continue
        now = replace(
            a,
            rect=Rect(
                *(_between(getattr(b.rect, n), getattr(a.rect, n), p) for n in ("x", "y", "width", "height"))
            ),
            crop=Crop(
                **{
                    n: _between(getattr(b.crop, n), getattr(a.crop, n), p)
                    for n in ("left", "right", "top", "bottom")
                }
            ),
            soft_px=_between(b.soft_px, a.soft_px, p),
            moving=True,
        )
        if b.treatments == a.treatments and b.flip == a.flip:
            yield replace(now, opacity=_between(b.opacity, a.opacity, p))
        else:  # the new treatment comes up over the old one, on the way
            yield replace(now, treatments=b.treatments, flip=b.flip, opacity=b.opacity)
            yield replace(now, opacity=a.opacity * p)


def _between(a: float, b: float, p: float) -> float:
    return a + (b - a) * p


def as_facts(layers: Iterable[Layer]) -> list[dict[str, Any]]:
    """Layers as the run's log keeps them, from the back: only what is not as usual, sizes in metres."""
    found = []
    for layer in layers:
        fact = layer.model_dump(mode="json", exclude_defaults=True)
        if layer.treatments:  # with what is usual too: it may be another in a later version
            fact["treatments"] = [t.model_dump(mode="json") for t in layer.treatments]
        found.append({k: round(v, 4) if isinstance(v, float) else v for k, v in fact.items()})
    return found


def change_words(change: LookChange) -> str:
    """``mix over 8 beats``."""
    if change.by == "cut" or change.beats == 0:
        return "cut"
    return f"{change.by} over {change.beats:g} beat{'' if change.beats == 1 else 's'}"
