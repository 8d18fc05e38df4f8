"""Which look is on the wall at an instant, and what the wall area says of it. Pure."""

from dataclasses import dataclass

from showcaller.calling.runbook import RunBook
from showcaller.calling.wording import plural
from showcaller.model import Look, Show, Wall
from showcaller.screen.costs import channels
from showcaller.screen.geometry import Rect, layer_rect, pixel_pitch_mm, touched


@dataclass(frozen=True, slots=True)
class LayerView:
    """A layer: where it lies (px of the wall's grid), its words, what it takes, which inputs feed it."""

    rect: Rect
    name: str
    kind: str
    size: str
    cost: str
    inputs: str
    treatment: str


@dataclass(frozen=True, slots=True)
class WallView:
    """The wall with a look on it. ``looks`` are the changes of this item: (cue name, look, how, is on)."""

    wall: Wall
    title: str
    line: str
    layers: tuple[LayerView, ...]
    facts: str
    used: int
    looks: tuple[tuple[str, str, str, bool], ...]
    sources: tuple[tuple[str, str, bool], ...]


def current_change(book: RunBook, item: int) -> tuple[int | None, str | None]:
    """(place of the cue, look) on the wall in this item: the last fired, else the item's first."""
    planned = book.program.items[item].planned
    changes = [k for k, c in enumerate(planned.cues) if c.cue.look is not None]
    marks = book.state.marks[item]
    fired = [k for k in changes if k in marks and marks[k].status == "fired"]
    k = max(fired, key=lambda n: marks[n].at_ns) if fired else changes[0] if changes else None
    change = planned.cues[k].cue.look if k is not None else None
    return k, change.look if change else None


def wall_view(book: RunBook, item: int, cue: int | None = None) -> WallView | None:
    """The wall area's content; ``cue`` shows that change, not the one that is on. None without a wall."""
    show = book.program.plan.show
    if show.wall is None:
        return None
    planned = book.program.items[item].planned
    changes = [k for k, c in enumerate(planned.cues) if c.cue.look is not None]
    on, look_id = current_change(book, item)
    if cue is not None and changes:
        on = changes[max(0, min(cue, len(changes) - 1))]
        change = planned.cues[on].cue.look
        look_id = change.look if change else None
    look = next((k for k in show.looks if k.id == look_id), None)
    really_id = current_change(book, item)[1]
    really = next((k for k in show.looks if k.id == really_id), None)
    line = f"look “{look.name}”" if look else "nothing on the wall in this item"
    if look is not really and look is not None and really is not None:
        line = f"looking at “{look.name}” · on the wall: “{really.name}”"
    layers = tuple(_layers(show, show.wall, look)) if look else ()
    used = sum(channels(show.wall, x) for x in look.layers) if look else 0
    return WallView(
        show.wall,
        planned.item.name,
        line,
        layers,
        _facts(show.wall),
        used,
        tuple(_changes(book, item, changes, on)),
        tuple(_sources(show, really)),
    )


def _layers(show: Show, wall: Wall, look: Look) -> list[LayerView]:
    sources = {s.id: s for s in show.sources}
    views = []
    for layer in look.layers:
        source = sources[layer.source]
        cost = channels(wall, layer)
        names = ", ".join(i.name for i, _ in touched(wall, layer)) or "off the wall"
        views.append(
            LayerView(
                layer_rect(wall, layer),
                source.name,
                source.kind,
                f"{layer.width_m:g} × {layer.height_m:g} m at {layer.left_m:g}, {layer.bottom_m:g}",
                "straight" if layer.straight else plural(cost, "channel"),
                names,
                layer.treatment or "",
            )
        )
    return views


def _facts(wall: Wall) -> str:
    size = f"{wall.width_m:g} × {wall.height_m:g} m · {wall.width_px} × {wall.height_px} px"
    pitch = f"{pixel_pitch_mm(wall):.1f} mm pitch"
    return f"{size} · {pitch} · {plural(len(wall.inputs), 'input')}"


def _changes(
    book: RunBook, item: int, changes: list[int], on: int | None
) -> list[tuple[str, str, str, bool]]:
    show = book.program.plan.show
    names = {k.id: k.name for k in show.looks}
    rows = []
    for k in changes:
        cue = book.program.items[item].planned.cues[k].cue
        assert cue.look is not None
        how = cue.look.by + (f", {cue.look.beats:g} beats" if cue.look.beats else "")
        label = f"{show.department(cue.department).name} {cue.number}"
        rows.append((label, names[cue.look.look], how, k == on))
    return rows


def _sources(show: Show, look: Look | None) -> list[tuple[str, str, bool]]:
    shown = {layer.source for layer in look.layers} if look else set()
    return [(s.name, s.kind, s.id in shown) for s in show.sources]
