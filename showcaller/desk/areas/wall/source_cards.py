"""The sources' cards: on the wall, coming or free, and until when. Pure."""

from showcaller.calling.wording import span
from showcaller.desk.areas.wall.scene import Scene
from showcaller.screen.board import Tally, tallies
from showcaller.values import Struct


class CardView(Struct, frozen=True):
    """A source on the board: ``state`` is on, coming or free; ``who`` needs it next."""

    source: str
    name: str
    kind: str
    state: str
    words: str
    who: str
    loud: str = ""
    """How loud its sound is."""


def source_cards(scene: Scene) -> tuple[CardView, ...]:
    """A card for each source, in the show's order."""
    board = tallies(scene.plan, scene.needs, scene.item, scene.at_s, scene.picture.sources)
    return tuple(
        CardView(
            t.source.id,
            t.source.name,
            t.source.kind,
            t.state,
            t.words,
            _who(scene, t),
            t.source.read.loudness_words if t.source.read is not None else "",
        )
        for t in board
    )


def _who(scene: Scene, tally: Tally) -> str:
    if tally.item is None:
        return _not_again(scene, tally)
    if tally.item == scene.item:
        return "" if tally.state == "coming" else f"this song, in {span(tally.in_s or 0)}"
    return f"next: {scene.plan.items[tally.item].item.name}"


def _not_again(scene: Scene, tally: Tally) -> str:
    """From when on a source is not used any more: of one that is on, not before it goes."""
    spell = tally.spell
    if spell is None or tally.state != "on":
        return "not used again tonight"
    if spell.until_item != scene.item:
        return f"to {scene.plan.items[spell.until_item].item.name}, not again"
    return f"to {span(spell.until_s - float(scene.plan.starts_s[scene.item]))}, not again"
