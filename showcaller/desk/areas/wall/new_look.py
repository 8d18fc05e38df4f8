"""A new look from a line, worked out whole before it is made: what it is, and its cue. No Qt."""

from fractions import Fraction

from pydantic import ValidationError

from showcaller.calling.wording import span
from showcaller.desk.areas.wall import look_changes as changes
from showcaller.desk.areas.wall.look_line import LookLine, layers_words, read_look
from showcaller.desk.areas.wall.scene import Scene
from showcaller.editing import Change, ChangeError, Together
from showcaller.editing.placing import parse_anchor
from showcaller.editing.snapping import falls_at
from showcaller.model import LookChange, Show, Song, Wall
from showcaller.model.anchors import BarAnchor
from showcaller.run.kept_changes import cue_for
from showcaller.screen.picture import change_words
from showcaller.values import Struct, replace


class NewLook(Struct, frozen=True):
    """A look that is to be made.

    Attributes:
        how: how it comes, previewed or by its cue.
        words: what it will be, to be read before it is made.
        at_s: where its cue brings it, s into the item; None: it is previewed.
        cue: the cue that is there already and brings it, if there is one.
        where: the bar or the time, in words.
        brought: which cue brings it, in words.
    """

    name: str
    change: Change
    how: LookChange
    words: str
    at_s: Fraction | None = None
    cue: str = ""
    where: str = ""
    brought: str = ""


def new_look(show: Show, scene: Scene, wall: Wall, text: str) -> NewLook:
    """What a line makes in the item that is shown.

    Raises:
        ChangeError: it cannot be made; one sentence.
    """
    line = _at_section(scene, read_look(show, wall, text))
    made, ident = changes.new_look(show, line, scene.standing.look)
    how = LookChange.model_validate({"look": ident, **line.how})
    on_it = "begins as the look that is shown"
    if line.layers is not None:
        on_it = layers_words(show, line.layers)
    if not line.place:
        if line.layers is None:
            was = {**scene.standing.change.model_dump(), "look": ident, "overrides": ()}
            how = LookChange.model_validate(was)
        return NewLook(line.name, made, how, f"“{line.name}”, previewed here: {on_it}")
    return _brought(show, scene, line, made, how, on_it)


def _at_section(scene: Scene, line: LookLine) -> LookLine:
    """``solo at chorus 2``: the bar of the section that is called so, if the item has one.

    Raises:
        ChangeError: it has several.
    """
    item = scene.plan.items[scene.item].item
    name, at, section = line.name.rpartition(" at ")
    if line.place or not at or not isinstance(item, Song):
        return line
    bars = [s.bar for s in item.sections if s.name.lower() == section.strip().lower()]
    if len(bars) > 1:
        raise ChangeError(f"'{section}' is there {len(bars)} times: type at {' or at '.join(map(str, bars))}")
    return replace(line, name=name.strip(), place=str(bars[0])) if bars else line


def _brought(show: Show, scene: Scene, line: LookLine, made: Change, how: LookChange, on_it: str) -> NewLook:
    planned = scene.plan.items[scene.item]
    item = planned.item
    anchor = parse_anchor(line.place, show, item)
    where = f"bar {line.place}" if anchor["at"] == "bar" else span(float(falls_at(planned, anchor)))
    if anchor["at"] == "bar":
        try:
            BarAnchor.model_validate(anchor)
        except ValidationError:
            raise ChangeError(f"there is no {where}; bars and beats count from 1") from None
    at_s = falls_at(planned, anchor)
    if at_s >= item.length_s:
        raise ChangeError(f"'{item.name}' is over before {where}: type an earlier bar or time")
    there = next((p.cue for p in planned.cues if p.at_s == at_s and p.cue.look is not None), None)
    if there is None or there.look is None:
        brings, who, instead = cue_for(show, item.id, anchor, at_s, how, line.name), "a new cue", ""
    else:
        was = next(k.name for k in show.looks if k.id == there.look.look)
        brings, who, instead = changes.set_change(item.id, there.id, how), f"cue {there.number}", was
    instead = f", instead of “{instead}”" if instead else ""
    if there is not None and there.messages:
        instead += f"; cue {there.number} goes on sending the messages that it has: see to them in the Book"
    by = f"{who} at {where} of {item.name} brings it, {change_words(how)}{instead}"
    words = f"“{line.name}” at {where}, {change_words(how)}{instead}: {on_it}"
    whole = Together(changes=(made, brings))
    return NewLook(line.name, whole, how, words, at_s, "" if there is None else there.id, where, by)
