"""What the wall area says of a scene, in words and places. Pure."""

from collections.abc import Iterable, Mapping
from functools import lru_cache

from showcaller.calling.wording import plural, span
from showcaller.desk.areas.wall.here import anchor, instant, long_since
from showcaller.desk.areas.wall.pool_use import PoolUse, pool_uses
from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.source_cards import CardView, source_cards
from showcaller.desk.keys import Keys
from showcaller.model import Layer, Song
from showcaller.model.base import ById
from showcaller.screen.advice import Budget
from showcaller.screen.costs import channels, straight_trouble
from showcaller.screen.faults import Panel
from showcaller.screen.geometry import layer_rect, pixel_pitch_mm, touched
from showcaller.screen.looks import BLACK, layer_keys
from showcaller.screen.measures import size_text
from showcaller.screen.off_wall import off_wall, off_wall_words
from showcaller.screen.picture import change_words
from showcaller.screen.remedies import nudges_of
from showcaller.screen.surfaces import split_key
from showcaller.screen.words import treatments_text
from showcaller.values import Struct

_GOING = {"mix": "mixing into", "move": "moving into", "wipe": "wiping to", "cut": "to"}


class LayerRow(Struct, frozen=True):
    """A layer in the list: what it goes by, its words, and whether something is wrong with it."""

    key: str
    name: str
    kind: str
    size: str
    more: str
    cost: str
    wrong: bool = False

    @property
    def words(self) -> str:
        """What stands under the name: what is wrong first."""
        return f"{self.more} · {self.size}" if self.wrong else f"{self.size} · {self.more}"


class Bar(Struct, frozen=True):
    """So many channels from ``start_s`` until ``end_s``; ``over`` of them are not there."""

    start_s: float
    end_s: float
    count: int
    over: int


class PoolBars(Struct, frozen=True):
    """A pool's channels over the item: how many there are, how many are needed when, and at most; the names
    of the surfaces that share it, where there are several."""

    name: str
    limit: int
    bars: tuple[Bar, ...]
    most: int
    shared_by: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """``Rack 2, 2 channels for Side left, Side right``."""
        shared = f" for {', '.join(self.shared_by)}" if self.shared_by else ""
        return f"{self.name}, {plural(self.limit, 'channel')}{shared}"


class WallView(Struct, frozen=True):
    """The wall area's words. Layers are listed from the front."""

    title: str
    place: str
    line: str
    rows: tuple[LayerRow, ...]
    uses: tuple[PoolUse, ...]
    pools: tuple[PoolBars, ...]
    length_s: float
    sections: tuple[tuple[float, str], ...]
    changes: tuple[tuple[float, str], ...]
    sentences: tuple[str, ...]
    cards: tuple[CardView, ...]
    facts: str


def wall_view(
    scene: Scene,
    keys: Keys,
    faults: Mapping[Panel, str] | None = None,
    meant: Scene | None = None,
    beside: bool = False,
) -> WallView:
    """The wall area's words for a scene; ``faults`` are the panels marked tonight. The layers are those of
    ``meant``, if that is another: what is next. ``beside``: a show is on, and this is an item's plan."""
    meant = meant or scene
    rows = [_row(meant, key) for key in layer_keys(meant.spread_look)]
    short = [s for budget in scene.budgets for s in budget.shortages]
    off = _off_wall_words(ById(scene.show), ById(scene.planned))
    return WallView(
        title=scene.plan.items[scene.item].item.name,
        place=" · ".join(_place(scene)),
        line=_line(scene, keys, beside),
        rows=tuple(reversed(rows)),
        uses=pool_uses(meant),
        pools=tuple(_bars(budget) for budget in scene.budgets),
        length_s=scene.planned.length_s,
        sections=_sections(scene),
        changes=tuple((s.at_s, _with_bar(s.bar, s.look.name)) for s in scene.planned.standing if s.cue),
        sentences=tuple(s.sentence for s in sorted(short, key=lambda s: s.start_s)) + ((off,) if off else ()),
        cards=source_cards(scene),
        facts=_facts(scene, len(faults or {})),
    )


def _bars(of: Budget) -> PoolBars:
    bars = tuple(Bar(x.start_s, x.end_s, x.count, max(0, x.count - of.limit)) for x in of.graph)
    names = tuple(s.name for s in of.pool.surfaces)
    return PoolBars(of.pool.name, of.limit, bars, of.most, names if len(names) > 1 else ())


def _place(scene: Scene) -> list[str]:
    """Section, bar, time into the item."""
    planned = scene.plan.items[scene.item]
    position = planned.bar_at(instant(scene.at_s))
    words = []
    if position is not None and isinstance(planned.item, Song):
        passed = [s for s in planned.item.sections if s.bar <= max(1, position[0])]
        if passed:
            words.append(max(passed, key=lambda s: s.bar).name)
        words.append(f"bar {max(1, position[0])}")
    words.append(span(scene.at_s))
    return words


def _line(scene: Scene, keys: Keys, beside: bool) -> str:
    words, now = _place(scene), scene.standing
    if beside:
        words.insert(0, f"the plan, not what is on: {keys['wall.follow']} goes back to that")
    tried = ""
    if scene.tried:
        tried = f", previewed: {keys['wall.keep']} puts it into {_cue_here(scene)}, {keys['leave']} goes back"
    n = scene.looks.index_at(scene.at_s)
    if n > 0 and scene.at_s < now.arrived_s:
        words.append(
            f"“{scene.looks.standing[n - 1].look.name}” {_GOING[now.change.by]} “{now.look.name}”{tried}"
        )
    else:
        empty = "" if now.look.layers else ", nothing on it"
        named = "nothing on the wall" if now.look == BLACK else f"look “{now.look.name}”{empty}"
        words.append(f"{named}{tried}")
    away = scene.away
    if away:
        words.append(f"away from the plan: {away} ({keys['wall.plan']} goes back)")
    coming = scene.coming
    if coming is not None:
        in_s = coming.at_s - scene.at_s
        when = f"in {span(in_s)}" if in_s >= 0 else f"planned {span(-in_s)} ago"
        words.append(f"next “{coming.look.name}”: {change_words(coming.change)}, {when}")
    return " · ".join(words)


@lru_cache(maxsize=8)  # a hand on a fader asks sixty times a second
def _off_wall_words(show: ById, planned: ById) -> str:
    return off_wall_words(off_wall(show.part, (s.look for s in planned.part.standing)))


def _cue_here(scene: Scene) -> str:
    item = scene.plan.items[scene.item].item
    cue = next((c for c in item.cues if c.id == scene.standing.cue), None)
    if cue is None:
        return "a new cue here"
    return f"a new cue at {anchor(scene)[2]}" if long_since(scene) else f"cue {cue.number}"


def _row(scene: Scene, key: str) -> LayerRow:
    """A layer, or a further place of one."""
    found = scene.layer(key)
    assert found is not None
    layer, wall, alone = found[1], scene.surface(key), len(scene.show.surfaces) == 1
    source = next(s for s in scene.show.sources if s.id == layer.source)
    cost = channels(wall, layer, source)
    inputs = [i.name for i, _ in touched(wall, layer)]
    wrong = straight_trouble(wall, layer, source)
    whole = len(inputs) == len(wall.inputs) > 1
    where = wrong or ("all inputs" if whole else ", ".join(inputs) if inputs else "off the wall")
    more = [where if alone else wall.name if where == wall.name else f"{wall.name}: {where}"]
    more += [treatments_text(layer.treatments) or layer.treatment or ""]
    hidden = scene.is_hidden(key)
    more += ["out, by hand" if hidden else f"{layer.opacity * 100:g} %" if layer.opacity < 1 else ""]
    more += [f"flipped {layer.flip}" if layer.flip != "none" else ""]
    names = scene.standing.look.layers[found[0]].key, split_key(key)[1] or None
    here = any((o.layer, o.surface) == names for o in scene.standing.change.overrides)
    more += ["here only" if here else ""]
    return LayerRow(
        key,
        source.name,
        source.kind,
        _size(scene, layer),
        " · ".join(m for m in more if m),
        "direct" if layer.straight and cost == 0 else f"{cost} ch",
        bool(wrong),
    )


def _size(scene: Scene, layer: Layer) -> str:
    if scene.show.lengths == "m":
        return f"{layer.width_m:.2f} × {layer.height_m:.2f} m"
    return size_text(layer.width_m, layer.height_m, scene.show.lengths)


def parts_sentence(scene: Scene, key: str, layer: Layer) -> str:
    """``Input C takes its first 12 %, input D the rest.``, and what a nudge would save."""
    wall = scene.surface(key)
    inputs = touched(wall, layer)
    whole = layer_rect(wall, layer).area
    if not inputs:
        return f"It lies off {'the wall' if wall is scene.wall else wall.name}."
    shares = [(i.name, part.area / whole) for i, part in inputs]
    seen = sum(share for _, share in shares)
    words = "shown by " + ", ".join(f"{name} {share * 100:.0f} %" for name, share in shares)
    off = "the wall" if wall is scene.wall else wall.name
    beside = f"; {(1 - seen) * 100:.0f} % of it lies off {off}" if seen < 0.995 else ""
    source = next(s for s in scene.show.sources if s.id == layer.source)
    nudge = next(iter(nudges_of(wall, layer, source)), None)
    saved = ""
    if nudge is not None:
        saved = f" {nudge.words(scene.show.lengths)} saves {plural(nudge.saved, 'channel')}."
    return f"{words[0].upper()}{words[1:]}{beside}.{saved}"


def _sections(scene: Scene) -> tuple[tuple[float, str], ...]:
    planned = scene.plan.items[scene.item]
    if not isinstance(planned.item, Song) or planned.tempo is None:
        return ()
    zero = planned.item.downbeat_s
    tempo, sections = planned.tempo, planned.item.sections
    return tuple((float(tempo.seconds(s.bar) + zero), _with_bar(s.bar, s.name)) for s in sections)


def _with_bar(bar: int | None, name: str) -> str:
    return name if bar is None else f"{max(1, bar)} {name}"


def _facts(scene: Scene, faults: int) -> str:
    wall = scene.wall
    size = f"{wall.width_m:g} × {wall.height_m:g} m"
    if scene.show.lengths == "ft":
        size = size_text(wall.width_m, wall.height_m, "ft")
    if len(scene.show.surfaces) > 1:
        size = f"{wall.name} {size}, {len(scene.show.surfaces)} surfaces"
    parts = [size, f"{pixel_pitch_mm(wall):.1f} mm pitch"]
    parts.append(plural(len(wall.inputs), "input"))
    if faults:
        parts.append(plural(faults, "fault"))
    return " · ".join(parts)


def graph_top(bars: Iterable[Bar], limit: int) -> int:
    """The count at the top of the channel graph: room for the limit and for what goes over it."""
    return max([limit, *(b.count for b in bars)]) + 1
