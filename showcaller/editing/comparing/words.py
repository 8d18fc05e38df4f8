"""The words of a comparison: a note to the crew, not a list of fields."""

from collections.abc import Mapping
from fractions import Fraction
from typing import Any

from showcaller.editing.forms.of_item import item_fields
from showcaller.editing.placing import anchor_text, cue_name
from showcaller.model import BarAnchor, Cue, Item, Show
from showcaller.model.clockwords import m_ss
from showcaller.model.quantities import to_json


def cue_words(show: Show, cue: Cue) -> str:
    """``Video 14``."""
    return cue_name(show, cue)


def cue_moved(show: Show, item: Item, cue: Cue) -> str:
    """Where a cue is: ``at bar 49``, ``at 1:23``, ``after Lights 3 + 2``."""
    anchor = cue.anchor
    if isinstance(anchor, BarAnchor):
        return f"at bar {anchor.bar}" + (f"/{to_json(anchor.beat)}" if anchor.beat != 1 else "")
    text = anchor_text(anchor, _with(show, item), item)
    return text if anchor.at in ("after", "visual", "word") else f"at {text}"


def cue_does(show: Show, cue: Cue) -> str:
    """What a new cue does, behind where it is: ``: Chorus, white bars; look Faces; automatic``."""
    parts = [cue.label] if cue.label else []
    if cue.look is not None:
        name = next((k.name for k in show.looks if k.id == cue.look.look), cue.look.look)
        parts.append(f"look {name}")
    parts += ["automatic"] if cue.fires == "by itself" else []
    if cue.hazard is not None:
        parts.append(f"hazard: {cue.hazard.kind}, responsible {cue.hazard.responsible}")
    return f": {'; '.join(parts)}" if parts else ""


def _with(show: Show, item: Item) -> Show:
    return show if any(i is item for i in show.items) else show.model_copy(update={"items": (item,)})


def item_words(old: Show, new: Show, was: Item, now: Item, name: str) -> str:
    """A changed field of an item."""
    if name == "out":
        return f"{now.name} is {'cut tonight' if now.out else 'in again'}"
    if name == "name":
        return f"{was.name} is now called {now.name}"
    if name == "lyrics":
        return _lyrics_words(was, now)
    before = {f.key: f for f in item_fields(old, was.id)}
    after = {f.key: f for f in item_fields(new, now.id)}
    if name not in after or name not in before:
        return f"{now.name}: {name.removesuffix('_s').replace('_', ' ')} changed"
    label = after[name].label
    if name == "length_s":
        by = length_words(now.length_s - was.length_s, "it")
        return f"{now.name} is {after[name].text} (was {before[name].text}; {by})"
    return f"{now.name}: {label} {field_words(before[name].text, after[name].text)}"


def _lyrics_words(was: Item, now: Item) -> str:
    """What changed of a song's lyrics, by their lines."""
    before = {line.id: line for line in getattr(was, "lyrics", ())}
    after = {line.id: line for line in getattr(now, "lyrics", ())}
    new = [line.text for ident, line in after.items() if ident not in before]
    gone = [line.text for ident, line in before.items() if ident not in after]
    other = [line.text for ident, line in after.items() if ident in before and before[ident] != line]
    parts = [
        f"{len(lines)} {what} (“{_cut(lines[0], 40)}”{' …' if len(lines) > 1 else ''})"
        for lines, what in ((new, "new"), (gone, "gone"), (other, "changed"))
        if lines
    ]
    return f"{now.name}: lines of the lyrics: {', '.join(parts) or 'in another order'}"


def field_words(was: Any, now: Any, old: Show | None = None, new: Show | None = None) -> str:
    """``8 (was 6)``; long or nested values are not spelled out twice."""
    return f"{_short(now, new)} (was {_short(was, old)})"


def _short(value: Any, show: Show | None) -> str:
    if value in (None, "", [], ()):
        return "none"
    if isinstance(value, Mapping):
        if "look" in value and show is not None:
            name = next((k.name for k in show.looks if k.id == value["look"]), str(value["look"]))
            return f"{name} by {value.get('by', 'cut')}"
        return _cut(", ".join(f"{k} {_short(v, show)}" for k, v in value.items() if v not in (None, "", [])))
    if isinstance(value, list | tuple):
        if value and isinstance(value[0], Mapping):
            return f"{len(value)} of them: {_cut(_short(value[0], show), 40)}"
        return _cut(", ".join(str(v) for v in value))
    return _cut(str(value))


def _cut(words: str, room: int = 60) -> str:
    return words if len(words) <= room else words[: room - 1] + "…"


def length_words(longer_s: Fraction, what: str = "the show") -> str:
    """``the show is 0:48 longer``."""
    if not longer_s:
        return f"{what} is as long as before"
    return f"{what} is {m_ss(round(abs(longer_s)))} {'longer' if longer_s > 0 else 'shorter'}"
