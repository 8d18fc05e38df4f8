"""What the wall area says in words under the wall and at the side. Pure."""

from showcaller.desk.areas.wall.scene import Scene
from showcaller.desk.areas.wall.wallview import parts_sentence
from showcaller.desk.keys import Keys
from showcaller.desk.projector import Counters
from showcaller.model import Wall

NO_WALL = "This show has no wall. {} makes one: its size, its pixels, its inputs and channels."


def status_words(facts: str, scene: Scene, counted: Counters, trouble: str) -> str:
    """The wall's facts, how the picture is made, and why nothing is heard."""
    words = facts
    if scene.moving:
        words += f" · {counted.rate:.0f} fps, {counted.dropped} dropped, {counted.last_ms:.1f} ms"
    return words + (f" · {trouble}" if trouble else "")


def side_sentence(scene: Scene, chosen: str | None, why: str, keys: Keys) -> str:
    """What stands under the layers: which inputs show the chosen one and ``why`` it may not be seen."""
    found = scene.layer(chosen)
    if scene.live and found is None:
        before, after, follow = (keys[f"wall.{name}"] for name in ("item_before", "item_after", "follow"))
        return (
            f"Following the show: click a layer to play it. {before}, {after}: edit an item; {follow}: back."
        )
    return (
        ""
        if found is None or chosen is None
        else " ".join(w for w in (parts_sentence(scene, chosen, found[1]), why) if w)
    )


def input_words(wall: Wall) -> tuple[tuple[float, float, str], ...]:
    """(middle, width, words) of the inputs that reach the wall's lower edge, as shares of its width."""
    found = []
    for i in wall.inputs:
        if i.y_px + i.height_px >= wall.height_px:
            turned = f" turned {i.rotation}°" if i.rotation else ""
            wide, high = i.raster_px or (i.width_px, i.height_px)
            middle = (i.x_px + i.width_px / 2) / wall.width_px
            found.append((middle, i.width_px / wall.width_px, f"{i.name}  {wide}×{high}{turned}"))
    return tuple(found)
